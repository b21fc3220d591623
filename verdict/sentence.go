package verdict

import (
	"fmt"
	"math"

	"fairburn/reduce"
	"fairburn/trial"
)

// percent writes a share as a percentage with as many digits as it deserves:
// "4 %", "0.6 %".
func percent(share float64) string {
	p := math.Abs(share) * 100
	if p < 1 {
		return fmt.Sprintf("%.1f %%", p)
	}
	return fmt.Sprintf("%.0f %%", p)
}

// change is a ratio as a change in words that an axis uses: "9 % less time".
func (k axisKind) change(ratio float64) string {
	what := "fuel"
	if k.timed {
		what = "time"
	}
	if ratio <= 1 {
		return percent(1-ratio) + " less " + what
	}
	return percent(ratio-1) + " more " + what
}

// span is an interval of a ratio in the direction of change: "4 to 14 %", or
// "from 3 % less to 2 % more".
func span(lo, hi float64) string {
	switch {
	case hi <= 1:
		return trimSpan(1-hi, 1-lo)
	case lo >= 1:
		return trimSpan(lo-1, hi-1)
	}
	return fmt.Sprintf("from %s less to %s more", percent(1-lo), percent(hi-1))
}

func trimSpan(a, b float64) string {
	if a < 0.01 {
		return percent(a) + " to " + percent(b)
	}
	return fmt.Sprintf("%.0f to %.0f %%", a*100, b*100)
}

// sentence says one pair in words that the figures carry.
func (p *Pair) sentence(k axisKind) string {
	switch {
	case p.Class == TooFew:
		return fmt.Sprintf("%s and %s: too few burns to compare%s", p.A, p.B, after("; ", p.more()))
	case p.Ranked:
		return p.rankedSentence()
	case p.Class == EqualInPractice:
		return fmt.Sprintf("%s and %s are equal for practical purposes: %s", p.A, p.B, span(p.Lo, p.Hi))
	case p.Class == NotSettled && len(p.DependsOn) > 0:
		return fmt.Sprintf("%s against %s depends on %s", p.A, p.B, listWords(p.DependsOn, "and"))
	case p.Class == NotSettled:
		return fmt.Sprintf("no difference shown between %s and %s: anything %s fits these burns%s", p.A, p.B, widely(p.Lo, p.Hi), after("; ", p.more()))
	}
	better, worse, ratio, lo, hi := p.A, p.B, p.Ratio, p.Lo, p.Hi
	if ratio > 1 {
		better, worse, ratio, lo, hi = p.B, p.A, 1/ratio, 1/p.Hi, 1/p.Lo
	}
	return fmt.Sprintf("%s took %s than %s (95 %% interval %s)", better, k.change(ratio), worse, span(lo, hi))
}

func (p *Pair) rankedSentence() string {
	better, worse, beats := p.A, p.B, p.Beats
	if beats < 0.5 {
		better, worse, beats = p.B, p.A, 1-beats
	}
	shown := ""
	if !p.Class.Decided() {
		shown = ", which these burns do not show to be more than chance"
	}
	return fmt.Sprintf("%s beat %s in %.0f of 100 pairings of their burns, a burn that did not boil losing to every boil%s", better, worse, beats*100, shown)
}

func widely(lo, hi float64) string {
	if lo < 1 && hi > 1 {
		return span(lo, hi)
	}
	return "from " + span(lo, hi)
}

func after(mark, words string) string {
	if words == "" {
		return ""
	}
	return mark + words
}

// verb is what the winner of an axis does.
func (k axisKind) verb() string {
	if k.timed {
		return "boils fastest"
	}
	return "needs the least fuel"
}

// conclude writes the verdict's sentence from the axis that judges.
func (v *Verdict) conclude(a Axis, k axisKind) {
	settled := func(p Pair) bool { return p.Class.Decided() }
	tooFew := len(a.Pairs) > 0
	for _, p := range a.Pairs {
		tooFew = tooFew && p.Class == TooFew
	}
	word := "on time to boil"
	if !k.timed {
		word = "on fuel to boil"
	}
	switch {
	case len(v.Entries) < 2:
		v.Class, v.Sentence = TooFew, "One entry alone can be described but not compared."
	case tooFew:
		v.tooFew(a, word)
	case len(a.CouldBeBest) == 1:
		v.winner(a, k, a.CouldBeBest[0])
	case allEqual(a):
		v.Class = EqualInPractice
		v.Sentence = fmt.Sprintf("Equal for practical purposes %s: %s differ by less than %s.", word, listWords(a.CouldBeBest, "and"), percent(v.Margin))
	default:
		v.open(a, word)
	}
	for _, p := range a.Pairs {
		if !settled(p) && len(p.DependsOn) > 0 {
			v.Because = append(v.Because, p.Sentence)
		}
	}
}

// allEqual reports whether every pair of those that could be best is equal in practice.
func allEqual(a Axis) bool {
	in := map[string]bool{}
	for _, e := range a.CouldBeBest {
		in[e] = true
	}
	found := false
	for _, p := range a.Pairs {
		if in[p.A] && in[p.B] {
			if p.Class != EqualInPractice {
				return false
			}
			found = true
		}
	}
	return found
}

func (v *Verdict) tooFew(a Axis, word string) {
	v.Class = TooFew
	v.Sentence = fmt.Sprintf("Too few burns to say which is better %s.", word)
	least := math.MaxInt
	for _, g := range a.Groups {
		least = min(least, g.N)
	}
	v.Next = append(v.Next, fmt.Sprintf("every entry needs at least three burns that count; the fewest have %d", least))
	v.nextBurns(a)
}

// winner says that one entry is the best and by how much against the next.
func (v *Verdict) winner(a Axis, k axisKind, best string) {
	v.Class = Different
	next := v.nextBest(a, best)
	if next == nil {
		v.Sentence = fmt.Sprintf("%s %s.", best, k.verb())
		return
	}
	ratio, lo, hi, other := next.Ratio, next.Lo, next.Hi, next.B
	if next.B == best {
		ratio, lo, hi, other = 1/next.Ratio, 1/next.Hi, 1/next.Lo, next.A
	}
	v.Class = next.Class
	allow := ""
	if len(a.Pairs) > 1 {
		allow = fmt.Sprintf(", allowing for all %d comparisons", len(a.Pairs))
	}
	switch {
	case next.Ranked:
		v.Sentence = fmt.Sprintf("%s %s: a burn that did not boil loses to every boil, and so it beat %s, the next, in %.0f of 100 pairings of their burns.",
			best, k.verb(), other, max(next.Beats, 1-next.Beats)*100)
		v.Class = next.Class
	case next.Class == NotSettled:
		v.Class = Different
		v.Sentence = fmt.Sprintf("%s %s, %.0f %% sure: every other entry is ruled out as best, though %s comes close (%s; two-sided interval %s).",
			best, k.verb(), v.Level*100, other, k.change(ratio), span(lo, hi))
	default:
		v.Sentence = fmt.Sprintf("%s %s: %s than %s, the next (%.0f %% interval %s%s).",
			best, k.verb(), k.change(ratio), other, v.Level*100, span(lo, hi), allow)
	}
}

// nextBest is the pair of the best with the entry that comes closest.
func (v *Verdict) nextBest(a Axis, best string) *Pair {
	var next *Pair
	closest := math.Inf(1)
	for i := range a.Pairs {
		p := &a.Pairs[i]
		if p.A != best && p.B != best || p.Ratio <= 0 {
			continue
		}
		distance := math.Abs(math.Log(p.Ratio))
		if p.Ranked {
			distance += 10 // a burner that fails to boil is never the next best
		}
		if distance < closest {
			closest, next = distance, p
		}
	}
	return next
}

// open says who is still in, who is out, and what would settle it.
func (v *Verdict) open(a Axis, word string) {
	v.Class = NotSettled
	var out []string
	in := map[string]bool{}
	for _, e := range a.CouldBeBest {
		in[e] = true
	}
	for _, e := range v.Entries {
		if !in[e.Name] {
			out = append(out, e.Name)
		}
	}
	v.Sentence = fmt.Sprintf("Not settled %s: %s may be best", word, listWords(a.CouldBeBest, "or"))
	switch len(out) {
	case 0:
		v.Sentence += "; nothing is ruled out."
	case 1:
		v.Sentence += fmt.Sprintf("; %s is ruled out.", out[0])
	default:
		v.Sentence += fmt.Sprintf("; %s are ruled out.", listWords(out, "and"))
	}
	v.nextBurns(a)
}

// nextBurns says what would settle the pairs among those that could be best.
func (v *Verdict) nextBurns(a Axis) {
	in := map[string]bool{}
	for _, e := range a.CouldBeBest {
		in[e] = true
	}
	for _, p := range a.Pairs {
		if in[p.A] && in[p.B] && p.more() != "" {
			v.Next = append(v.Next, fmt.Sprintf("%s and %s: %s", p.A, p.B, p.more()))
		}
	}
}

// notTested lists what no burn of the trial says anything about.
func notTested(t *trial.Reduced) []string {
	var out []string
	if !windTested(t) {
		out = append(out, "wind: no burn had more than a draught on record")
	}
	lowest, highest := math.Inf(1), math.Inf(-1)
	fuels, pots := map[string]bool{}, map[string]bool{}
	simmered := false
	for i := range t.Results {
		b := &t.Results[i]
		site := t.Site.Over(b.Site)
		if site.Air.Given {
			lowest, highest = min(lowest, site.Air.Value.Celsius()), max(highest, site.Air.Value.Celsius())
		}
		e, _ := t.Entry(b.Entry)
		fuels[e.Fuel], pots[e.Pot] = true, true
		if _, ok := b.Result.Figure(reduce.SimmerPower); ok {
			simmered = true
		}
	}
	switch {
	case math.IsInf(lowest, 1):
		out = append(out, "cold and heat: no air temperature was written down")
	default:
		out = append(out, fmt.Sprintf("air colder than %.0f °C or warmer than %.0f °C", math.Floor(lowest), math.Ceil(highest)))
	}
	if len(fuels) < 2 {
		out = append(out, "other fuels")
	}
	if len(pots) < 2 {
		out = append(out, "other pots")
	}
	out = append(out, "other doses, other heights above the sea, other hands")
	if !simmered {
		out = append(out, "simmering")
	}
	return append(out, "soot, carbon monoxide, and whether any of this is safe or allowed where you are")
}

func windTested(t *trial.Reduced) bool {
	for i := range t.Results {
		site := t.Site.Over(t.Results[i].Site)
		if site.Wind.Given && site.Wind.Value > 0.5 || site.WindWord == "breeze" || site.WindWord == "wind" {
			return true
		}
	}
	return false
}
