package stats

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/combin"
)

// MaxArrangements is how many arrangements a permutation test enumerates before
// it samples them instead.
const MaxArrangements = 2_000_000

// Arms are the values of two groups in one block. Data without blocks is
// one block.
type Arms struct{ X, Y []float64 }

// Resampling says how much is drawn and from which seed. The same seed gives
// the same digits.
type Resampling struct {
	Draws int
	Seed  uint64
}

// Permutation is the permutation test of a difference of means.
type Permutation struct {
	// Difference is the estimate of x − y: the difference of means, or with
	// blocks the within-block differences weighted by n_x·n_y/(n_x+n_y), which
	// is the least-squares estimate in the model group + block.
	Difference float64
	// P is two-sided, by the distance of the difference from zero; PBelow and
	// PAbove are the one-sided p values for x lying below and above y.
	P, PBelow, PAbove float64
	// SmallestP is the least two-sided p that any arrangement of these values
	// could give (with five blocks of one pair each, 2/2^5 = 0.0625).
	SmallestP float64
	// Arrangements counts what P rests on: all there are, or the sampled ones.
	Arrangements int
	// Sampled says that the arrangements were drawn, not enumerated; p is then
	// (1 + hits)/(1 + draws), never zero.
	Sampled bool
}

// PermuteMeans tests whether x and y have the same mean by exchanging their
// labels within each block. Blocks of one value each make it the exact
// sign-flip test of the paired differences.
//
// The statistic is Σ over blocks of Σx − n_x·(block mean). All arrangements are
// enumerated while there are at most MaxArrangements; else how.Draws of them
// are drawn. Arrangements whose statistics differ by less than 1e-10 of the
// summed distances from the block means count as tied.
//
// Errors: no block, a block without a value of either group, fewer than two
// values in all of either group, a value that is not finite, fewer than 1 draw
// where sampling is needed.
//
// Source: E. J. G. Pitman, 1937, Significance tests which may be applied to
// samples from any populations, Supplement to the Journal of the Royal
// Statistical Society 4:119; (1+hits)/(1+B): B. Phipson and G. K. Smyth, 2010,
// Permutation p-values should never be zero, Statistical Applications in
// Genetics and Molecular Biology 9:39.
func PermuteMeans(blocks []Arms, how Resampling) (Permutation, error) {
	if err := checkArms(blocks); err != nil {
		return Permutation{}, err
	}
	walk := arrangements{blocks: make([]shuffled, len(blocks))}
	weights, total := 0.0, 1.0
	for i, b := range blocks {
		walk.add(i, b)
		n, m := float64(len(b.X)), float64(len(b.Y))
		weights += n * m / (n + m)
		total *= combin.GeneralizedBinomial(n+m, n)
	}
	walk.tie = 1e-10 * walk.spread
	if total < MaxArrangements+0.5 {
		walk.visit(0, 0, len(blocks[0].X), 0)
	} else if err := walk.sample(how); err != nil {
		return Permutation{}, err
	}
	return walk.result(walk.observed / weights), nil
}

// shuffled is one block: its values less the block's mean, x first.
type shuffled struct {
	values []float64
	x      int
}

// arrangements walks over assignments of labels and counts how the statistic
// falls.
type arrangements struct {
	blocks        []shuffled
	observed      float64
	spread, tie   float64
	count         int
	below, above  int
	far, farthest int
	most          float64
	sampled       bool
}

func (a *arrangements) add(i int, b Arms) {
	all := slices.Concat(b.X, b.Y)
	mean := 0.0
	for _, v := range all {
		mean += v / float64(len(all))
	}
	for j := range all {
		all[j] -= mean
		a.spread += math.Abs(all[j])
		if j < len(b.X) {
			a.observed += all[j]
		}
	}
	a.blocks[i] = shuffled{values: all, x: len(b.X)}
}

// visit chooses the labels of the values from index at of one block on, with
// left of them still to be called x, and tallies each finished assignment.
func (a *arrangements) visit(block, at, left int, sum float64) {
	b := a.blocks[block]
	if left == 0 {
		if block+1 == len(a.blocks) {
			a.tally(sum)
			return
		}
		a.visit(block+1, 0, a.blocks[block+1].x, sum)
		return
	}
	for i := at; i <= len(b.values)-left; i++ {
		a.visit(block, i+1, left-1, sum+b.values[i])
	}
}

func (a *arrangements) sample(how Resampling) error {
	if how.Draws < 1 {
		return fmt.Errorf("permutation test: %w: %d draws, expected at least 1", ErrOutOfRange, how.Draws)
	}
	rng := rand.New(rand.NewPCG(how.Seed, 0))
	a.sampled = true
	a.tally(a.observed)
	for range how.Draws {
		sum := 0.0
		for _, b := range a.blocks {
			for i := range b.x {
				j := i + rng.IntN(len(b.values)-i)
				b.values[i], b.values[j] = b.values[j], b.values[i]
				sum += b.values[i]
			}
		}
		a.tally(sum)
	}
	return nil
}

func (a *arrangements) tally(sum float64) {
	a.count++
	if sum <= a.observed+a.tie {
		a.below++
	}
	if sum >= a.observed-a.tie {
		a.above++
	}
	d := math.Abs(sum)
	if d >= math.Abs(a.observed)-a.tie {
		a.far++
	}
	switch {
	case d > a.most+a.tie:
		a.most, a.farthest = d, 1
	case d >= a.most-a.tie:
		a.farthest++
	}
}

// result turns the counts into shares. When sampling, the observed arrangement
// was tallied first: that is the 1 in (1+hits)/(1+B), and the least p is then
// 1/(1+B).
func (a *arrangements) result(difference float64) Permutation {
	n := float64(a.count)
	p := Permutation{
		Difference:   difference,
		P:            float64(a.far) / n,
		PBelow:       float64(a.below) / n,
		PAbove:       float64(a.above) / n,
		SmallestP:    float64(a.farthest) / n,
		Arrangements: a.count,
		Sampled:      a.sampled,
	}
	if a.sampled {
		p.Arrangements--
		p.SmallestP = 1 / n
	}
	return p
}

func checkArms(blocks []Arms) error {
	if len(blocks) == 0 {
		return fmt.Errorf("permutation test: %w: no block, expected at least 1", ErrTooFew)
	}
	var x, y []float64
	for i, b := range blocks {
		if len(b.X) == 0 || len(b.Y) == 0 {
			return fmt.Errorf("permutation test: %w: block %d has %d and %d, expected at least 1 of each group", ErrTooFew, i+1, len(b.X), len(b.Y))
		}
		x, y = append(x, b.X...), append(y, b.Y...)
	}
	return errors.Join(checkFinite("x", x), checkFinite("y", y))
}
