package report

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/stats"
	"fairburn/trial"
	"fairburn/verdict"
)

// Method says in plain words how the figures of a verdict were made, by the
// settings that were used.
func Method(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) []Fact {
	u, rules := Units(sys), r.Settings.Rules
	level := fmt.Sprintf("%.0f %%", v.Level*100)
	return []Fact{
		{"clock", "times run from light, and so does the fuel that an efficiency counts; firepower while heating runs from pot-on"},
		{"at reference", fmt.Sprintf("every boil is carried to one job, %s, in the same pot and air: the burn is solved for its useful heat, with what the pot loses on the way (as measured, else %.1f ± %.1f W/K), and then asked for the reference rise; burns whose rise or water lies more than %.0f %% from it, or with water boiling under %s, are shown raw and not compared",
			referenceWords(r, u), float64(rules.Loss), float64(rules.LossHalf), float64(rules.Range)*100, quantity.FormatBrief(rules.LowestBoil, sys))},
		{"fuel to boil", fmt.Sprintf("counts only where it was weighed or can be told: snuffed at the boil, by a scale, or prorated from a burn to flame-out; prorating may be off by %.0f %% for an entry, which repeats do not shrink; a dose is never taken for fuel burned", float64(rules.Proration)*100)},
		{"as ethanol", "fuel as energy: as much pure ethanol as holds the same net energy; it compares entries on different fuels, while mass and volume of the fuel burned say what to carry"},
		{"no boil", fmt.Sprintf("a burn whose flame ends before the boil is an outcome and is never dropped: it loses to every boil, and a capped mean counts it as %s; a boil within %.0f s after flame-out still counts", clock(r.Settings.Cap.Seconds(), 0), rules.Grace.Seconds())},
		{"efficiency", "heat in the water (and in pot and steam where it says so) over the net energy of the fuel burned from light to the boil, each with what it counts; fuel energy and firepower are net too"},
		{"uncertainty", "scatter between repeats holds the random parts; what repeats share (scale, thermometer, bottle of fuel) is added once; the temperature at which a boil is called and the moment it is marked both count; a difference holds only what the two entries do not share"},
		{"comparison", fmt.Sprintf("ratios of means on the log scale, within blocks where the trial has them, %s intervals that allow for all pairs at once; different: the interval excludes no difference; worth having: it excludes %.0f %%; equal in practice: it lies inside that; anything else is not settled; under three burns of an entry it is too few", level, v.Margin*100)},
		{"doubts", "every comparison is made again without the burns that stand out, with estimated fuel left out, and by a method that assumes less; if the class changes, the pair is not settled and what it depends on is named; nothing is removed"},
		{"least dose", fmt.Sprintf("an upper limit, 95 %% sure, for the dose that boils in %.0f of 10 burns, plus what the burner keeps; not given under five burns with weighed fuel to boil", float64(r.Settings.DoseShare)*10)},
	}
}

// methodNames are the ways of comparing pairs in words.
var methodNames = map[string]string{
	string(stats.GamesHowell):     "studentized range with each entry's own scatter",
	string(stats.TukeyKramer):     "studentized range with one scatter for all entries",
	string(stats.BonferroniWelch): "each pair by its own scatter, the error rate shared out among pairs",
	string(stats.PairedT):         "differences within blocks, the error rate shared out among pairs",
	string(stats.LeaningSpreads):  "differences within blocks, each entry's scatter judged partly by its own burns and partly by all",
}

// sources are what the methods rest on.
var sources = []string{
	"Uncertainty: JCGM 100:2008, Guide to the expression of uncertainty in measurement.",
	"Water: IAPWS R7-97(2012), Industrial Formulation for water and steam.",
	"Ethanol and water: OIML R 22, International Alcoholometric Tables, 1975.",
	"Heating values: enthalpies of formation, CRC Handbook of Chemistry and Physics.",
	"Pots: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.1, and as the material says.",
	"Pressure by elevation or altimeter setting: U.S. Standard Atmosphere, 1976.",
	"All pairs: Games and Howell 1976, J. Educational Statistics 1:113; Kramer 1956, Biometrics 12:307; Dunn 1961, J. American Statistical Association 56:52; Welch 1947, Biometrika 34:28.",
	"Best of several: Gupta 1965, Technometrics 7:225; Hsu 1984, Annals of Statistics 12:1136.",
	"Equal in practice: Schuirmann 1987, J. Pharmacokinetics and Biopharmaceutics 15:657.",
	"Burns that did not boil: Wilcoxon 1945, Biometrics Bulletin 1:80; Lachin 1999, Controlled Clinical Trials 20:408; Kaplan and Meier 1958, J. American Statistical Association 53:457.",
	"Share that boils: Brown, Cai and DasGupta 2001, Statistical Science 16:101.",
	"Least dose: ISO 16269-6:2014, Statistical tolerance intervals.",
	"Margin, cap, reference water, correction range, grace and proration: common practice, no source; all are settings of the trial.",
}

// cautions are the usual ones of this trade (common practice, no source).
var cautions = []string{
	"Burn outdoors, on level, bare, cleared ground, with a lid or snuffer within reach.",
	"Never refuel a burner that is hot or may still burn. Take the burner to the fuel, with the bottle closed and away before you light.",
	"The flame is hard to see in daylight. A flame that is not seen may still burn.",
	"Carbon monoxide cannot be smelled. Never burn in a tent or a closed room.",
	"Methanol and blends with it are poisonous, by skin and breath too.",
	"Local rules and the maker's instructions lead. Nothing here claims that any of this is safe, legal or approved.",
}

// Cautions are the usual ones, for every document.
func Cautions() []string { return slices.Clone(cautions) }

// BuiltTable says what the entries are, as built or as bought.
func BuiltTable(v *verdict.Verdict, r *trial.Reduced) Table {
	t := Table{ID: "built", Caption: "As built or as bought", Columns: columns("*entry", "*burner", "*family", "*jets", "*changed", "*notes")}
	for _, e := range r.Entries {
		b, ok := r.Burner(e)
		if !ok {
			t.add(r.Marker(e.Name), e.Name, e.Burner, absent, absent, absent, e.Notes)
			continue
		}
		family := string(b.Family)
		if b.ShopMade {
			family = strings.TrimPrefix(family+", shop-made", ", ")
		}
		t.add(r.Marker(e.Name), e.Name, b.Name, orAbsent(family), orAbsent(jets(b.Jets)), orAbsent(changed(b)), orAbsent(joined("; ", b.Notes, e.Notes)))
	}
	t.prune()
	return t
}

func orAbsent(s string) string { return pick(s == "", absent, s) }

func joined(by string, parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), by)
}

func jets(rings []gear.JetRing) string {
	var all []string
	for _, ring := range rings {
		text := fmt.Sprint(ring.Count)
		if ring.Diameter.Given {
			text += " of " + ring.Diameter.Text
		}
		all = append(all, joined(", ", text, ring.Tool))
	}
	return strings.Join(all, "; ")
}

func changed(b gear.Burner) string {
	if b.Parent == "" {
		return b.Changed
	}
	return joined(": ", "from "+b.Parent, b.Changed)
}

// TraitTable lists what no figure shows, with the burns that show it.
func TraitTable(v *verdict.Verdict) Table {
	t := Table{ID: "traits", Caption: "What no figure shows", Columns: columns("*entry", "*trait", "*does it?", "*shown by", "*note")}
	for _, e := range v.Entries {
		for _, trait := range e.Traits {
			by := "no burn named"
			if len(trait.ShownBy) > 0 {
				by = pick(len(trait.ShownBy) == 1, "burn ", "burns ") + list(trait.ShownBy)
			}
			t.add(e.Marker, e.Name, trait.Name, pick(trait.Holds, "yes", "no"), by, orAbsent(trait.Note))
		}
	}
	t.prune() // of notes, where none may be published
	return t
}

// NoteTable lists what testers wrote beside the burns: faults, failures, notes,
// and why a burn is void.
func NoteTable(r *trial.Reduced) Table {
	t := Table{ID: "notes", Caption: "Written beside the burns", Columns: columns("burn", "*entry", "*what")}
	for i := range r.Results {
		b := &r.Results[i]
		var parts []string
		if b.Void != "" {
			parts = append(parts, "void: "+b.Void)
		}
		for _, f := range b.Faults {
			word := strings.ReplaceAll(string(f.Kind), "_", " ")
			if f.At.Given {
				word += " at " + clock(f.At.Value.Seconds(), 0)
			}
			parts = append(parts, word)
		}
		for _, f := range b.Failures {
			parts = append(parts, strings.ReplaceAll(string(f), "_", " "))
		}
		if b.Notes != "" {
			parts = append(parts, b.Notes)
		}
		if len(parts) > 0 {
			t.add(r.Marker(b.Entry), b.ID, b.Entry, strings.Join(parts, "; "))
		}
	}
	return t
}
