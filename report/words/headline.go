package words

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/report"
	"fairburn/trial"
	"fairburn/verdict"
)

// Headline is a verdict in one figure, taken from the verdict's own sentences:
// nothing in it is worked out anew. Where the verdict names no winner, or the
// winner's lead is no figure, Number is empty and Class says what there is.
type Headline struct {
	Class    verdict.Class
	Entry    string // who leads; "" when nobody does
	Marker   int    // of that entry
	Number   string // "9 %", "7:37", "9 of 9"
	What     string // "less fuel", "light to boil", "burns boiled"
	Against  string // "than", "against"; "" where the figure is the entry's own
	Other    string // the next entry, that Against speaks of
	Interval string // "95 % interval 6 to 12 %, allowing for all 6 comparisons"
	N        string // "n = 4 and 4"
	Of       string // what is compared, and the basis of the figure
}

// longestName is how much of a name the short line keeps.
const longestName = 20

// Lead is the headline in one line that is short whatever the names are. Where
// there is no figure it says what there is instead of a winner.
func (h Headline) Lead() string {
	if h.Number == "" {
		return fmt.Sprintf("%s: these burns name no winner (%s).", Capital(string(h.Class)), h.N)
	}
	what := h.Number + " " + h.What
	if h.Against != "" {
		what += " " + h.Against + " " + short(h.Other)
	}
	return fmt.Sprintf("%s: %s (%s; %s).", short(h.Entry), what, h.Interval, h.N)
}

func short(name string) string {
	if runes := []rune(name); len(runes) > longestName {
		return string(runes[:longestName-1]) + "…"
	}
	return name
}

// Capital is a text with a capital for its first letter.
func Capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}

// Of takes the headline of a verdict.
func Of(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) Headline {
	h := Headline{Class: v.Class, N: counted(v)}
	switch v.JudgeBy {
	case trial.Surest:
		h.Of = "boils on this dose: burns that boiled, of those that were not stopped or faulty"
		h.surest(v)
	case trial.Lightest:
		h.Of = "mass of the system: burner, pot, lid, screen and stand, without fuel and bottle"
		h.lightest(v, sys)
	default:
		h.judged(v, r, sys)
	}
	return h
}

// judging is the axis that carries the verdict.
func judging(v *verdict.Verdict) (verdict.Axis, bool) {
	for _, a := range v.Axes {
		if a.Judges {
			return a, true
		}
	}
	return verdict.Axis{}, false
}

// counted says how many burns of each entry count on the judging axis.
func counted(v *verdict.Verdict) string {
	a, _ := judging(v)
	if len(a.Groups) == 0 {
		return "n = 0"
	}
	var ns []string
	for _, g := range a.Groups {
		ns = append(ns, fmt.Sprint(g.N+g.NoBoil))
	}
	return "n = " + list(ns)
}

func (h *Headline) judged(v *verdict.Verdict, r *trial.Reduced, sys quantity.System) {
	a, ok := judging(v)
	if !ok {
		return
	}
	h.Of = a.Name + basisOf(a, r, sys)
	if !v.Class.Decided() || v.Class == verdict.EqualInPractice || len(a.CouldBeBest) != 1 {
		return
	}
	h.Entry = a.CouldBeBest[0]
	h.Marker = r.Marker(h.Entry)
	for _, p := range a.Pairs {
		if h.lead(v, a, p) {
			return
		}
	}
	h.own(v, a, sys)
}

// basisOf says what a figure of the axis counts.
func basisOf(a verdict.Axis, r *trial.Reduced, sys quantity.System) string {
	basis, facts := "", report.Conditions(r, sys)
	if a.Metric.Info().Kind != reduce.Time {
		basis = ": net, burned from light to the boil"
	}
	if a.Raw {
		basis += ", as measured"
	} else {
		basis += ", " + FactOf(facts, "reference")
	}
	if boil := FactOf(facts, "boil called by"); boil != "" {
		basis += "; boil: " + boil
	}
	return basis
}

// lead takes the lead over the next entry if the verdict's sentence states it
// for this pair.
func (h *Headline) lead(v *verdict.Verdict, a verdict.Axis, p verdict.Pair) bool {
	other := p.B
	if p.B == h.Entry {
		other = p.A
	}
	than := " than " + other
	if p.Ranked {
		pairings := fmt.Sprintf("%.0f of 100", max(p.Beats, 1-p.Beats)*100)
		if !strings.Contains(v.Sentence, "it beat "+other+", the next, in "+pairings+" pairings") {
			return false
		}
		h.Number, h.What, h.Against, h.Other = pairings, "pairings won", "against", other
		h.Interval = "by ranks, a burn without a boil losing"
		h.N = nOf(a, h.Entry, other)
		return true
	}
	_, took, _ := strings.Cut(p.Sentence, h.Entry+" took ")
	change, _, ok := strings.Cut(took, than+" (")
	_, rest, said := strings.Cut(v.Sentence, ": "+change+than+", the next (")
	number, what, spaced := strings.Cut(change, " % ")
	if !ok || !said || !spaced {
		return false
	}
	h.Number, h.What, h.Against, h.Other = number+" %", what, "than", other
	h.Interval = strings.TrimSuffix(rest, ").")
	h.N = nOf(a, h.Entry, other)
	return true
}

// nOf says how many burns of each of two entries count.
func nOf(a verdict.Axis, entries ...string) string {
	var ns []string
	for _, e := range entries {
		for _, g := range a.Groups {
			if g.Entry == e {
				ns = append(ns, fmt.Sprint(g.N+g.NoBoil))
			}
		}
	}
	return "n = " + list(ns)
}

// own takes the entry's own figure, where its lead is not stated as one.
func (h *Headline) own(v *verdict.Verdict, a verdict.Axis, sys quantity.System) {
	u := report.Units(sys)
	for _, g := range a.Groups {
		if g.Entry != h.Entry || g.N == 0 || !(g.Lo > 0) {
			continue
		}
		h.Number, h.What = u.Within(a.Metric, g.Center, g.Lo, g.Hi), a.Metric.Info().Name
		h.Interval = fmt.Sprintf("%s interval %s", level(v), u.Interval(a.Metric, g.Lo, g.Hi))
		h.N = nOf(a, h.Entry)
	}
}

func level(v *verdict.Verdict) string { return fmt.Sprintf("%.4g %%", v.Level*100) }

func (h *Headline) surest(v *verdict.Verdict) {
	var ns []string
	for _, b := range v.Boils {
		share := fmt.Sprintf("%d of %d", b.Boils, b.Tried)
		ns = append(ns, fmt.Sprint(b.Tried))
		if v.Class != verdict.Different || !strings.HasPrefix(v.Sentence, b.Entry+" ("+share+") boils most surely") {
			continue
		}
		h.Entry, h.Number, h.What = b.Entry, share, "burns boiled"
		h.Interval = fmt.Sprintf("%s interval of the boil rate %.0f to %.0f %%", level(v), b.Lo*100, b.Hi*100)
	}
	h.N = "n = " + list(ns)
	h.mark(v)
}

func (h *Headline) lightest(v *verdict.Verdict, sys quantity.System) {
	for _, e := range v.Entries {
		if v.Class != verdict.Different || !strings.HasPrefix(v.Sentence, e.Name+" is the lightest system") {
			continue
		}
		h.Entry, h.Number, h.What = e.Name, quantity.Format(quantity.Mass(e.SystemMass), sys), "is the lightest system"
		h.Interval, h.N = "weighed; no burn changes that", "no burns needed"
	}
	h.mark(v)
}

func (h *Headline) mark(v *verdict.Verdict) {
	for _, e := range v.Entries {
		if e.Name == h.Entry {
			h.Marker = e.Marker
		}
	}
}

// FactOf is the text of a fact, "" where there is none of that name.
func FactOf(facts []report.Fact, name string) string {
	for _, f := range facts {
		if f.Name == name {
			return f.Text
		}
	}
	return ""
}
