package words

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/verdict"
)

func (s known) outdoors() Answer {
	text := "Burned at: "
	if text += FactOf(s.facts, "place"); text == "Burned at: " {
		text = "The place is not given"
	}
	text += "; wind: " + orNone(FactOf(s.facts, "wind")) + "; air: " + orNone(FactOf(s.facts, "air")) + ". Other weather, ground and heights: not tested."
	if len(s.r.Results) == 0 {
		return untested("Will it do that outdoors?", "There is no burn yet.", "burn where you will cook")
	}
	return s.shown("Will it do that outdoors?", text+"\nTo test more: burn each entry where you will cook, three times or more, with air, wind and water written down.")
}

func (s known) wind() Answer {
	const question = "And in wind?"
	would := "the same entries with a fan at a set distance and without, in shuffled order, three burns or more of each, the wind written down as a factor"
	if i := slices.IndexFunc(s.v.NotTested, func(t string) bool { return strings.HasPrefix(t, "wind") }); i >= 0 {
		return untested(question, "On record: "+orNone(FactOf(s.facts, "wind"))+".", would)
	}
	text := "Burns had wind on record: " + FactOf(s.facts, "wind") + "."
	if f := s.r.Plan.Factor; f.Name != "" {
		text += fmt.Sprintf("\nVaried on purpose: %s (%s); the comparison averages over these levels.", f.Name, list(f.Levels))
	}
	return s.shown(question, text, "the figures of this sheet are over all burns that count, windy or not; burn by burn they stand in the report")
}

func orNone(text string) string {
	if text == "" {
		return "nothing written down"
	}
	return text
}

func (s known) cold() Answer {
	const question = "And in the cold?"
	air, start := FactOf(s.facts, "air"), FactOf(s.facts, "water, at the start")
	if air == "" {
		return untested(question, "No air temperature was written down.", "burn in cold air with cold water and write both down, three burns or more of each entry")
	}
	return s.shown(question, "Tested in air of "+air+", from water of "+orNone(start)+". Outside of that: not tested.\nTo test it: burn in colder air, with fuel and water as cold as they would be, three burns or more of each entry.")
}

func (s known) weight() Answer {
	const question = "What does the whole kit weigh?"
	u := report.Units(quantity.Metric)
	text, ok := s.each(func(e verdict.Entry) string {
		if e.SystemMass <= 0 {
			return ""
		}
		said := u.Mass(quantity.Mass(e.SystemMass))
		if len(e.Unweighed) > 0 {
			said = "at least " + said + ", not weighed: " + list(e.Unweighed)
		}
		if e.BurnerMass > 0 {
			said += ", the burner alone " + u.Mass(quantity.Mass(e.BurnerMass))
		}
		return said
	})
	if !ok {
		return untested(question, "Nothing was weighed.", "weigh burner, pot, lid, screen, stand and the empty bottle")
	}
	basis := []string{"burner, pot, lid, screen and stand as weighed, without fuel and bottle; ounces to the nearest eighth"}
	for _, name := range []string{"pot", "lid", "screen", "stand"} {
		basis = append(basis, name+": "+orNone(FactOf(s.facts, name)))
	}
	return told(question, text, sentences(basis...))
}

func (s known) gas() Answer {
	const question = "After how many days is gas lighter?"
	if s.carried != "" {
		return told(question, s.carried, "Of the trip that was asked about, and of no other.")
	}
	return Answer{Question: question, Answer: "Not answered by these burns: it hangs on the trip (people, boils a day, water, air, bottle sizes) and on the gas stove beside it. Ask carry with your own trip: fairburn carry TRIP."}
}

func (s known) cost() Answer {
	return Answer{Question: "What does it cost?", Answer: "Not recorded: no price is written down with this trial, and prices depend on the place and the day."}
}

func (s known) fuel() Answer {
	text := "Not answered: what is sold, under what name and how strong, depends on the place. Read the label or the safety data sheet for what is in it; methanol is poisonous."
	if burned := FactOf(s.facts, "fuel"); burned != "" {
		text = "Burned here: " + burned + ".\n" + text
	}
	return Answer{Question: "What fuel is it, and where do I get it?", Answer: text, Tested: len(s.r.Shelf.Batches) > 0}
}

func (s known) burnTime() Answer {
	const question = "How long does it burn on a fill?"
	text, ok := s.each(func(e verdict.Entry) string { return s.figure(e, reduce.BurnTime) })
	if !ok {
		return untested(question, "No burn ran until the flame ended by itself.", "let three burns or more of each entry run out on one dose and time them")
	}
	return s.shown(question, text, "light to flame-out, only of burns that ran out by themselves, on doses of: "+s.doses(), "a longer burn is not a better one by itself")
}

func (s known) simmer() Answer {
	const question = "Will it simmer?"
	text, ok := s.each(func(e verdict.Entry) string {
		said := s.traits(e, gear.Simmers, "simmers", "does not simmer")
		if low := s.figure(e, reduce.SimmerPower); low != "" {
			said = strings.TrimPrefix(said+"; lowest steady firepower ", "; ") + low
		}
		return said
	})
	would := "hold the lowest steady flame for ten minutes or more and weigh fuel and water at both ends"
	if !ok {
		return untested(question, "", would)
	}
	if slices.Contains(s.v.NotTested, "simmering") {
		return told(question, text+"\nNot tested with figures. To test it: "+would+".", sentences(wrote, s.ended()))
	}
	return s.shown(question, text, wrote, "firepower net, where a simmer was weighed at both ends")
}

const wrote = "what testers wrote, with the burns that show it"

// traits says what was written of a trait of an entry, with what shows it.
func (s known) traits(e verdict.Entry, kind gear.TraitKind, yes, no string) string {
	var said []string
	for _, t := range e.Traits {
		if t.Name != string(kind) {
			continue
		}
		text := no
		if t.Holds {
			text = yes
		}
		if t.Note != "" {
			text += " (" + t.Note + ")"
		}
		if len(t.ShownBy) > 0 {
			text += ", seen in burns " + list(t.ShownBy)
		} else {
			text += ", no burn named"
		}
		said = append(said, text)
	}
	return strings.Join(said, "; ")
}

func (s known) wick() Answer {
	const question = "How many burns does the wick last?"
	would := "burn one wick on one dose until its boil time or fuel drifts or it fails, and count; no entry of this trial was worn out on purpose"
	text, ok := s.each(func(e verdict.Entry) string {
		entry, _ := s.r.Entry(e.Name)
		b, ok := s.r.Burner(entry)
		if !ok || b.Wicking.Material == "" && b.Family != gear.Wick && b.Family != gear.LowPressure {
			return ""
		}
		said := fmt.Sprintf("%d burns in this trial%s", len(s.r.Of(e.Name)), s.drift(e.Name))
		if b.Wicking.Material != "" {
			said = "wick of " + b.Wicking.Material + ", " + said
		}
		return said
	})
	if !ok {
		return untested(question, "No entry has a wick on record.", would)
	}
	text = strings.Replace(text, "\nNot known for ", "\nNo wick on record for ", 1)
	return told(question, "Not tested to the end.\n"+text+"\nTo test it: "+would+".", sentences("burns made before this trial are not counted", s.ended()))
}

// drift says how an entry's figure changed over its burns, on the axis that judges.
func (s known) drift(entry string) string {
	a, _ := judging(s.v)
	for _, g := range a.Groups {
		if g.Entry != entry || !(g.DriftP < 1) {
			continue
		}
		shown := "not shown to be more than chance"
		if g.DriftP < 1-s.v.Level {
			shown = "more than chance alone would give"
		}
		return fmt.Sprintf("; %s changed by %+.1f %% a burn (p = %.2g, %s)", a.Name, g.Drift*100, g.DriftP, shown)
	}
	return ""
}

// quenching are words that a note on putting out or cooling holds.
var quenching = []string{"snuff", "put out", "puts out", "blow out", "blown out", "extinguish", "cooled", "to cool", "cool down"}

func (s known) putOut() Answer {
	const caution = "Usual practice, no source: a lid or snuffer for the burner; a small spill on bare ground takes a blanket or plenty of water; leave if it spreads. A snuffed burner still gives vapour. No refill until it can be held in the hand. The maker's instructions lead."
	snuffed, out := 0, 0
	for i := range s.r.Results {
		marks := s.r.Results[i].Marks
		if marks[burn.Snuffed].Given {
			snuffed++
		} else if marks[burn.Out].Given {
			out++
		}
	}
	said := []string{"How it was put out and cooled is not recorded."}
	if notes := s.quenched(); len(notes) > 0 {
		said = []string{"Written by the tester: " + strings.Join(notes, "; ") + "."}
	}
	if snuffed+out > 0 {
		said = append(said, fmt.Sprintf("In this trial %d burns were put out by the tester and %d went out by themselves.", snuffed, out))
	}
	if wait := s.r.Plan.CoolDown; wait > 0 {
		said = append(said, fmt.Sprintf("Planned wait between burns on one station: %s.", quantity.FormatDuration(wait, 0)))
	}
	return Answer{Question: "How do you put it out, and cool it?", Answer: strings.Join(append(said, caution), "\n"), Basis: sentences(s.ended()), Tested: snuffed+out > 0}
}

// quenched are the notes that speak of putting out or cooling.
func (s known) quenched() []string {
	var notes []string
	add := func(what, note string) {
		low := strings.ToLower(note)
		if slices.ContainsFunc(quenching, func(w string) bool { return strings.Contains(low, w) }) {
			notes = append(notes, what+": "+note)
		}
	}
	for _, b := range s.r.Shelf.Burners {
		add(b.Name, b.Notes)
	}
	for _, e := range s.r.Entries {
		add(e.Name, e.Notes)
	}
	for i := range s.r.Results {
		add("burn "+s.r.Results[i].ID, s.r.Results[i].Notes)
	}
	return notes
}

func (s known) soot() Answer {
	const question = "Does it smell, or soot the pot?"
	text, ok := s.each(func(e verdict.Entry) string { return s.traits(e, gear.Soots, "soots", "no soot seen") })
	if !ok {
		return untested(question, "Neither was written down.", "start each burn with a clean pot, photograph its base after it, and write down what was smelled")
	}
	text = strings.Replace(text, "\nNot known for ", "\nNothing written of ", 1)
	return told(question, text+"\nSmell: not tested.", sentences(wrote, s.ended()))
}

func (s known) noise() Answer {
	return untested("Is it loud?", "", "read a sound level meter at one metre (3.3 ft), in a quiet place, beside the place's own level")
}

func (s known) monoxide() Answer {
	return untested("What about carbon monoxide?", "No meter was used, so nothing is claimed. It cannot be smelled: never burn in a tent or a closed room.",
		"a carbon monoxide meter in a measured stream of the exhaust, by someone who knows how, for this pot, gap and screen")
}
