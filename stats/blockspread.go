package stats

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"sort"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// ownShare is how much of a group's variance comes from its own residuals; the
// rest comes from the residuals of all. Shares from 1/2 to 3/4 give limits of
// like width in the simulation; less pays for the multiple that the pool needs
// when groups differ, more for few degrees of freedom.
const ownShare = 0.75

// blockDraws is how many trials are drawn under each pattern of spreads. The
// level is then met within ±0.3 points (two standard errors of 5 % in 20 000).
const blockDraws = 20_000

// blockLayout is what the test needs of a fit apart from its values.
type blockLayout struct {
	groups    int
	group     []int
	columns   [][]int     // of each value, the columns of the model that are 1
	cofactors [][]float64 // (XᵀX)⁻¹ of the model
	own       []float64   // Σ(1−h) over the values of each group
	df        float64
	shares    [][]share // of each pair, what enters its se²
}

// share is Σ a² over the values of a group, a their weights in a difference.
type share struct {
	group   int
	squares float64
}

func newBlockLayout(f *BlockFit) *blockLayout {
	l := &blockLayout{groups: f.Groups, group: f.data.Group, own: make([]float64, f.Groups), df: float64(f.Model.DF)}
	for n, g := range l.group {
		l.own[g] += 1 - f.Model.Leverage[n]
		columns := []int{0}
		if g > 0 {
			columns = append(columns, g)
		}
		if b := f.data.Block[n]; b > 0 {
			columns = append(columns, f.Groups-1+b)
		}
		l.columns = append(l.columns, columns)
	}
	for c := range f.Model.Coefficients {
		l.cofactors = append(l.cofactors, mat.Row(nil, c, f.Model.cofactors))
	}
	for i := range f.Groups {
		for j := i + 1; j < f.Groups; j++ {
			l.shares = append(l.shares, sharesOf(f, i, j))
		}
	}
	return l
}

// sharesOf returns the groups that enter the difference of groups i and j, i
// below j: these two alone with complete blocks, others too with missing cells.
func sharesOf(f *BlockFit, i, j int) []share {
	squares := make([]float64, f.Groups)
	for n, g := range f.data.Group {
		a := f.Model.weights.At(j, n)
		if i > 0 {
			a -= f.Model.weights.At(i, n)
		}
		squares[g] += a * a
	}
	var out []share
	for g, s := range squares {
		if s > 1e-20 {
			out = append(out, share{g, s})
		}
	}
	return out
}

// fit turns errs into their residuals and returns in b the coefficients of the
// model. The errors are drawn, of order 1 and without large common parts, so
// that here the normal equations lose nothing.
func (l *blockLayout) fit(errs, xty, b []float64) {
	clear(xty)
	for n, columns := range l.columns {
		for _, c := range columns {
			xty[c] += errs[n]
		}
	}
	for c, row := range l.cofactors {
		b[c] = 0
		for m, v := range row {
			b[c] += v * xty[m]
		}
	}
	for n, columns := range l.columns {
		for _, c := range columns {
			errs[n] -= b[c]
		}
	}
}

// variances fills v with the variance of each group from the residuals. A group
// whose values are all fitted exactly has no scatter of its own and takes that of
// all.
func (l *blockLayout) variances(v, residuals []float64) {
	rss := 0.0
	clear(v)
	for n, e := range residuals {
		v[l.group[n]] += e * e
		rss += e * e
	}
	for g := range v {
		pool := rss / l.df
		if l.own[g] < 1e-9 {
			v[g] = pool
			continue
		}
		v[g] = ownShare*v[g]/l.own[g] + (1-ownShare)*pool
	}
}

// pairVariance returns se² of the difference of groups i and j, i below j.
func (l *blockLayout) pairVariance(i, j int, variances []float64) float64 {
	sum := 0.0
	for _, s := range l.shares[i*(2*l.groups-i-1)/2+j-i-1] {
		sum += s.squares * variances[s.group]
	}
	return sum
}

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

// blockNull holds, for each pattern of spreads, the largest |d|/se of each
// drawn trial, in rising order.
type blockNull struct {
	largest [][]float64
	groups  int
	df      float64
}

// null draws trials without differences. Each pattern has its own stream, so
// that they can run side by side and still give the same digits.
func (l *blockLayout) null(seed uint64) blockNull {
	out := blockNull{largest: make([][]float64, len(spreads)), groups: l.groups, df: l.df}
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
	largest, errs, v := make([]float64, blockDraws), make([]float64, len(l.group)), make([]float64, l.groups)
	xty, b := make([]float64, len(l.cofactors)), make([]float64, len(l.cofactors))
	sd := make([]float64, l.groups)
	for rank, g := range l.leastFirst() {
		sd[g] = spread(rank, l.groups)
	}
	for t := range largest {
		for n, g := range l.group {
			errs[n] = sd[g] * rng.NormFloat64()
		}
		l.fit(errs, xty, b)
		l.variances(v, errs)
		b[0] = 0 // group 0 is where the effects of the others count from
		for i := range l.groups {
			for j := i + 1; j < l.groups; j++ {
				d := b[i] - b[j]
				largest[t] = max(largest[t], d*d/l.pairVariance(i, j, v))
			}
		}
		largest[t] = math.Sqrt(largest[t])
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
	return StudentizedRange{K: n.groups, Nu: math.Inf(1)}.Quantile(1-p) / math.Sqrt2
}

// tailWidened is tail with an extra variance beside the variance of scatter: the
// least share p, in steps of 1/(draws+1), whose half-width stays below the
// difference. That is so where scatter alone leaves room for x·√extraVar and the
// range of known spread passes √2·x less often than p.
func (n blockNull) tailWidened(difference, scatter, extraVar float64) float64 {
	const steps = blockDraws + 1
	known := StudentizedRange{K: n.groups, Nu: math.Inf(1)}
	h := 1 + sort.Search(steps-1, func(h int) bool {
		p := float64(h+1) / steps
		c := n.quantile(p)
		room := (difference*difference - c*c*scatter) / extraVar
		return room > 0 && known.Survival(math.Sqrt(2*room)) < p
	})
	return float64(h) / steps
}

// halfWidth adds in quadrature the half-widths that scatter and extra variance
// would have alone.
func halfWidth(multiple, known, scatter, extraVar float64) float64 {
	return math.Sqrt(multiple*multiple*scatter + known*known*extraVar)
}
