package stats

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mathext"

	"fairburn/linear"
)

// FewEvents is the number of events below which the χ² of the log-rank test is
// not to be trusted and its permutation p takes its place.
const FewEvents = 10

// LogRank is the log-rank test of several groups of times.
type LogRank struct {
	Observed, Expected []float64 // events of each group, summed over strata
	Events             int
	ChiSquared         float64
	DF                 int
	// P belongs to χ², or with fewer than FewEvents events to the permutation
	// test; Permuted says which.
	P        float64
	Permuted bool
	// Arrangements counts what a permutation p rests on; Sampled says that they
	// were drawn rather than enumerated.
	Arrangements int
	Sampled      bool
}

// LogRankTest tests whether all groups have the same curve. strata[b][g] holds
// the times of group g in stratum (block) b; a trial without blocks is one
// stratum, and a group may be empty in some.
//
// At each event time E_g = d·n_g/n and
// V_gh = d·(n−d)/(n−1)·(n_g/n)·(δ_gh − n_h/n); O, E, V are summed over times and
// strata, and χ² = (O−E)ᵀV⁻(O−E) without one group.
//
// With fewer than FewEvents events the labels are exchanged within strata: O−E
// is the sum over a group of the scores event − Λ̂(t), Λ̂ the Nelson–Aalen
// estimate of the stratum, and the statistic (O−E)ᵀC⁻(O−E) with C its covariance
// over all arrangements. Up to MaxArrangements/10 arrangements are enumerated,
// else how.Draws drawn and p = (1+hits)/(1+draws).
//
// Errors: fewer than 2 groups, strata of different length, a group without any
// value, a time that is negative or not finite, no event, events that cannot
// tell the groups apart, too few draws.
//
// Source: N. Mantel, 1966, Cancer Chemotherapy Reports 50:163; R. Peto and
// J. Peto, 1972, Journal of the Royal Statistical Society A 135:185; scores:
// J. D. Kalbfleisch and R. L. Prentice, 1980, The Statistical Analysis of
// Failure Time Data, section 6.2.
func LogRankTest(strata [][][]Observed, how Resampling) (LogRank, error) {
	groups, err := checkStrata(strata)
	if err != nil {
		return LogRank{}, err
	}
	r := LogRank{Observed: make([]float64, groups), Expected: make([]float64, groups), DF: groups - 1}
	v := linear.Square(groups)
	for _, s := range strata {
		r.addStratum(s, v)
	}
	if r.Events == 0 {
		return LogRank{}, fmt.Errorf("log-rank test: %w", ErrNoEvent)
	}
	difference := make([]float64, groups)
	for g := range difference {
		difference[g] = r.Observed[g] - r.Expected[g]
	}
	chol, ok := linear.Factor(v[:groups-1])
	if !ok {
		return LogRank{}, fmt.Errorf("log-rank test: %w: no event happened while values of every group were at risk, expected times that overlap", ErrNoSpread)
	}
	r.ChiSquared = quadratic(chol, difference)
	r.P = mathext.GammaIncRegComp(float64(r.DF)/2, r.ChiSquared/2)
	if r.Events < FewEvents {
		return r, r.permute(strata, how)
	}
	return r, nil
}

// addStratum adds observed and expected events and their covariance.
func (r *LogRank) addStratum(groups [][]Observed, v [][]float64) {
	for _, t := range eventTimes(groups) {
		atRisk, n, d := make([]float64, len(groups)), 0.0, 0.0
		for g, values := range groups {
			for _, o := range values {
				if o.Time >= t {
					atRisk[g]++
					n++
				}
				if o.Time == t && o.Event {
					r.Observed[g]++
					r.Events++
					d++
				}
			}
		}
		for g := range groups {
			r.Expected[g] += d * atRisk[g] / n
		}
		if n > 1 {
			addMultinomial(v, d*(n-d)/(n-1), atRisk, n)
		}
	}
}

// addMultinomial adds c·(n_g/n)(δ_gh − n_h/n) to v.
func addMultinomial(v [][]float64, c float64, size []float64, n float64) {
	for g := range size {
		for h := range g + 1 { // the lower half
			same := 0.0
			if g == h {
				same = 1
			}
			v[g][h] += c * size[h] / n * (same - size[g]/n)
		}
	}
}

// eventTimes returns the distinct times of events of all groups, in order.
func eventTimes(groups [][]Observed) []float64 {
	var times []float64
	for _, o := range slices.Concat(groups...) {
		if o.Event {
			times = append(times, o.Time)
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
}

// quadratic is xᵀA⁻¹x for the leading part of x that A covers.
func quadratic(a linear.Cholesky, x []float64) float64 {
	x = x[:len(a)]
	return floats.Dot(x, a.Solve(x))
}

// relabelled is one stratum of a permutation: scores with the label of each.
type relabelled struct {
	scores []float64
	label  []int
}

// permutation of labels within strata, tallying the statistic.
type relabelling struct {
	strata      []relabelled
	covariance  linear.Cholesky
	sums        []float64 // of the scores of each group
	seen        float64   // the statistic observed, less 1e-10 for rounding
	count, hits int
}

// permute replaces P by the permutation p.
func (r *LogRank) permute(strata [][][]Observed, how Resampling) error {
	groups := len(r.Observed)
	walk := relabelling{strata: make([]relabelled, len(strata)), sums: make([]float64, groups)}
	c := linear.Square(groups)
	arrangements := 1.0
	for b, s := range strata {
		arrangements *= walk.addStratum(b, s, c)
	}
	var ok bool
	if walk.covariance, ok = linear.Factor(c[:groups-1]); !ok {
		return fmt.Errorf("log-rank test: %w: the blocks do not join all groups, expected every group to share a block with another", ErrNoSpread)
	}
	seen := quadratic(walk.covariance, walk.sums)
	walk.seen = seen - 1e-10*(1+seen)
	clear(walk.sums)
	r.Permuted, r.Sampled = true, arrangements > MaxArrangements/10
	if r.Sampled {
		if how.Draws < 1 {
			return fmt.Errorf("log-rank test: %w: %d draws, expected at least 1", ErrOutOfRange, how.Draws)
		}
		walk.sample(how)
		r.Arrangements, r.P = walk.count, float64(1+walk.hits)/float64(1+walk.count)
		return nil
	}
	walk.visit(0, 0)
	r.Arrangements, r.P = walk.count, float64(walk.hits)/float64(walk.count)
	return nil
}

// addStratum scores the values of a stratum, adds them to the sums of their
// groups, adds the covariance of such sums over all arrangements and returns how
// many arrangements there are.
func (w *relabelling) addStratum(b int, groups [][]Observed, c [][]float64) float64 {
	all := slices.Concat(groups...)
	times := eventTimes(groups)
	squares, arrangements := 0.0, 1.0
	size := make([]float64, len(groups))
	s := &w.strata[b]
	for g, values := range groups {
		size[g] = float64(len(values))
		for i, o := range values {
			score := o.score(all, times)
			squares += score * score // the scores of a stratum sum to zero
			s.scores, s.label = append(s.scores, score), append(s.label, g)
			w.sums[g] += score
			arrangements *= float64(len(s.scores)) / float64(i+1)
		}
	}
	if n := float64(len(all)); n > 1 {
		addMultinomial(c, n*squares/(n-1), size, n)
	}
	return arrangements
}

// score is the log-rank score event − Λ̂(t) within the values of a stratum.
func (o Observed) score(all []Observed, times []float64) float64 {
	score := 0.0
	if o.Event {
		score = 1
	}
	for _, t := range times {
		if t > o.Time {
			break
		}
		n, d := 0.0, 0.0
		for _, other := range all {
			if other.Time >= t {
				n++
			}
			if other.Time == t && other.Event {
				d++
			}
		}
		score -= d / n
	}
	return score
}

func (w *relabelling) tally() {
	w.count++
	if quadratic(w.covariance, w.sums) >= w.seen {
		w.hits++
	}
}

// visit gives value i of stratum b each label that is still left among the
// values from i on, and tallies when all have one.
func (w *relabelling) visit(b, i int) {
	if b == len(w.strata) {
		w.tally()
		return
	}
	s := w.strata[b]
	if i == len(s.scores) {
		w.visit(b+1, 0)
		return
	}
	for j := i; j < len(s.label); j++ {
		if slices.Contains(s.label[i:j], s.label[j]) {
			continue
		}
		g := s.label[j]
		s.label[i], s.label[j] = s.label[j], s.label[i]
		w.sums[g] += s.scores[i]
		w.visit(b, i+1)
		w.sums[g] -= s.scores[i]
		s.label[i], s.label[j] = s.label[j], s.label[i]
	}
}

func (w *relabelling) sample(how Resampling) {
	rng := rand.New(rand.NewPCG(how.Seed, 0))
	for range how.Draws {
		clear(w.sums)
		for _, s := range w.strata {
			rng.Shuffle(len(s.label), func(i, j int) { s.label[i], s.label[j] = s.label[j], s.label[i] })
			for i, g := range s.label {
				w.sums[g] += s.scores[i]
			}
		}
		w.tally()
	}
}

func checkStrata(strata [][][]Observed) (groups int, err error) {
	if len(strata) == 0 || len(strata[0]) < 2 {
		return 0, fmt.Errorf("log-rank test: %w: fewer than 2 groups", ErrTooFew)
	}
	groups = len(strata[0])
	all := make([][]Observed, groups)
	for b, s := range strata {
		if len(s) != groups {
			return 0, fmt.Errorf("log-rank test: %w: block %d has %d groups, expected %d as in block 1", ErrOutOfRange, b+1, len(s), groups)
		}
		for g := range s {
			all[g] = append(all[g], s[g]...)
		}
	}
	for g, values := range all {
		if len(values) == 0 {
			return 0, fmt.Errorf("log-rank test: %w: group %d has none, at least 1 needed", ErrTooFew, g+1)
		}
	}
	if err := checkObserved(slices.Concat(all...)); err != nil {
		return 0, fmt.Errorf("log-rank test: %w", err)
	}
	return groups, nil
}
