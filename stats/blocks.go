package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/floats"
)

// Blocked holds values of several groups, measured in blocks (days, stations,
// bottles) that move all groups alike. Value n belongs to Group[n] and Block[n],
// both numbered from 0 without gaps. A group may be missing from a block and may
// stand in one more than once.
type Blocked struct {
	Values       []float64
	Group, Block []int
}

// Unconnected is the error for groups that no chain of shared blocks joins:
// their difference cannot be told from a difference of blocks.
type Unconnected struct {
	Sets [][]int // the groups that can be compared with each other, set by set
}

func (u *Unconnected) Error() string {
	sets := make([]string, len(u.Sets))
	for i, s := range u.Sets {
		numbers := make([]string, len(s))
		for j, g := range s {
			numbers[j] = strconv.Itoa(g + 1)
		}
		sets[i] = "groups " + strings.Join(numbers, ", ")
	}
	return strings.Join(sets, " and ") + " share no block, nor a chain of blocks through other groups; add a block with a group of each"
}

// size returns the number of groups and of blocks.
func (d Blocked) size() (groups, blocks int) {
	return slices.Max(d.Group) + 1, slices.Max(d.Block) + 1
}

func (d Blocked) check() error {
	n := len(d.Values)
	switch {
	case n == 0:
		return fmt.Errorf("%w: 0 blocked values, at least 1 needed", ErrTooFew)
	case len(d.Group) != n || len(d.Block) != n:
		return fmt.Errorf("%w: %d values, %d groups and %d blocks, expected as many of each", ErrOutOfRange, n, len(d.Group), len(d.Block))
	}
	for i, v := range d.Values {
		if !finite(v) {
			return fmt.Errorf("%w: value %d is %g", ErrNotFinite, i+1, v)
		}
	}
	for _, label := range []struct {
		name string
		of   []int
	}{{"group", d.Group}, {"block", d.Block}} {
		seen := slices.Compact(slices.Sorted(slices.Values(label.of)))
		for want, got := range seen {
			if got != want {
				return fmt.Errorf("%w: %s number %d where %d was expected, numbers run from 0 without gaps", ErrOutOfRange, label.name, got, want)
			}
		}
	}
	return nil
}

// sorted returns the data in order of block, group and size of value.
func (d Blocked) sorted() Blocked {
	order := make([]int, len(d.Values))
	for n := range order {
		order[n] = n
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(d.Block[a], d.Block[b]), cmp.Compare(d.Group[a], d.Group[b]), cmp.Compare(d.Values[a], d.Values[b]))
	})
	var out Blocked
	for _, n := range order {
		out.Values, out.Group, out.Block = append(out.Values, d.Values[n]), append(out.Group, d.Group[n]), append(out.Block, d.Block[n])
	}
	return out
}

// sets joins groups that share a block, and so on through other groups.
func (d Blocked) sets() [][]int {
	groups, blocks := d.size()
	set := make([]int, groups) // the set of each group, named by one of its groups
	for g := range set {
		set[g] = g
	}
	first := slices.Repeat([]int{-1}, blocks) // a group of each block
	for n, b := range d.Block {
		if first[b] < 0 {
			first[b] = d.Group[n]
		}
		from, to := set[d.Group[n]], set[first[b]]
		for g := range set {
			if set[g] == from {
				set[g] = to
			}
		}
	}
	var out [][]int
	for s := range groups {
		var members []int
		for g := range groups {
			if set[g] == s {
				members = append(members, g)
			}
		}
		if members != nil {
			out = append(out, members)
		}
	}
	return out
}

// Arms returns, block by block, the values of groups i and j in the blocks that
// hold both: the form that [PermuteMeans] takes for the exact test within
// blocks.
func (d Blocked) Arms(i, j int) []Arms {
	_, blocks := d.size()
	all := make([]Arms, blocks)
	for n, v := range d.Values {
		a := &all[d.Block[n]]
		if d.Group[n] == i {
			a.X = append(a.X, v)
		}
		if d.Group[n] == j {
			a.Y = append(a.Y, v)
		}
	}
	return slices.DeleteFunc(all, func(a Arms) bool { return len(a.X) == 0 || len(a.Y) == 0 })
}

// Within returns the differences of the means of groups i and j, i minus j, in
// the blocks that hold both.
func (d Blocked) Within(i, j int) []float64 {
	var out []float64
	for _, a := range d.Arms(i, j) {
		out = append(out, Summarize(a.X).Mean-Summarize(a.Y).Mean)
	}
	return out
}

// BlockFit is the additive model value = group + block + error, fitted by least
// squares to all values at once.
type BlockFit struct {
	Groups, Blocks int
	// Means are the adjusted means: what each group would average over all
	// blocks, each block counted once. With complete blocks they are the plain
	// means of the groups.
	Means []float64
	// Model is the fit behind them. Its columns are the constant, groups 1 and
	// on as differences from group 0, blocks 1 and on as differences from block
	// 0; SequentialSS(1, Groups) is the sum of squares of groups before blocks.
	Model *Fit

	data     Blocked
	contrast [][]float64 // row g: the mean of group g as a sum over coefficients
}

// FitBlocks fits value = group + block + error to data that may have missing or
// repeated cells.
//
// Adjusted means are group effect + average of the block effects.
//
// Errors: lengths that differ, labels with gaps, a value that is not finite,
// [Unconnected] groups.
//
// Source: S. R. Searle, F. M. Speed and G. A. Milliken, 1980, Population
// marginal means in the linear model: an alternative to least squares means,
// The American Statistician 34:216; connectedness: R. C. Bose, 1947, The design
// of experiments, Proceedings of the Indian Science Congress 34(II):1.
func FitBlocks(data Blocked) (*BlockFit, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	if sets := data.sets(); len(sets) > 1 {
		return nil, &Unconnected{Sets: sets}
	}
	k, b := data.size()
	f := &BlockFit{Groups: k, Blocks: b, data: data, contrast: make([][]float64, k)}
	design := make([][]float64, len(data.Values))
	for n := range design {
		design[n] = f.ofGroup(data.Group[n])
		if c := data.Block[n]; c > 0 {
			design[n][k-1+c] = 1
		}
	}
	for g := range k {
		f.contrast[g] = f.ofGroup(g)
		for c := 1; c < b; c++ {
			f.contrast[g][k-1+c] = 1 / float64(b)
		}
	}
	var err error
	if f.Model, err = LeastSquares(design, data.Values); err != nil {
		return nil, err
	}
	for _, c := range f.contrast {
		f.Means = append(f.Means, floats.Dot(c, f.Model.Coefficients))
	}
	return f, nil
}

// ofGroup is a row of the model for group g in block 0.
func (f *BlockFit) ofGroup(g int) []float64 {
	row := make([]float64, f.Groups+f.Blocks-1)
	row[0], row[g] = 1, 1
	return row
}

// Covariance returns the covariance of the adjusted means of groups i and j,
// blocks taken as fixed, for errors of one spread.
func (f *BlockFit) Covariance(i, j int) float64 {
	s, product := f.Model.ResidualSD, 0.0
	for m := range f.Model.Coefficients {
		product += f.rotated(i, m) * f.rotated(j, m)
	}
	return s * s * product
}

// rotated is the mean of group g as a sum over the effects of Qᵀy: its share m.
func (f *BlockFit) rotated(g, m int) float64 {
	sum := 0.0
	for c, v := range f.contrast[g] {
		sum += v * f.Model.inverse[c][m]
	}
	return sum
}

// Between returns the difference of the adjusted means of groups i and j, i
// minus j, and its standard error for errors of one spread (on Model.DF degrees
// of freedom).
func (f *BlockFit) Between(i, j int) (difference, se float64) {
	v := f.Covariance(i, i) + f.Covariance(j, j) - 2*f.Covariance(i, j)
	return f.Means[i] - f.Means[j], math.Sqrt(max(0, v))
}

// BlockVariance estimates the variance between blocks beyond that of the errors,
// blocks taken as drawn at random:
//
//	σ²_block = max(0, (MS_block − s²)·(B−1) / (N − Σ_g Σ_b n_gb²/n_g))
//
// with MS_block adjusted for groups. With complete blocks of one value of each
// of k groups that is (MS_block − s²)/k, which is the REML estimate. It is NaN
// with fewer than 2 blocks or no residual degrees of freedom.
//
// Source: C. R. Henderson, 1953, Estimation of variance and covariance
// components, Biometrics 9:226, method 3; J. C. Pinheiro and D. M. Bates, 2000,
// Mixed-Effects Models in S and S-PLUS, section 1.1.
func (f *BlockFit) BlockVariance() float64 {
	if f.Blocks < 2 || f.Model.DF < 1 {
		return math.NaN()
	}
	cells, totals := map[[2]int]float64{}, make([]float64, f.Groups)
	for n, g := range f.data.Group {
		cells[[2]int{g, f.data.Block[n]}]++
		totals[g]++
	}
	weight := float64(len(f.data.Values))
	for g := range f.Groups {
		for b := range f.Blocks {
			c := cells[[2]int{g, b}]
			weight -= c * c / totals[g]
		}
	}
	s := f.Model.ResidualSD
	ss := f.Model.SequentialSS(f.Groups, f.Groups+f.Blocks-1)
	return max(0, (ss-float64(f.Blocks-1)*s*s)/weight)
}

// MedianResiduals returns what is left of each value when group and block are
// taken out by medians in turn (median polish, blocks first, until a round moves
// nothing by more than 1e-12 of the largest value, at most 50 rounds). Unlike
// the residuals of least squares they leave a bad value to stand out alone, as
// long as bad values are fewer than half in each group and block.
//
// Two groups in a block, or two blocks in all, split every misfit evenly: no
// method can say then which of the two values is the bad one.
//
// Errors: lengths that differ, labels with gaps, a value that is not finite.
//
// Source: J. W. Tukey, 1977, Exploratory Data Analysis, chapter 11.
func MedianResiduals(data Blocked) ([]float64, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	k, b := data.size()
	left := slices.Clone(data.Values)
	largest := max(math.Abs(slices.Max(left)), math.Abs(slices.Min(left)))
	for range 50 {
		moved := max(sweep(left, data.Block, b), sweep(left, data.Group, k))
		if moved <= 1e-12*largest {
			break
		}
	}
	return left, nil
}

// sweep subtracts from each value the median of the values with its label and
// returns the largest step.
func sweep(values []float64, label []int, labels int) (moved float64) {
	for l := range labels {
		var of []float64
		for n, v := range values {
			if label[n] == l {
				of = append(of, v)
			}
		}
		m := Median(of)
		moved = max(moved, math.Abs(m))
		for n := range values {
			if label[n] == l {
				values[n] -= m
			}
		}
	}
	return moved
}

// maxSignedRank is the largest sample for which the exact distribution of the
// signed rank is built.
const maxSignedRank = 62

// SignedRankShift estimates the centre of the values d, such as within-block
// differences: the median of all Walsh averages (d_i + d_j)/2, i ≤ j, with the
// limits that belong to the exact signed-rank test.
//
// With A(1) ≤ … ≤ A(M) the ordered averages and q the smallest w ≥ 1 with
// P(V ≤ w) ≥ (1−level)/2, the limits are A(q) and A(M+1−q); Reached is
// 1 − 2·P(V ≤ q−1). With 5 values or fewer even the outermost averages stop
// short of 95 %: Reached is then 1 − 2/2^n, 0.9375 at 5.
//
// Errors: fewer than 2 values or more than 62, a value that is not finite, a
// level outside (0, 1).
//
// Source: J. L. Hodges and E. L. Lehmann, 1963, Estimates of location based on
// rank tests, Annals of Mathematical Statistics 34:598; limits: M. Hollander
// and D. A. Wolfe, 1973, Nonparametric Statistical Methods, section 3.3.
func SignedRankShift(d []float64, level float64) (Shift, error) {
	if err := checkFinite("d", d); err != nil {
		return Shift{}, err
	}
	if err := checkLevel(level); err != nil {
		return Shift{}, err
	}
	if len(d) > maxSignedRank {
		return Shift{}, fmt.Errorf("%w: exact signed rank of %d values, expected at most %d", ErrOutOfRange, len(d), maxSignedRank)
	}
	var walsh []float64
	for i := range d {
		for _, v := range d[:i+1] {
			walsh = append(walsh, (d[i]+v)/2)
		}
	}
	slices.Sort(walsh)
	q, outside := signedRankQuantile(len(d), (1-level)/2)
	return Shift{
		Estimate: medianOfSorted(walsh),
		Interval: Interval{Lo: walsh[q-1], Hi: walsh[len(walsh)-q]},
		Reached:  1 - 2*outside,
	}, nil
}

// signedRankQuantile returns q, the smallest w ≥ 1 with P(V ≤ w) ≥ p, and
// P(V ≤ q−1), for V the sum of those of the ranks 1 to n that carry a plus.
func signedRankQuantile(n int, p float64) (q int, outside float64) {
	ways := make([]float64, n*(n+1)/2+1) // ways[v] of 2^n assignments sum to v
	ways[0] = 1
	for rank := 1; rank <= n; rank++ {
		for v := len(ways) - 1; v >= rank; v-- {
			ways[v] += ways[v-rank]
		}
	}
	all := math.Ldexp(1, n)
	below := ways[0]
	for q = 1; (below+ways[q])/all < p*(1-1e-12); q++ {
		below += ways[q]
	}
	return q, below / all
}
