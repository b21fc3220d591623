package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"
)

func average(v []float64) (m float64) {
	for _, a := range v {
		m += a / float64(len(v))
	}
	return m
}

func TestPermutationAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(0, 9).Draw(t, "value")) })
		x := rapid.SliceOfN(whole, 2, 6).Draw(t, "x")
		y := rapid.SliceOfN(whole, 2, 6).Draw(t, "y")
		got, err := PermuteMeans([]Arms{{x, y}}, Resampling{})
		if err != nil {
			t.Fatal(err)
		}
		seen := average(x) - average(y)
		var far, above, below, total float64
		all := append(append([]float64{}, x...), y...)
		for _, indices := range combin.Combinations(len(all), len(x)) {
			in, out := choose(all, indices)
			d := average(in) - average(out)
			total++
			far += one(math.Abs(d) >= math.Abs(seen)-1e-9)
			above += one(d >= seen-1e-9)
			below += one(d <= seen+1e-9)
		}
		for _, off := range []float64{got.Difference - seen, got.P - far/total, got.PAbove - above/total, got.PBelow - below/total, float64(got.Arrangements) - total} {
			if math.Abs(off) > 1e-12 {
				t.Fatalf("off by %g: %+v for %v and %v", off, got, x, y)
			}
		}
	})
}

func TestPermutationWithinBlocksIsTheSignFlip(t *testing.T) {
	d := []float64{3, 1, 4, 1.5, 9}
	blocks := make([]Arms, len(d))
	for i, v := range d {
		blocks[i] = Arms{X: []float64{100*float64(i) + v}, Y: []float64{100 * float64(i)}}
	}
	r := must[Permutation](t)(PermuteMeans(blocks, Resampling{}))
	within(t, "difference", r.Difference, average(d), 1e-12)
	within(t, "p of five like signs", r.P, 2.0/32, 1e-15)
	within(t, "smallest p", r.SmallestP, 2.0/32, 1e-15)
	blocks[3].X, blocks[3].Y = blocks[3].Y, blocks[3].X
	// |Σ ±d| ≥ 15.5 of {3, 1, 4, 1.5, 9}: all plus (18.5), −1 (16.5), −1.5
	// (15.5), and their mirror images.
	r = must[Permutation](t)(PermuteMeans(blocks, Resampling{}))
	within(t, "p of one small unlike sign", r.P, 6.0/32, 1e-15)
}

func TestPermutationDifferenceIsTheBlockFit(t *testing.T) {
	data := Blocked{
		Values: []float64{5.1, 5.6, 6.0, 5.9, 6.3, 6.1, 7.2, 7.0, 6.8, 6.2},
		Group:  []int{0, 0, 1, 0, 1, 1, 1, 0, 1, 0},
		Block:  []int{0, 0, 0, 1, 1, 1, 1, 2, 2, 2},
	}
	fit := must[*BlockFit](t)(FitBlocks(data))
	want, _ := fit.Between(0, 1)
	got := must[Permutation](t)(PermuteMeans(data.Arms(0, 1), Resampling{}))
	within(t, "difference", got.Difference, want, 1e-12)
	if want := 3 * 4 * 3; got.Arrangements != want {
		t.Errorf("arrangements %d, want %d", got.Arrangements, want)
	}
}

func TestSampledPermutationIsNearTheExactOne(t *testing.T) {
	// 12 against 12 is past the limit of enumeration. The values are their own
	// ranks, so that the exact p of the rank sum is the exact p of the means.
	x := []float64{1, 3, 4, 6, 7, 9, 10, 12, 15, 16, 18, 22}
	y := []float64{2, 5, 8, 11, 13, 14, 17, 19, 20, 21, 23, 24}
	r := must[Permutation](t)(PermuteMeans([]Arms{{x, y}}, Resampling{Draws: 20_000, Seed: 5}))
	if !r.Sampled || r.Arrangements != 20_000 {
		t.Fatalf("sampled %t, %d arrangements, want 20000 sampled", r.Sampled, r.Arrangements)
	}
	exact := must[RankSum](t)(RankSumTest(x, y))
	within(t, "p", r.P, exact.P, 4*math.Sqrt(exact.P*(1-exact.P)/20_000))
	within(t, "smallest p", r.SmallestP, 1.0/20_001, 1e-15)
	again := must[Permutation](t)(PermuteMeans([]Arms{{x, y}}, Resampling{Draws: 20_000, Seed: 5}))
	if again != r {
		t.Errorf("same seed: %+v then %+v", r, again)
	}
	far := must[Permutation](t)(PermuteMeans([]Arms{{x, []float64{102, 105, 108, 111, 113, 114, 117, 119, 120, 121, 123, 124}}}, Resampling{Draws: 999, Seed: 5}))
	within(t, "p without a hit", far.P, 0.001, 1e-15)
}

func TestPermutationRefuses(t *testing.T) {
	_, err := PermuteMeans(nil, Resampling{})
	refuses(t, err, ErrTooFew, "permutation test: too few values: no block, expected at least 1")
	_, err = PermuteMeans([]Arms{{[]float64{1, 2}, []float64{3, 4}}, {[]float64{1}, nil}}, Resampling{})
	refuses(t, err, ErrTooFew, "permutation test: too few values: block 2 has 1 and 0, expected at least 1 of each group")
	_, err = PermuteMeans([]Arms{{[]float64{1}, []float64{2, 3}}}, Resampling{})
	refuses(t, err, ErrTooFew, "sample x: too few values: 1, expected at least 2")
	_, err = PermuteMeans([]Arms{{[]float64{1, math.NaN()}, []float64{2, 3}}}, Resampling{})
	refuses(t, err, ErrNotFinite, "sample x: not a finite number: value 2 is NaN, expected a finite number")
	_, err = PermuteMeans([]Arms{{make([]float64, 12), make([]float64, 12)}}, Resampling{})
	refuses(t, err, ErrOutOfRange, "permutation test: out of range: 0 draws, expected at least 1")
}

func BenchmarkPermutationOfElevenAgainstEleven(b *testing.B) {
	x, y := make([]float64, 11), make([]float64, 11)
	for i := range x {
		x[i], y[i] = math.Sqrt(float64(i)), math.Cbrt(float64(i))
	}
	for b.Loop() {
		if _, err := PermuteMeans([]Arms{{x, y}}, Resampling{}); err != nil {
			b.Fatal(err)
		}
	}
}
