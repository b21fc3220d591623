package stats

import (
	"math"
	"slices"
)

// ownShare is how much of a group's variance comes from its own residuals; the
// rest comes from the residuals of all. Shares from 1/2 to 3/4 give limits of
// like width in the simulation; less pays for the multiple that the pool needs
// when groups differ, more for few degrees of freedom.
const ownShare = 0.75

// wholeDraws is the largest trial whose null is drawn value by value. A larger one
// is drawn cell by cell, which gives the same distribution (see [cell]) at a cost
// that does not grow with the values in a cell. The switch keeps the digits that
// smaller trials have always had.
const wholeDraws = 128

// blockLayout is what the test needs of a fit apart from its values.
type blockLayout struct {
	groups    int
	cells     []cell
	sizes     []float64   // of each block, how many values
	cofactors [][]float64 // (XᵀX)⁻¹ of the model, the rows of groups 1 and on
	beside    []float64   // of each group, values less cells
	own       []float64   // Σ(1−h) over the values of each group
	df        float64
	shares    [][]share // of each pair, what enters its se²
}

// cell is n values of one group in one block, of which only the mean is drawn. The
// fit takes nothing else from them, and the squares about their mean are
// independent of it: σ²·χ² on n−1 degrees of freedom.
//
// Source: W. G. Cochran, 1934, The distribution of quadratic forms in a normal
// system, Mathematical Proceedings of the Cambridge Philosophical Society 30:178.
type cell struct {
	group, block int
	n            float64
}

// share is Σ a² over the values of a group, a their weights in a difference.
type share struct {
	group   int
	squares float64
}

func newBlockLayout(f *BlockFit) *blockLayout {
	l := &blockLayout{groups: f.Groups, sizes: make([]float64, f.Blocks), beside: make([]float64, f.Groups), own: make([]float64, f.Groups), df: float64(f.Model.DF)}
	for n, g := range f.data.Group {
		l.own[g] += 1 - f.Model.Leverage[n]
		l.add(g, f.data.Block[n], len(f.data.Values) > wholeDraws)
	}
	for g := 1; g < f.Groups; g++ {
		row := make([]float64, len(f.Model.Coefficients))
		for c := range row {
			row[c] = f.Model.cofactor(g, c)
		}
		l.cofactors = append(l.cofactors, row)
	}
	weights := make([][]float64, f.Groups)
	for g := range weights {
		weights[g] = make([]float64, len(f.data.Values)) // group 0 is where the others count from
		if g > 0 {
			weights[g] = f.Model.weights(g)
		}
	}
	for i := range f.Groups {
		for j := i + 1; j < f.Groups; j++ {
			l.shares = append(l.shares, sharesOf(f.data.Group, weights[i], weights[j]))
		}
	}
	return l
}

// add counts one value, into the cell of the value before it if they may be joined.
func (l *blockLayout) add(group, block int, join bool) {
	l.sizes[block]++
	if last := len(l.cells) - 1; join && last >= 0 && l.cells[last].group == group && l.cells[last].block == block {
		l.cells[last].n++
		l.beside[group]++
		return
	}
	l.cells = append(l.cells, cell{group, block, 1})
}

// sharesOf returns the groups that enter a difference, from the weights of its two
// sides: their own two alone with complete blocks, others too with missing cells.
func sharesOf(group []int, i, j []float64) []share {
	squares := make([]float64, slices.Max(group)+1)
	for n, g := range group {
		squares[g] += (j[n] - i[n]) * (j[n] - i[n])
	}
	var out []share
	for g, s := range squares {
		if s > 1e-20 {
			out = append(out, share{g, s})
		}
	}
	return out
}

// like reports whether the draws of another layout may stand for those of this one;
// see [BlockedComparison.Again].
func (l *blockLayout) like(other *blockLayout) bool {
	const large, share = 60, 0.05
	if other == nil || other.groups != l.groups || len(other.sizes) != len(l.sizes) {
		return false
	}
	for g, nu := range l.own {
		if min(nu, other.own[g]) < large || math.Abs(nu-other.own[g]) > share*other.own[g] {
			return false
		}
	}
	return true
}

// squares returns the sum of squared residuals of each group.
func (f *BlockFit) squares() []float64 {
	sums := make([]float64, f.Groups)
	for n, e := range f.Model.Residuals {
		sums[f.data.Group[n]] += e * e
	}
	return sums
}

// variances turns the sums of squared residuals of each group into its variance.
// A group whose values are all fitted exactly has no scatter of its own and takes
// that of all.
func (l *blockLayout) variances(squares []float64) {
	rss := 0.0
	for _, s := range squares {
		rss += s
	}
	pool := rss / l.df
	for g, s := range squares {
		squares[g] = pool
		if l.own[g] >= 1e-9 {
			squares[g] = ownShare*s/l.own[g] + (1-ownShare)*pool
		}
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
