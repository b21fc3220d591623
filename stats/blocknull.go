package stats

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"sync"
)

// blockDraws is how many trials are drawn under each pattern of spreads. The
// level is then met within ±0.3 points (two standard errors of 5 % in 20 000).
const blockDraws = 20_000

// spreads are the patterns of standard deviations under which the multiple must
// hold, as functions of the rank of a group among k.
var spreads = []func(rank, k int) float64{
	func(int, int) float64 { return 1 },
	func(rank, k int) float64 { return math.Pow(4, 1-float64(rank)/float64(k-1)) },
	loud(1, 4),
	loud(2, 4),
	func(rank, k int) float64 { return loud(k/2, 4)(rank, k) },
	loud(1, 0.25),
}

// loud is the pattern of the first n groups, whose standard deviation is sd where that of
// the others is 1.
func loud(n int, sd float64) func(rank, k int) float64 {
	return func(rank, _ int) float64 {
		if rank < n {
			return sd
		}
		return 1
	}
}

// blockTrial is a trial without differences, drawn anew again and again.
type blockTrial struct {
	*blockLayout
	sd      []float64 // of a value of each group
	scale   []float64 // standard deviation of the mean of each cell
	errs    []float64 // of each cell
	totals  []float64 // of the errors over all, groups 1 and on, blocks 1 and on
	levels  []float64 // of each block
	effects []float64 // of each group, from group 0
	squares []float64 // of residuals, then the variance of each group
}

// trial prepares trials whose errors have standard deviations sd.
func (l *blockLayout) trial(sd []float64) blockTrial {
	t := blockTrial{
		blockLayout: l,
		sd:          sd,
		errs:        make([]float64, len(l.cells)),
		totals:      make([]float64, l.groups+len(l.sizes)-1),
		levels:      make([]float64, len(l.sizes)),
		effects:     make([]float64, l.groups),
		squares:     make([]float64, l.groups),
	}
	for _, c := range l.cells {
		t.scale = append(t.scale, sd[c.group]/math.Sqrt(c.n))
	}
	return t
}

// draw fills effects and variances from new errors.
func (t *blockTrial) draw(rng *rand.Rand) {
	for n, sd := range t.scale {
		t.errs[n] = sd * rng.NormFloat64()
	}
	t.fit()
	clear(t.squares)
	for n, c := range t.cells {
		e := t.errs[n] - t.effects[c.group] - t.levels[c.block]
		t.squares[c.group] += c.n * e * e
	}
	for g, nu := range t.beside {
		if nu > 0 {
			t.squares[g] += t.sd[g] * t.sd[g] * ChiSquared(rng, nu)
		}
	}
	t.variances(t.squares)
}

// ChiSquared draws from the distribution of nu squares of normal values, nu a whole
// number of 1 or more.
//
// Source: G. Marsaglia and W. W. Tsang, 2000, A simple method for generating gamma
// variables, ACM Transactions on Mathematical Software 26:363.
func ChiSquared(rng *rand.Rand, nu float64) float64 {
	if nu < 2 {
		z := rng.NormFloat64()
		return z * z
	}
	d := nu/2 - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		z := rng.NormFloat64()
		v := 1 + c*z
		v *= v * v
		if v > 0 && math.Log(1-rng.Float64()) < z*z/2+d*(1-v+math.Log(v)) {
			return 2 * d * v
		}
	}
}

// fit fills effects and levels. The errors are of order 1 and without large common
// parts, so that here the normal equations lose nothing.
func (t *blockTrial) fit() {
	clear(t.totals)
	clear(t.levels)
	for n, c := range t.cells {
		sum := c.n * t.errs[n]
		t.totals[0] += sum
		if c.group > 0 {
			t.totals[c.group] += sum
		}
		t.levels[c.block] += sum
	}
	copy(t.totals[t.groups:], t.levels[1:])
	for g, row := range t.cofactors {
		b := 0.0
		for m, v := range row {
			b += v * t.totals[m]
		}
		t.effects[g+1] = b
	}
	for _, c := range t.cells {
		t.levels[c.block] -= c.n * t.effects[c.group]
	}
	for b, n := range t.sizes {
		t.levels[b] /= n
	}
}

// largest is the largest |d|/se of all pairs.
func (t *blockTrial) largest() float64 {
	most := 0.0
	for i := range t.groups {
		for j := i + 1; j < t.groups; j++ {
			d := t.effects[i] - t.effects[j]
			most = max(most, d*d/t.pairVariance(i, j, t.squares))
		}
	}
	return math.Sqrt(most)
}

// blockNull holds, for each pattern of spreads, the largest |d|/se of each
// drawn trial, in rising order.
type blockNull struct {
	largest [][]float64
	known   normalRange // of the groups, were their spreads known
}

// null draws trials without differences. Each pattern has its own stream, so
// that they can run side by side and still give the same digits.
func (l *blockLayout) null(seed uint64) blockNull {
	out := blockNull{largest: make([][]float64, len(spreads)), known: newNormalRange(l.groups)}
	var all sync.WaitGroup
	for p, spread := range spreads {
		all.Go(func() {
			out.largest[p] = l.draw(rand.New(rand.NewPCG(seed, uint64(p))), spread)
		})
	}
	all.Wait()
	return out
}

// draw returns the largest |d|/se of each of blockDraws trials. The patterns
// start with the groups that show least of their own scatter: with missing cells
// the level must hold also when just these are the restless ones.
func (l *blockLayout) draw(rng *rand.Rand, spread func(rank, k int) float64) []float64 {
	largest, sd := make([]float64, blockDraws), make([]float64, l.groups)
	for rank, g := range l.leastFirst() {
		sd[g] = spread(rank, l.groups)
	}
	trial := l.trial(sd)
	for n := range largest {
		trial.draw(rng)
		largest[n] = trial.largest()
	}
	slices.Sort(largest)
	return largest
}

// leastFirst returns the groups by rising degrees of freedom of their own.
func (l *blockLayout) leastFirst() []int {
	groups := make([]int, l.groups)
	for g := range groups {
		groups[g] = g
	}
	slices.SortStableFunc(groups, func(a, b int) int { return cmp.Compare(math.Round(1e6*l.own[a]), math.Round(1e6*l.own[b])) })
	return groups
}

// quantile returns the multiple that holds the level under every pattern: the
// order statistic at (1−p)(draws+1), for a two-sided p.
func (n blockNull) quantile(p float64) float64 {
	c := 0.0
	for _, l := range n.largest {
		c = max(c, l[int(math.Ceil((1-p)*float64(len(l)+1)-1e-9))-1])
	}
	return c
}

// tail returns the share of trials at or above t under the worst pattern.
func (n blockNull) tail(t float64) float64 {
	p := 0.0
	for _, l := range n.largest {
		at, _ := slices.BinarySearch(l, t)
		p = max(p, float64(1+len(l)-at)/float64(1+len(l)))
	}
	return p
}

// rangeMultiple is what the multiple would be if all spreads were known and
// equal: q(1−p; k, ∞)/√2.
func (n blockNull) rangeMultiple(p float64) float64 {
	return n.known.quantile(math.Inf(1), p) / math.Sqrt2
}

// tailWidened is tail with an extra variance beside the variance of scatter: the
// least share p, in steps of 1/(draws+1), whose half-width stays below the
// difference. That is so where scatter alone leaves room for x·√extraVar and the
// range of known spread passes √2·x less often than p.
func (n blockNull) tailWidened(difference, scatter, extraVar float64) float64 {
	const steps = blockDraws + 1
	h := 1 + sort.Search(steps-1, func(h int) bool {
		p := float64(h+1) / steps
		c := n.quantile(p)
		room := (difference*difference - c*c*scatter) / extraVar
		return room > 0 && n.known.survival(math.Inf(1), math.Sqrt(2*room)) < p
	})
	return float64(h) / steps
}

// halfWidth adds in quadrature the half-widths that scatter and extra variance
// would have alone.
func halfWidth(multiple, known, scatter, extraVar float64) float64 {
	return math.Sqrt(multiple*multiple*scatter + known*known*extraVar)
}
