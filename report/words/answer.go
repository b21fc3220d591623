package words

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/trial"
	"fairburn/verdict"
)

// Answer is what the burns say to one question that readers ask.
type Answer struct {
	Question string
	// Answer is one line or several; where nothing was tested it says so and
	// what would test it.
	Answer string
	// Basis is what the answer must not be read without: what it counts, how many
	// burns, raw beside corrected; "" where it rests on no burn.
	Basis string
	// Conditions are those of the burns that show it; "" where none does.
	Conditions string
	// Tested: a burn or a note of this trial says something.
	Tested bool
}

// String is the answer as it is copied, with all that it must not be read
// without below it.
func (a Answer) String() string {
	text := a.Answer
	if a.Basis != "" {
		text += "\nBasis: " + a.Basis
	}
	if a.Conditions != "" {
		text += "\nConditions: " + a.Conditions
	}
	return text
}

// Answers answers what readers ask of such tests, in metric and US units, from
// the burns or by "not tested". carried is what a comparison of kits for a trip
// said of the day on which gas gets lighter; "" if none was made.
// Source of the questions: comments and replies below published tests (common
// practice, no source).
func Answers(v *verdict.Verdict, r *trial.Reduced, carried string) []Answer {
	s := known{v: v, r: r, carried: carried, facts: conditions(r)}
	return []Answer{
		s.which(), s.howLong(), s.howSure(), s.units(), s.twoCups(), s.repeats(),
		s.outdoors(), s.wind(), s.cold(),
		s.weight(), s.gas(), s.cost(), s.fuel(),
		s.burnTime(), s.simmer(), s.wick(), s.putOut(), s.soot(), s.noise(), s.monoxide(),
	}
}

// untested is an answer where no burn says anything.
func untested(question, because, would string) Answer {
	return Answer{Question: question, Answer: strings.TrimSpace("Not tested. "+because) + " To test it: " + would + "."}
}

// told is an answer that rests on what was written rather than on figures of burns.
func told(question, answer, basis string) Answer {
	return Answer{Question: question, Answer: answer, Basis: basis, Tested: true}
}

func (s known) which() Answer {
	h := Of(s.v, s.r, quantity.Metric)
	text := s.v.Sentence
	if len(s.v.Next) > 0 {
		text += "\nWhat would settle the rest: " + strings.Join(s.v.Next, "; ") + "."
	}
	question := "Which one won?"
	if s.v.Question != "" {
		question = s.v.Question
	}
	class := fmt.Sprintf("this counts as %q, judged by %s, over %g %% being worth having", string(s.v.Class), s.v.JudgeBy, s.v.Margin*100)
	return s.shown(question, text, class, h.Of, "counted: "+h.N, "not tested: "+strings.Join(s.v.NotTested, "; "))
}

func (s known) howLong() Answer {
	const question = "How long does it take to boil?"
	text, ok := s.each(s.time)
	if !ok {
		return untested(question, "No burn has a boil that was timed.", "time each boil from light, three burns or more of each entry")
	}
	at := "brought to the reference boil"
	if s.raw(reduce.Time) {
		at = "as timed, at no common reference"
	}
	return s.shown(question, text, "from light to the boil, "+at+", of the burns that boiled", s.rawTime())
}

// time is an entry's time to boil as the verdict compares it; "" without one.
func (s known) time(e verdict.Entry) string {
	u := report.Units(quantity.Metric)
	for _, a := range s.v.Axes {
		for _, g := range a.Groups {
			if a.Metric.Info().Kind != reduce.Time || g.Entry != e.Name || g.N == 0 {
				continue
			}
			text := u.Within(a.Metric, g.Center, g.Lo, g.Hi)
			if in := u.Interval(a.Metric, g.Lo, g.Hi); in != "—" {
				text += ", " + level(s.v) + " interval " + in
			}
			if text += fmt.Sprintf(", n = %d", g.N); g.NoBoil > 0 {
				text += fmt.Sprintf("; %d more did not boil", g.NoBoil)
			}
			return text
		}
	}
	return ""
}

func (s known) howSure() Answer {
	const question = "Does it always boil?"
	var lines []string
	for _, b := range s.v.Boils {
		if b.Tried > 0 {
			lines = append(lines, fmt.Sprintf("%s: %d of %d burns boiled; chance that the next does %.0f %% (boil rate, %s interval, %.0f to %.0f %%).",
				b.Entry, b.Boils, b.Tried, b.Share*100, level(s.v), b.Lo*100, b.Hi*100))
		}
	}
	if len(lines) == 0 {
		return untested(question, "No burn was left to boil or to go out.", "burn the same dose three times or more and count")
	}
	return s.shown(question, strings.Join(lines, "\n"), "on the doses poured in this trial: "+s.doses())
}

// doses lists the doses as they were poured, in both unit systems.
func (s known) doses() string {
	return both(func(sys quantity.System) string { return Doses(s.r, sys) })
}

// mostDoses is how many different doses are listed one by one.
const mostDoses = 4

// Doses lists the different doses that were poured in the burns that count.
func Doses(r *trial.Reduced, sys quantity.System) string {
	var all []string
	for i := range r.Results {
		f, text := r.Results[i].Fuel, ""
		switch {
		case r.Results[i].Void != "":
		case f.DoseVolume.Given:
			text = quantity.Format(f.DoseVolume.Value, sys)
		case f.DoseMass.Given:
			text = quantity.Format(f.DoseMass.Value, sys)
		}
		if text != "" && !slices.Contains(all, text) {
			all = append(all, text)
		}
	}
	switch {
	case len(all) == 0:
		return "not written down"
	case len(all) > mostDoses:
		return fmt.Sprintf("%d different ones", len(all))
	}
	return list(all)
}

func (s known) units() Answer {
	const question = "How much fuel is that, in grams, millilitres and ounces?"
	own := s.ownFuel()
	text, ok := s.each(func(e verdict.Entry) string {
		said := s.figure(e, own)
		if volume := s.plainly(e, reduce.RefFuelVolume); said != "" && volume != "" && own == reduce.RefFuelBatch {
			said += "; by volume " + volume
		}
		return said
	})
	if !ok {
		return untested(question, "No burn weighed its fuel up to the boil; a dose is not what was burned.", "put the burner out at the boil and weigh what is left, three burns or more of each entry")
	}
	at := "fuel burned from light to the boil, brought to the reference boil; by volume at 20 °C (68 °F)"
	if own == reduce.FuelToBoil {
		at = "fuel burned from light to the boil, as measured"
	}
	return s.shown(question, text, at, s.rawFuel(), s.knownBy(), s.counts())
}

// Two cups are 473 mL in US measure and 500 mL in metric; a reference within a
// twentieth of either end answers the question as it is asked.
const (
	fewestCups = 0.95 * 2 * quantity.USCup
	mostCups   = 1.05 * 2 * quantity.MetricCup
)

func (s known) twoCups() Answer {
	const question = "Exactly how much fuel for two cups?"
	water := s.r.Settings.Reference.Water
	litres := quantity.Volume(float64(water) / 1000) // a kilogram is a litre here, within a fiftieth
	if litres < fewestCups || litres > mostCups || s.raw(reduce.Mass) {
		return untested(question, "The figures are not of two cups of water: "+FactOf(s.facts, "reference")+".",
			"burn with two cups of water, the fuel weighed at the boil, and set that as the reference")
	}
	text, ok := s.each(func(e verdict.Entry) string {
		said := ""
		if f := s.plainly(e, reduce.RefFuelBatch); f != "" {
			said = "on average " + f
			if volume := s.plainly(e, reduce.RefFuelVolume); volume != "" {
				said += ", " + volume
			}
		}
		if dose := leastDose(e.LeastDose); dose != "" {
			said = strings.TrimPrefix(said+"; ", "; ") + "pour "
			said += dose + fmt.Sprintf(" to boil in %.0f of 10 burns", e.LeastDose.Share*10)
		}
		return said
	})
	if !ok {
		return untested(question, "No burn weighed its fuel up to the boil.", "put the burner out at the boil and weigh what is left, five burns or more of each entry")
	}
	return s.shown(question, "For "+FactOf(s.facts, "reference")+"; two US cups are 473 mL, two metric ones 500 mL.\n"+text, "means are of the burns that weighed fuel to boil; the dose to pour is an upper limit, 95 % sure, with what the burner keeps; colder water, wind or another pot needs more", s.rawFuel(), s.knownBy())
}

// leastDose prints a dose in both systems, "" where it is not known.
func leastDose(l verdict.LeastDose) string {
	if !l.Known {
		return ""
	}
	text := both(func(sys quantity.System) string {
		u := report.Units(sys)
		dose := u.Value(reduce.RefFuelBatch, l.Mass)
		if l.Volume > 0 {
			dose += ", " + u.Value(reduce.RefFuelVolume, l.Volume)
		}
		return dose
	})
	if l.Approx {
		text = "about " + text
	}
	if l.ResidueUnknown {
		text += " and what the burner keeps, which was not weighed,"
	}
	return text
}

func (s known) repeats() Answer {
	const question = "How many burns is this? Did you repeat it?"
	if len(s.r.Results) == 0 {
		return untested(question, "There is no burn yet.", "three burns or more of each entry, in shuffled order")
	}
	var void []string
	for i := range s.r.Results {
		if b := &s.r.Results[i]; b.Void != "" {
			void = append(void, "burn "+b.ID+" of "+b.Entry+" ("+b.Void+")")
		}
	}
	text := fmt.Sprintf("%d burns: %s.", len(s.r.Results), s.statuses())
	if len(void) > 0 {
		text += "\nLeft out by the tester, and why: " + strings.Join(void, "; ") + "."
	}
	if planned := len(s.r.Plan.Slots); planned > 0 {
		text += fmt.Sprintf("\nPlanned before the first was lit: %d.", planned)
	}
	if s.v.Invented {
		text = report.InventedWords + "\n" + text
	}
	return told(question, text, sentences("burns that did not boil are kept and counted", "one burn is not a verdict"))
}
