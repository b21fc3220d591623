package repeat

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// what an axis counts, in words.
func (a Axis) what() string {
	if a.Metric.Info().Kind == reduce.Time {
		return "time"
	}
	return "fuel"
}

// does is what the best of an axis does.
func (a Axis) does() string {
	if a.Metric.Info().Kind == reduce.Time {
		return "boils fastest"
	}
	return "needs the least fuel"
}

// silent names the testers who burned both entries of a pair too seldom to say
// anything alone.
func (p Pair) silent() []string {
	var names []string
	for _, s := range p.Sides {
		if s.Class == verdict.TooFew {
			names = append(names, s.Tester)
		}
	}
	return names
}

// words says what one tester found, such as "Ash took 9 % less time for Alder".
func (s Side) words(p Pair, a Axis) string {
	other, ratio := p.B, s.Ratio
	if s.Ahead == p.B {
		other, ratio = p.A, inverse(s.Ratio)
	}
	switch {
	case s.Class == verdict.TooFew:
		return s.Tester + " has too few burns"
	case s.Class == verdict.EqualInPractice:
		return fmt.Sprintf("for %s they are equal in practice", s.Tester)
	case s.Ahead == "":
		return fmt.Sprintf("%s found neither ahead", s.Tester)
	case s.Ranked:
		return fmt.Sprintf("for %s %s beat %s by ranks, a burn that did not boil losing to every boil%s", s.Tester, s.Ahead, other, s.doubt())
	}
	return fmt.Sprintf("for %s %s took %s less %s than %s%s", s.Tester, s.Ahead, verdict.Percent(1-ratio), a.what(), other, s.doubt())
}

// doubt says that a tester's burns alone do not show what they read.
func (s Side) doubt() string {
	switch {
	case len(s.DependsOn) > 0:
		return ", which depends on " + verdict.List(s.DependsOn)
	case !s.Class.Decided():
		return ", which that tester's burns alone do not show"
	}
	return ""
}

// each says what every tester found.
func (p Pair) each(a Axis) string {
	var said []string
	for _, s := range p.Sides {
		said = append(said, s.words(p, a))
	}
	return strings.Join(said, "; ")
}

// mean says what the mean over testers is, with its interval, seen from the
// better entry.
func (c *Comparison) mean(p Pair, a Axis) string {
	if p.Ratio == 0 {
		return ""
	}
	ratio, lo, hi := p.Ratio, p.Lo, p.Hi
	of := p.A
	if p.Better == p.B || p.Better == "" && ratio > 1 {
		ratio, lo, hi, of = 1/ratio, 1/hi, 1/lo, p.B
	}
	allowing := ""
	if n := len(a.Pairs); n > 1 {
		allowing = fmt.Sprintf(", allowing for all %d comparisons", n)
	}
	return fmt.Sprintf("over %d testers %s took %s less %s (%s interval %s, with the testers as the sample%s)",
		p.Among, of, verdict.Percent(1-ratio), a.what(), verdict.Confidence(c.Level), reach(lo, hi), allowing)
}

// widest is the change beyond which an interval is only said to be wide: few
// testers leave intervals that no burner could fill.
const widest = 4

// reach writes an interval of ratios; ends that mean nothing are not printed as
// figures.
func reach(lo, hi float64) string {
	if lo < 1 && hi > 1 && (hi > widest || lo < 1.0/widest) {
		return "too wide to say anything"
	}
	return verdict.Span(lo, hi)
}

func and(before, words string) string {
	if words == "" {
		return ""
	}
	return before + words
}

// sentence says a pair in words that the figures carry.
func (c *Comparison) sentence(p Pair, a Axis) string {
	pair := p.A + " and " + p.B
	switch p.Class {
	case TooFew:
		if len(p.Sides) == 0 {
			return pair + ": no tester has both here"
		}
		return fmt.Sprintf("%s: fewer than two testers have enough burns of both (%s)", pair, p.each(a))
	case Depends:
		return fmt.Sprintf("%s: it depends on the tester: %s", pair, p.each(a))
	case NotSettled:
		return fmt.Sprintf("%s: not settled across testers: %s%s", pair, p.each(a), and("; ", c.mean(p, a)))
	case Across:
		if p.Better == "" {
			return fmt.Sprintf("%s are equal in practice across testers: %s", pair, c.mean(p, a))
		}
		return fmt.Sprintf("%s: it holds across testers, not for each alone: %s", pair, c.mean(p, a))
	}
	if p.Better == "" {
		return fmt.Sprintf("%s are equal in practice for %s", pair, p.every())
	}
	return fmt.Sprintf("%s: %s took less %s for %s: %s", pair, p.Better, a.what(), p.every(), p.each(a))
}

// every is all testers of a pair, or those who have enough burns.
func (p Pair) every() string {
	silent := p.silent()
	if len(silent) == 0 {
		return "every tester"
	}
	return fmt.Sprintf("every tester with enough burns (not %s)", verdict.List(silent))
}

// claim is what the trial that is repeated says: one entry is the best, or
// several are equal in practice. Neither: nothing was settled there.
type claim struct {
	best  string
	pairs []Pair // that must hold for it
}

// claimed finds the claim on an axis, among the entries that others burned too.
// Where the first trial left it open, testers together may still show a best.
func (c *Comparison) claimed(a Axis) claim {
	first := c.Testers[0]
	if len(first.Best) == 1 && c.shared(first.Best[0]) {
		return claim{first.Best[0], of(a.Pairs, first.Best[0])}
	}
	if first.Class == verdict.EqualInPractice {
		var k claim
		for _, p := range a.Pairs {
			if slices.Contains(first.Best, p.A) && slices.Contains(first.Best, p.B) {
				k.pairs = append(k.pairs, p)
			}
		}
		return k
	}
	for _, e := range c.Entries {
		pairs := of(a.Pairs, e.Name)
		if !slices.ContainsFunc(pairs, func(p Pair) bool { return !p.holds() || p.Better != e.Name }) {
			return claim{e.Name, pairs}
		}
	}
	return claim{}
}

func (c *Comparison) shared(entry string) bool {
	return slices.ContainsFunc(c.Entries, func(e Entry) bool { return e.Name == entry })
}

func of(pairs []Pair, entry string) []Pair {
	return slices.DeleteFunc(slices.Clone(pairs), func(p Pair) bool { return p.A != entry && p.B != entry })
}

func (p Pair) holds() bool { return p.Class == ForEvery || p.Class == Across }

// conclude writes class and sentence from the axis that judges.
func (c *Comparison) conclude() {
	a := c.Axes[0]
	defer c.because()
	switch {
	case len(c.Testers) < 2:
		c.Class, c.Sentence = TooFew, fmt.Sprintf("Too few testers: only the burns of %s are here, so nothing says whether it holds for others.", c.Testers[0].Name)
		return
	case len(c.Entries) < 2:
		c.Class, c.Sentence = TooFew, fmt.Sprintf("Too few testers: no two entries were burned by two of the %d testers.", len(c.Testers))
		return
	case !slices.ContainsFunc(a.Pairs, func(p Pair) bool { return p.Class != TooFew }):
		c.Class, c.Sentence = TooFew, "Too few testers: no two entries have enough burns at the reference by two testers."
		return
	}
	k := c.claimed(a)
	c.Class = c.classOf(k)
	c.Sentence = c.words(k, a)
}

// classOf is how far a claim holds: no further than the weakest of its pairs.
func (c *Comparison) classOf(k claim) Class {
	for _, t := range c.Testers {
		if k.best != "" && len(t.Best) == 1 && t.Best[0] != k.best && c.shared(t.Best[0]) {
			return Depends
		}
	}
	if k.best != "" && c.bestForAll(k) {
		return ForEvery
	}
	if len(k.pairs) == 0 {
		k.pairs = c.Axes[0].Pairs
		if !slices.ContainsFunc(k.pairs, func(p Pair) bool { return p.Class == Depends }) {
			return NotSettled
		}
	}
	weakest := 0
	for _, p := range k.pairs {
		weakest = max(weakest, slices.Index(weaker, k.standing(p)))
	}
	return weaker[weakest]
}

// weaker lists the classes from the strongest.
var weaker = []Class{ForEvery, Across, TooFew, NotSettled, Depends}

// standing is how far one pair carries a claim: a pair that holds for something
// else does not.
func (k claim) standing(p Pair) Class {
	if p.holds() && p.Better != k.best {
		return NotSettled
	}
	return p.Class
}

// bestForAll reports whether every tester's own verdict names the same best,
// each among all entries that are compared.
func (c *Comparison) bestForAll(k claim) bool {
	return !slices.ContainsFunc(c.Testers, func(t Tester) bool { return len(t.Best) != 1 || t.Best[0] != k.best }) &&
		!slices.ContainsFunc(k.pairs, func(p Pair) bool { return len(p.Sides) < len(c.Testers) || p.Class == TooFew })
}

// words says the answer in one sentence.
func (c *Comparison) words(k claim, a Axis) string {
	n := len(c.Testers)
	who := fmt.Sprintf("each of %d", n)
	if heard := k.heard(); heard < n {
		who = fmt.Sprintf("each of the %d (of %d) with enough burns", heard, n)
	}
	among := ""
	if len(c.Alone) > 0 || slices.ContainsFunc(c.Entries, func(e Entry) bool { return len(e.Testers) < n }) {
		among = ", among the entries that testers share"
	}
	switch {
	case c.Class == ForEvery && k.best != "":
		return fmt.Sprintf("It holds for every tester: %s finds that %s %s%s.", who, k.best, a.does(), among)
	case c.Class == ForEvery:
		return fmt.Sprintf("It holds for every tester: %s finds %s equal in practice, within %s%s.", who, k.names(), verdict.Percent(c.Margin), among)
	case c.Class == Across && k.best != "":
		return fmt.Sprintf("Across testers, though not for each alone: %s %s%s; against %s, the closest, %s.", k.best, a.does(), among, k.next(), c.mean(k.closest(), a))
	case c.Class == Across:
		return fmt.Sprintf("Across testers, though not for each alone: %s are equal in practice, within %s%s.", k.names(), verdict.Percent(c.Margin), among)
	case c.Class == Depends:
		return fmt.Sprintf("It depends on the tester: %s.", c.disagreement(k, a))
	case c.Class == TooFew:
		return fmt.Sprintf("Too few testers have enough burns to say whether it holds that %s %s.", k.best, a.does())
	case k.best == "":
		return fmt.Sprintf("Not settled across %d testers, as it was not in the trial that they repeat.", n)
	}
	return fmt.Sprintf("Not settled across %d testers: %s.", n, c.open(k, a))
}

// heard is the number of testers who alone say something of a claim.
func (k claim) heard() int {
	names := map[string]bool{}
	for _, p := range k.pairs {
		for _, s := range p.Sides {
			if s.Class != verdict.TooFew {
				names[s.Tester] = true
			}
		}
	}
	return len(names)
}

// names are the entries that a claim is about.
func (k claim) names() string {
	var names []string
	for _, p := range k.pairs {
		for _, name := range []string{p.A, p.B} {
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return verdict.List(names)
}

// closest is the pair of the best with the entry that comes nearest to it.
func (k claim) closest() Pair {
	return slices.MinFunc(k.pairs, func(p, q Pair) int {
		if math.Abs(math.Log(p.Ratio)) < math.Abs(math.Log(q.Ratio)) {
			return -1
		}
		return 1
	})
}

func (k claim) next() string {
	if p := k.closest(); p.A != k.best {
		return p.A
	}
	return k.closest().B
}

// disagreement says in what testers contradict each other: the pairs that depend
// on the tester, those of the claim first, or else their different bests.
func (c *Comparison) disagreement(k claim, a Axis) string {
	for _, p := range append(slices.Clone(k.pairs), a.Pairs...) {
		if p.Class == Depends {
			return p.each(a)
		}
	}
	var said []string
	for _, t := range c.Testers {
		said = append(said, fmt.Sprintf("%s finds %s best", t.Name, orNone(t.Best)))
	}
	return strings.Join(said, "; ")
}

func orNone(best []string) string {
	if len(best) != 1 {
		return "no single one"
	}
	return best[0]
}

// open says what keeps a claim from holding: the first pair that does not.
func (c *Comparison) open(k claim, a Axis) string {
	for _, p := range k.pairs {
		if p.Class == NotSettled {
			return p.each(a) + and("; ", c.mean(p, a))
		}
	}
	for _, p := range k.pairs {
		if !p.holds() || p.Better != k.best {
			return c.sentence(p, a)
		}
	}
	return "no tester's verdict and no mean shows it"
}

// because lists what stands beside the sentence.
func (c *Comparison) because() {
	for _, t := range c.Testers {
		c.Because = append(c.Because, t.Name+": "+strings.TrimSuffix(t.Sentence, "."))
	}
	if n := len(c.Testers); n > 1 && c.Indicative() {
		c.Because = append(c.Because, fmt.Sprintf("with %d testers everything between testers is indicative: how much testers differ is known from %d numbers", n, n))
	}
	switch c.JudgeBy {
	case trial.Surest, trial.Lightest:
		c.Because = append(c.Because, fmt.Sprintf("the trial is judged by %s; between testers time and fuel are compared, and this sentence is on %s", c.JudgeBy, c.Axes[0].Name))
	}
	var differ []string
	for _, e := range c.Entries {
		if len(e.Built) > 0 {
			differ = append(differ, e.Name)
		}
	}
	if len(differ) > 0 {
		c.Because = append(c.Because, fmt.Sprintf("not built alike by all testers: %s (under findings); what is said of it is of the name, not of one burner", verdict.List(differ)))
	}
	for _, e := range c.Entries {
		for _, b := range e.Boils {
			if b.Boils < b.Tried {
				c.Because = append(c.Because, fmt.Sprintf("%s boiled in %d of %d burns of %s", e.Name, b.Boils, b.Tried, b.Tester))
			}
		}
	}
}
