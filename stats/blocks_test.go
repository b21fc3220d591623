package stats

import (
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// blockedTable draws a complete table of k groups and b blocks.
func blockedTable(t *rapid.T) [][]float64 {
	k, b := rapid.IntRange(2, 5).Draw(t, "groups"), rapid.IntRange(3, 5).Draw(t, "blocks")
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	table := make([][]float64, k)
	for g := range table {
		for range b {
			table[g] = append(table[g], 300+20*rng.NormFloat64())
		}
	}
	return table
}

func TestFitBlocksCompleteIsPlainMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := blockedTable(t)
		f, err := FitBlocks(complete(table))
		if err != nil {
			t.Fatal(err)
		}
		k, b := len(table), len(table[0])
		if f.Model.DF != (k-1)*(b-1) {
			t.Errorf("%d residual degrees of freedom, want %d", f.Model.DF, (k-1)*(b-1))
		}
		for g := range table {
			if want := Summarize(table[g]).Mean; !alike(f.Means[g], want) {
				t.Errorf("mean %g, want the plain mean %g", f.Means[g], want)
			}
		}
		if _, se := f.Between(0, 1); !alike(se, f.Model.ResidualSD*math.Sqrt(2/float64(b))) {
			t.Errorf("se %g, want s·√(2/b) with s %g", se, f.Model.ResidualSD)
		}
		// MS_block from the block means, the textbook form.
		means := make([]float64, b)
		for c := range means {
			for g := range table {
				means[c] += table[g][c] / float64(k)
			}
		}
		s := f.Model.ResidualSD
		want := max(0, Summarize(means).SD*Summarize(means).SD-s*s/float64(k))
		if math.Abs(f.BlockVariance()-want) > 1e-8*(1+s*s) {
			t.Errorf("block variance %g, want %g", f.BlockVariance(), want)
		}
	})
}

func TestFitBlocksIgnoresDays(t *testing.T) {
	table := [][]float64{{10, 12, 11, 14}, {13, 11, 15, 12}, {20, 22, 19, 25}}
	d := complete(table)
	d.Values, d.Group, d.Block = d.Values[1:], d.Group[1:], d.Block[1:] // group 0 misses block 0
	moved := Blocked{slices.Clone(d.Values), d.Group, d.Block}
	for n, b := range d.Block {
		moved.Values[n] += 100 * float64(b)
	}
	a, b := must[*BlockFit](t)(FitBlocks(d)), must[*BlockFit](t)(FitBlocks(moved))
	for _, p := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
		da, sa := a.Between(p[0], p[1])
		db, sb := b.Between(p[0], p[1])
		near(t, "difference", db, da, 1e-10)
		near(t, "standard error", sb, sa, 1e-10)
	}
}

func TestBlockVarianceClamps(t *testing.T) {
	f := must[*BlockFit](t)(FitBlocks(complete([][]float64{{1, 2}, {2, 1}})))
	if v := f.BlockVariance(); v != 0 {
		t.Errorf("equal block means: variance %g, want 0", v)
	}
	f = must[*BlockFit](t)(FitBlocks(complete([][]float64{{1}, {2}})))
	if v := f.BlockVariance(); !math.IsNaN(v) {
		t.Errorf("one block: variance %g, want NaN", v)
	}
}

func TestFitBlocksRefuses(t *testing.T) {
	for _, c := range []struct {
		data    Blocked
		is      error
		message string
	}{
		{Blocked{}, ErrTooFew, "too few values: 0 blocked values, at least 1 needed"},
		{Blocked{[]float64{1, 2}, []int{0}, []int{0, 0}}, ErrOutOfRange, "out of range: 2 values, 1 groups and 2 blocks, expected as many of each"},
		{Blocked{[]float64{1, math.NaN()}, []int{0, 1}, []int{0, 0}}, ErrNotFinite, "not a finite number: value 2 is NaN"},
		{Blocked{[]float64{1, 2}, []int{0, 2}, []int{0, 0}}, ErrOutOfRange, "out of range: group number 2 where 1 was expected, numbers run from 0 without gaps"},
		{Blocked{[]float64{1, 2}, []int{0, 1}, []int{-1, 0}}, ErrOutOfRange, "out of range: block number -1 where 0 was expected, numbers run from 0 without gaps"},
	} {
		_, err := FitBlocks(c.data)
		refuses(t, err, c.is, c.message)
		_, err = MedianResiduals(c.data)
		refuses(t, err, c.is, c.message)
	}
}

func TestFitBlocksNeedsAChain(t *testing.T) {
	// Groups 0 and 1 burn in block 0, groups 2 and 3 in block 1.
	d := Blocked{[]float64{1, 2, 3, 4, 1, 2, 3, 4}, []int{0, 1, 2, 3, 0, 1, 2, 3}, []int{0, 0, 1, 1, 2, 2, 3, 3}}
	_, err := FitBlocks(d)
	var apart *Unconnected
	if !errors.As(err, &apart) || len(apart.Sets) != 2 || !slices.Equal(apart.Sets[0], []int{0, 1}) || !slices.Equal(apart.Sets[1], []int{2, 3}) {
		t.Fatalf("got %v, want the sets [0 1] and [2 3]", err)
	}
	want := "groups 1, 2 and groups 3, 4 share no block, nor a chain of blocks through other groups; add a block with a group of each"
	if err.Error() != want {
		t.Errorf("message:\n got %s\nwant %s", err, want)
	}
	d.Values, d.Group, d.Block = append(d.Values, 5), append(d.Group, 2), append(d.Block, 2) // group 2 in block 2 joins them
	if _, err := FitBlocks(d); err != nil {
		t.Errorf("joined: %v", err)
	}
}

func TestMedianResidualsSingleOutABadValue(t *testing.T) {
	table := make([][]float64, 4)
	for g := range table {
		for b := range 5 {
			table[g] = append(table[g], 300+10*float64(g)-7*float64(b))
		}
	}
	table[2][3] += 60
	d := complete(table)
	left, err := MedianResiduals(d)
	if err != nil {
		t.Fatal(err)
	}
	for n, got := range left {
		within(t, "residual", got, 60*one(d.Group[n] == 2 && d.Block[n] == 3), 1e-9)
	}
	// With missing cells too.
	d.Values, d.Group, d.Block = d.Values[1:], d.Group[1:], d.Block[1:]
	for n, got := range must[[]float64](t)(MedianResiduals(d)) {
		within(t, "residual", got, 60*one(d.Group[n] == 2 && d.Block[n] == 3), 1e-9)
	}
}

// signedRanks is V by its definition: the ranks of |d − at| that carry a plus.
func signedRanks(d []float64, at float64) (v int) {
	for _, a := range d {
		if a <= at {
			continue
		}
		for _, b := range d {
			if math.Abs(b-at) <= math.Abs(a-at) {
				v++
			}
		}
	}
	return v
}

func TestSignedRankQuantileCountsAllSigns(t *testing.T) {
	for n := 2; n <= 12; n++ {
		ways := make([]int, n*(n+1)/2+2)
		for signs := range 1 << n {
			sum := 0
			for r := range n {
				sum += (r + 1) * (signs >> r & 1)
			}
			ways[sum]++
		}
		for _, p := range []float64{0.2, 0.05, 0.025, 0.005} {
			q, outside := signedRankQuantile(n, p)
			below := 0
			for _, w := range ways[:q] {
				below += w
			}
			if outside != float64(below)/float64(int(1)<<n) {
				t.Errorf("n %d, p %g: P(V < %d) = %g, counted %d", n, p, q, outside, below)
			}
			if next := float64(below+ways[q]) / float64(int(1)<<n); next < p || (q > 1 && outside >= p) {
				t.Errorf("n %d, p %g: q %d has %g below and %g up to it", n, p, q, outside, next)
			}
		}
	}
}

// The limits by inverting the test: a centre inside is kept, one outside is not.
func TestSignedRankShiftInvertsTheTest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		d := make([]float64, rapid.IntRange(2, 10).Draw(t, "n"))
		for i := range d {
			d[i] = rng.NormFloat64()
		}
		got, err := SignedRankShift(d, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		n := len(d)
		q, _ := signedRankQuantile(n, 0.025)
		most := n*(n+1)/2 - q
		for _, c := range []struct {
			at   float64
			kept bool
		}{{got.Lo + 1e-9, true}, {got.Hi - 1e-9, true}, {got.Lo - 1e-9, false}, {got.Hi + 1e-9, false}} {
			if v := signedRanks(d, c.at); (v >= q && v <= most) != c.kept {
				t.Errorf("%v: centre %g has V = %d, limits %d to %d, kept should be %v", d, c.at, v, q, most, c.kept)
			}
		}
		if n <= 5 != (got.Reached < 0.95) {
			t.Errorf("%d values reach %g", n, got.Reached)
		}
	})
}

func TestSignedRankShiftRefuses(t *testing.T) {
	for _, c := range []struct {
		d       []float64
		level   float64
		message string
	}{
		{make([]float64, 63), 0.95, "out of range: exact signed rank of 63 values, expected at most 62"},
	} {
		_, err := SignedRankShift(c.d, c.level)
		refuses(t, err, ErrOutOfRange, c.message)
	}
	for _, bad := range []func() (Shift, error){
		func() (Shift, error) { return SignedRankShift([]float64{1}, 0.95) },
		func() (Shift, error) { return SignedRankShift([]float64{1, math.Inf(1)}, 0.95) },
		func() (Shift, error) { return SignedRankShift([]float64{1, 2}, 1) },
	} {
		if _, err := bad(); err == nil {
			t.Error("accepted bad input")
		}
	}
}

// The exact test within blocks, by turning every sign.
func TestArmsGiveTheSignFlipTest(t *testing.T) {
	for b := 2; b <= 8; b++ {
		rng := rand.New(rand.NewPCG(7, uint64(b)))
		table := [][]float64{make([]float64, b), make([]float64, b), make([]float64, b)}
		for g := range table {
			for c := range table[g] {
				table[g][c] = 100*float64(c) + rng.NormFloat64() + float64(g)
			}
		}
		data := complete(table)
		d := data.Within(0, 2)
		observed, hits := 0.0, 0
		for _, v := range d {
			observed += v
		}
		for signs := range 1 << b {
			sum := 0.0
			for c, v := range d {
				sum += v * (1 - 2*float64(signs>>c&1))
			}
			hits += int(one(math.Abs(sum) >= math.Abs(observed)-1e-9))
		}
		got := must[Permutation](t)(PermuteMeans(data.Arms(0, 2), Resampling{}))
		near(t, "p", got.P, float64(hits)/float64(int(1)<<b), 1e-12)
		near(t, "least p", got.SmallestP, math.Ldexp(1, 1-b), 1e-12)
		near(t, "difference", got.Difference, observed/float64(b), 1e-10)
		if bits.OnesCount(uint(got.Arrangements)) != 1 {
			t.Errorf("%d arrangements, want a power of 2", got.Arrangements)
		}
	}
}

func TestArmsSkipBlocksWithoutBoth(t *testing.T) {
	d := Blocked{[]float64{1, 2, 4, 8, 16, 32}, []int{0, 1, 0, 1, 1, 2}, []int{0, 0, 1, 2, 0, 1}}
	arms := d.Arms(0, 1)
	if len(arms) != 1 || !slices.Equal(arms[0].X, []float64{1}) || !slices.Equal(arms[0].Y, []float64{2, 16}) {
		t.Errorf("arms %v, want the one block that holds both", arms)
	}
	if w := d.Within(0, 1); len(w) != 1 || w[0] != 1-9 {
		t.Errorf("within %v, want the difference of cell means, -8", w)
	}
}
