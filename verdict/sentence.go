package verdict

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"fairburn/quantity"
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

// span is an interval of a ratio as a size of change: "4 to 14 %", or with its
// directions where it holds no change: "from 3 % less to 2 % more".
func span(lo, hi float64) string {
	switch {
	case hi <= 1:
		return trimSpan(1-hi, 1-lo)
	case lo >= 1:
		return trimSpan(lo-1, hi-1)
	}
	return fmt.Sprintf("from %s less to %s more", percent(1-lo), percent(hi-1))
}

// trimSpan writes both ends to the same digit, a second one where they would
// read alike.
func trimSpan(a, b float64) string {
	digits := 0
	if math.Round(a*100) == math.Round(b*100) || a < 0.01 {
		digits = 1
	}
	return fmt.Sprintf("%.*f to %.*f %%", digits, a*100, digits, b*100)
}

// direction is span with its direction always said.
func direction(lo, hi float64) string {
	switch {
	case hi <= 1:
		return span(lo, hi) + " less"
	case lo >= 1:
		return span(lo, hi) + " more"
	}
	return span(lo, hi)
}

// confidence writes a level: "95 %".
func confidence(level float64) string { return fmt.Sprintf("%.4g %%", level*100) }

// sentence says one pair in words that the figures carry.
func (p *Pair) sentence(k axisKind, r rules) string {
	pair := p.A + " and " + p.B
	switch {
	case p.Class == TooFew:
		return pair + ": too few burns to compare" + after("; ", p.more(r))
	case len(p.DependsOn) > 0:
		return p.dependsSentence()
	case p.why != "":
		return pair + " cannot be compared: " + p.why
	case p.Ranked:
		return p.rankedSentence()
	case p.Class == EqualInPractice:
		return fmt.Sprintf("%s are equal for practical purposes: %s", pair, direction(p.Lo, p.Hi))
	case p.Class == NotSettled:
		return fmt.Sprintf("no difference shown between %s: anything %s fits these burns%s", pair, direction(p.Lo, p.Hi), after("; ", p.more(r)))
	}
	better, worse, ratio, lo, hi := p.A, p.B, p.Ratio, p.Lo, p.Hi
	if ratio > 1 {
		better, worse, ratio, lo, hi = p.B, p.A, 1/ratio, 1/p.Hi, 1/p.Lo
	}
	said := fmt.Sprintf("%s took %s than %s (%s interval %s)", better, k.change(ratio), worse, confidence(r.level), span(lo, hi))
	if p.worthOn != "" {
		said += "; whether by more than is worth having depends on " + p.worthOn
	}
	return said
}

func (p *Pair) dependsSentence() string {
	said := fmt.Sprintf("%s against %s depends on %s", p.A, p.B, listWords(p.DependsOn, "and"))
	if p.reading != "" {
		said += fmt.Sprintf(": %s as it stands, %s otherwise", p.reading, p.otherwise)
	}
	return said
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

// word is what an axis is about.
func (k axisKind) word() string {
	if k.timed {
		return "on time to boil"
	}
	return "on fuel to boil"
}

const oneEntry = "One entry alone can be described but not compared."

// conclude writes the verdict's sentence from the axis that judges.
func (v *Verdict) conclude(a Axis, k axisKind, r rules) {
	switch {
	case len(v.Entries) < 2:
		v.Class, v.Sentence = TooFew, oneEntry
	case a.contest() < 2 || !slices.ContainsFunc(a.Pairs, func(p Pair) bool { return p.Class != TooFew }):
		v.tooFew(a, k, r)
	case len(a.CouldBeBest) == 1:
		v.winner(a, k, a.CouldBeBest[0])
	case a.allEqual():
		v.Class = EqualInPractice
		v.Sentence = fmt.Sprintf("Equal for practical purposes %s: %s differ by less than %s%s.", k.word(), listWords(a.CouldBeBest, "and"), percent(v.Margin), after("; ", a.ruledOut()))
	default:
		v.open(a, k, r)
	}
	if len(a.CouldBeBest) < a.contest() || v.Class == EqualInPractice || len(a.AsGood) > 0 {
		v.silent(a)
	}
	for _, p := range a.Pairs {
		if len(p.DependsOn) > 0 {
			v.Because = append(v.Because, p.Sentence)
		}
	}
}

// contest is the number of entries with burns that count.
func (a Axis) contest() int {
	n := 0
	for _, g := range a.Groups {
		if g.N+g.NoBoil > 0 {
			n++
		}
	}
	return n
}

// silent names the entries of which a verdict that rules something out says
// nothing, for want of burns.
func (v *Verdict) silent(a Axis) {
	for _, g := range a.Groups {
		if g.N+g.NoBoil == 0 {
			v.Because = append(v.Because, fmt.Sprintf("no burn of %s counts, so nothing is said of it", g.Entry))
		}
	}
}

// allEqual reports whether every pair of those that could be best is equal in practice.
func (a Axis) allEqual() bool {
	found := false
	for _, p := range a.Pairs {
		if !slices.Contains(a.CouldBeBest, p.A) || !slices.Contains(a.CouldBeBest, p.B) {
			continue
		}
		if p.Class != EqualInPractice {
			return false
		}
		found = true
	}
	return found
}

// ruledOut says which entries with burns cannot be best: "Cedar is ruled out".
func (a Axis) ruledOut() string {
	var out []string
	for _, g := range a.Groups {
		if g.N+g.NoBoil > 0 && !slices.Contains(a.CouldBeBest, g.Entry) {
			out = append(out, g.Entry)
		}
	}
	switch len(out) {
	case 0:
		return ""
	case 1:
		return out[0] + " is ruled out"
	}
	return listWords(out, "and") + " are ruled out"
}

func (v *Verdict) tooFew(a Axis, k axisKind, r rules) {
	v.Class = TooFew
	v.Sentence = fmt.Sprintf("Too few burns to say which is better %s.", k.word())
	least := math.MaxInt
	for _, g := range a.Groups {
		least = min(least, g.N+g.NoBoil)
	}
	if least < leastBurns {
		v.Next = append(v.Next, fmt.Sprintf("every entry needs at least three burns that count; the fewest have %d", least))
	}
	v.nextBurns(a, r)
}

// winner says that one entry is the best and by how much against the next.
func (v *Verdict) winner(a Axis, k axisKind, best string) {
	next, ok := a.nextBest(best)
	if !ok { // the others have no time or fuel to set against it
		v.Class, v.Sentence = Different, fmt.Sprintf("%s %s.", best, k.verb())
		return
	}
	ratio, lo, hi, other := next.Ratio, next.Lo, next.Hi, next.B
	if next.B == best {
		ratio, lo, hi, other = 1/next.Ratio, 1/next.Hi, 1/next.Lo, next.A
	}
	v.Class = next.Class
	interval := confidence(v.Level) + " interval " + span(lo, hi)
	if len(a.Pairs) > 1 {
		interval += fmt.Sprintf(", allowing for all %d comparisons", len(a.Pairs))
	}
	switch {
	case next.Ranked:
		v.Sentence = fmt.Sprintf("%s %s: a burn that did not boil loses to every boil, and so it beat %s, the next, in %.0f of 100 pairings of their burns.",
			best, k.verb(), other, max(next.Beats, 1-next.Beats)*100)
	case next.Class == EqualInPractice:
		v.Sentence = fmt.Sprintf("%s %s, but by less than is worth having: %s than %s, the next (%s), which is as good for practical purposes.",
			best, k.verb(), k.change(ratio), other, interval)
	case next.Class == NotSettled:
		v.Class = Different
		v.Sentence = fmt.Sprintf("%s %s, %s sure: every other entry is ruled out as best, though %s comes close (%s; two-sided interval %s).",
			best, k.verb(), confidence(v.Level), other, k.change(ratio), span(lo, hi))
	default:
		v.Sentence = fmt.Sprintf("%s %s: %s than %s, the next (%s).", best, k.verb(), k.change(ratio), other, interval)
	}
}

// nextBest is the pair of the best with the entry that comes closest: one that
// always boiled, if there is one, as a burner that fails to boil is never next.
func (a Axis) nextBest(best string) (next Pair, ok bool) {
	distance := func(p Pair) float64 { return math.Abs(math.Log(p.Ratio)) }
	for _, p := range a.Pairs {
		if p.A != best && p.B != best || p.Ratio <= 0 {
			continue
		}
		if !ok || next.Ranked && !p.Ranked || next.Ranked == p.Ranked && distance(p) < distance(next) {
			next, ok = p, true
		}
	}
	return next, ok
}

// open says who is still in, who is out, who is as good as the best, and what
// would settle it.
func (v *Verdict) open(a Axis, k axisKind, r rules) {
	v.Class = NotSettled
	out := a.ruledOut()
	if out == "" {
		out = "nothing is ruled out"
	}
	v.Sentence = fmt.Sprintf("Not settled %s: %s may be best; %s.", k.word(), listWords(a.CouldBeBest, "or"), out)
	switch len(a.AsGood) {
	case 0:
	case 1:
		v.Sentence += fmt.Sprintf(" Whichever is, %s is as good as the best within %s.", a.AsGood[0], percent(v.Margin))
	default:
		v.Sentence += fmt.Sprintf(" Whichever is, %s are as good as the best within %s.", listWords(a.AsGood, "and"), percent(v.Margin))
	}
	v.nextBurns(a, r)
}

// nextBurns says what would settle the pairs among those that could be best.
func (v *Verdict) nextBurns(a Axis, r rules) {
	for _, p := range a.Pairs {
		if slices.Contains(a.CouldBeBest, p.A) && slices.Contains(a.CouldBeBest, p.B) && p.more(r) != "" {
			v.Next = append(v.Next, fmt.Sprintf("%s and %s: %s", p.A, p.B, p.more(r)))
		}
	}
}

// notTested lists what no burn of the trial says anything about.
func notTested(t *trial.Reduced) []string {
	var out []string
	if !windTested(t) {
		out = append(out, "wind: no burn had more than light air on record")
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
		out = append(out, fmt.Sprintf("air colder than %s or warmer than %s", degrees(lowest, t.Units(), math.Floor), degrees(highest, t.Units(), math.Ceil)))
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

// degrees writes a whole temperature.
func degrees(celsius float64, sys quantity.System, whole func(float64) float64) string {
	value, unit := quantity.In(quantity.Celsius(celsius), sys)
	return fmt.Sprintf("%.0f %s", whole(value), unit)
}

// lightAir is the highest speed of air that is felt by smoke alone.
//
// Source: WMO-No. 8, Guide to Instruments and Methods of Observation, volume I,
// chapter 5, Beaufort scale: force 1, light air, 0.3 to 1.5 m/s (from memory).
const lightAir = 1.5 * quantity.MetrePerSecond

// calm are the words for air that hardly moves, none those that deny any other.
var (
	calm = []string{"still", "calm", "nil", "windless", "indoors", "inside", "sheltered", "air", "airs", "draught", "draughts", "draft", "drafts", "light", "slight", "faint", "weak", "very", "almost", "nearly", "a", "dead"}
	none = []string{"no", "none", "not", "nothing", "hardly", "barely", "without", "off"}
)

// windTested reports whether a burn that counts had wind: a speed above light
// air, or a word other than those for air that hardly moves.
func windTested(t *trial.Reduced) bool {
	factor := ""
	if strings.Contains(strings.ToLower(t.Plan.Factor.Name), "wind") {
		factor = t.Plan.Factor.Name
	}
	return slices.ContainsFunc(t.Results, func(b trial.Burned) bool {
		site := t.Site.Over(b.Site)
		return b.Void == "" && (site.Wind.Given && site.Wind.Value > lightAir || !site.Wind.Given && windy(site.WindWord) || windy(b.Levels[factor]))
	})
}

// windy reads a word for the wind as people write it: "still", "light air", "fan low".
func windy(text string) bool {
	words := strings.FieldsFunc(strings.ToLower(text), func(c rune) bool { return !unicode.IsLetter(c) })
	is := func(list []string) func(string) bool {
		return func(w string) bool { return slices.Contains(list, w) }
	}
	denied := slices.ContainsFunc(words, is(none))
	return !denied && len(slices.DeleteFunc(words, is(calm))) > 0
}
