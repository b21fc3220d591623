package stats

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// blockedExample is a made-up complete table with differences and days.
func blockedExample(k, b int) Blocked {
	rng := rand.New(rand.NewPCG(11, uint64(100*k+b)))
	table := make([][]float64, k)
	for g := range table {
		table[g] = make([]float64, b)
	}
	for c := range b {
		day := 20 * rng.NormFloat64()
		for g := range table {
			table[g][c] = 300 + 4*float64(g) + day + 3*rng.NormFloat64()
		}
	}
	return complete(table)
}

func blockedPairs(t *testing.T, d Blocked, extra ExtraVar) *BlockedComparison {
	t.Helper()
	return must[*BlockedComparison](t)(BlockedPairs(d, extra, 0.95, 3))
}

// The oracle takes residuals and variances straight from the definitions for
// complete blocks, and counts p by hand from its own draws.
func TestBlockedPairsByDefinition(t *testing.T) {
	const k, b = 4, 5
	d := blockedExample(k, b)
	trial := newSimTrial(k, b, simPatterns[0].sd)
	for n, v := range d.Values {
		trial.y[d.Group[n]][d.Block[n]] = v
	}
	trial.measure()
	got := blockedPairs(t, d, nil)
	if got.Method != LeaningSpreads || got.Fit == nil || len(got.Differences) != 6 {
		t.Fatalf("method %s, %d pairs", got.Method, len(got.Differences))
	}
	for _, p := range got.Differences {
		se := math.Sqrt(trial.shared(p.I, p.J, 0.75) / b)
		near(t, "difference", p.Estimate, trial.mean[p.I]-trial.mean[p.J], 1e-9)
		near(t, "standard error", p.SE, se, 1e-9)
		near(t, "half-width", (p.Hi-p.Lo)/2, got.Multiple*se, 1e-9)
	}
	// 20 000 draws of each side: the multiple of each is sure to about 1 %.
	worst := 0.0
	for pattern := range simPatterns[:7] {
		worst = max(worst, simLargest(k, b, pattern, 20_000)[4])
	}
	near(t, "multiple", got.Multiple, worst, 0.04)
}

func TestBlockedPairsOfTwoIsThePairedT(t *testing.T) {
	d := blockedExample(2, 6)
	got := blockedPairs(t, d, nil)
	w := Summarize(d.Within(0, 1))
	p := got.Differences[0]
	se := w.SD / math.Sqrt(6)
	near(t, "standard error", p.SE, se, 1e-12)
	near(t, "p", p.P, 2*tailT(math.Abs(w.Mean)/se, 5), 1e-12)
	near(t, "multiple", got.Multiple, 2.570581835636314, 1e-9) // t(0.975; 5), R 4.2.2 qt
	if got.Method != PairedT || !strings.HasPrefix(got.Why, "2 groups: the differences within the 6 blocks") {
		t.Errorf("%s: %s", got.Method, got.Why)
	}
	// The additive model and its leaning spreads come to the same figure.
	fit := must[*BlockFit](t)(FitBlocks(d))
	layout, v := newBlockLayout(fit), fit.squares()
	layout.variances(v)
	near(t, "leaning standard error", math.Sqrt(layout.pairVariance(0, 1, v)), se, 1e-9)
	tukey := must[Pairs](t)(BlockedTukey(d, nil, 0.95)).Differences[0]
	near(t, "Tukey p", tukey.P, p.P, 1e-9)
}

// Interval and p must never contradict each other.
func TestBlockedPairsIntervalAgreesWithP(t *testing.T) {
	for _, extra := range []ExtraVar{nil, func(i, j int) float64 { return 0.5 * float64(i+j) }} {
		seen := [2]int{}
		for b := 3; b <= 6; b++ {
			for _, p := range blockedPairs(t, blockedExample(4, b), extra).Differences {
				if (p.P <= 0.05) == p.Contains(0) {
					t.Errorf("p %g beside %v", p.P, p.Interval)
				}
				seen[int(one(p.Contains(0)))]++
			}
		}
		if seen[0] == 0 || seen[1] == 0 {
			t.Errorf("only one side was tried: %v", seen)
		}
	}
}

func TestBlockedPairsIgnoresOrderAndDays(t *testing.T) {
	d := blockedExample(5, 4)
	want := blockedPairs(t, d, nil)
	turned := Blocked{slices.Clone(d.Values), slices.Clone(d.Group), slices.Clone(d.Block)}
	slices.Reverse(turned.Values)
	slices.Reverse(turned.Group)
	slices.Reverse(turned.Block)
	if got := blockedPairs(t, turned, nil); !slices.Equal(got.Differences, want.Differences) {
		t.Errorf("reversed data changed the digits:\n%v\n%v", got.Differences, want.Differences)
	}
	for n := range turned.Values {
		turned.Values[n] = 2*turned.Values[n] + 50*float64(turned.Block[n])
	}
	got := blockedPairs(t, turned, nil)
	for i, p := range want.Differences {
		near(t, "p", got.Differences[i].P, p.P, 1e-3)
		near(t, "difference", got.Differences[i].Estimate, 2*p.Estimate, 1e-9)
		near(t, "limit", got.Differences[i].Hi, 2*p.Hi, 1e-9)
	}
}

func TestBlockedPairsExtraVariance(t *testing.T) {
	d := blockedExample(4, 5)
	last := -1.0
	for _, u := range []float64{0, 1e-9, 1, 1e6} {
		p := blockedPairs(t, d, func(int, int) float64 { return u }).Differences[0]
		half := (p.Hi - p.Lo) / 2
		if half < last {
			t.Errorf("extra variance %g narrows the limits to %g from %g", u, half, last)
		}
		last = half
	}
	// Where it is all there is, the range of 4 normal values: 3.633 in Harter
	// 1960 and any table of the studentized range (k 4, infinite degrees of freedom, 5 %).
	near(t, "half-width over √u", last/1e3, 3.633/math.Sqrt2, 2e-4)
	two := blockedPairs(t, blockedExample(2, 4), func(int, int) float64 { return 1e8 }).Differences[0]
	near(t, "two groups", (two.Hi-two.Lo)/2e4, 1.959964, 1e-4)
	for name, pairs := range map[string]func() (Pairs, error){
		"Tukey":  func() (Pairs, error) { return BlockedTukey(d, func(int, int) float64 { return 4 }, 0.95) },
		"within": func() (Pairs, error) { return WithinBlocks(d, func(int, int) float64 { return 4 }, 0.95) },
	} {
		for _, p := range must[Pairs](t)(pairs()).Differences {
			scatter := p.SE*p.SE - 4
			nu := map[string]float64{"Tukey": 12, "within": 4}[name]
			near(t, name+" degrees of freedom", p.DF, math.Pow(p.SE, 4)/(scatter*scatter/nu), 1e-9)
		}
	}
}

func TestWithinBlocksListsWhatItCannotJudge(t *testing.T) {
	// Group 2 meets the others once; groups 0 and 1 differ by 3 in every block.
	d := Blocked{[]float64{4, 1, 7, 4, 9, 6, 5}, []int{0, 1, 0, 1, 0, 1, 2}, []int{0, 0, 1, 1, 2, 2, 2}}
	got := must[Pairs](t)(WithinBlocks(d, nil, 0.95))
	if len(got.Differences) != 0 || len(got.Unjudged) != 3 {
		t.Fatalf("%d judged and %d not, want 0 and 3", len(got.Differences), len(got.Unjudged))
	}
	refuses(t, got.Unjudged[0].Err, ErrNoSpread, "groups 1 and 2: no spread: they differ by 3 in all 3 blocks; finer readings or more blocks needed")
	refuses(t, got.Unjudged[1].Err, ErrTooFew, "groups 1 and 3: too few values: 1 blocks hold both, at least 2 needed")
	// 3 blocks and 8 groups: 28 pairs on 2 degrees of freedom.
	wide := must[Pairs](t)(WithinBlocks(blockedExample(8, 3), nil, 0.95)).Differences[0]
	near(t, "multiple", (wide.Hi-wide.Lo)/2/wide.SE, 23.63261, 1e-6) // R 4.2.2, qt(1 - 0.05/56, 2)
}

func TestBlockedPairsRefuses(t *testing.T) {
	good := blockedExample(3, 4)
	flat := complete([][]float64{{1, 2, 3}, {2, 3, 4}, {3, 4, 5}})
	for _, c := range []struct {
		data    Blocked
		conf    float64
		extra   float64
		is      error
		message string
	}{
		{Blocked{}, 0.95, 0, ErrTooFew, "too few values: 0 blocked values, at least 1 needed"},
		{blockedExample(1, 3), 0.95, 0, ErrTooFew, "too few values: 1 group, at least 2 needed"},
		{blockedExample(2, 1), 0.95, 0, ErrTooFew, "groups 1 and 2: too few values: 1 blocks hold both, at least 2 needed"},
		{blockedExample(3, 1), 0.95, 0, ErrTooFew, "too few values: 3 values for 3 groups in 1 blocks leave no residual degrees of freedom"},
		{blockedExample(3, 2), 0.95, 0, ErrTooFew, "too few values: 2 blocks for 3 groups, at least 3 needed"},
		{flat, 0.95, 0, ErrNoSpread, "no spread: group and block explain every value exactly; finer readings or more blocks needed"},
		{good, 1, 0, ErrOutOfRange, "out of range: confidence 1, expected more than 0 and less than 1"},
		{good, 0.9995, 0, ErrOutOfRange, "out of range: confidence 0.9995, expected at most 0.999 with 20000 draws"},
		{good, 0.95, -1, ErrOutOfRange, "out of range: extra variance -1, expected 0 or more"},
		{blockedExample(2, 4), 0.95, -1, ErrOutOfRange, "out of range: extra variance -1, expected 0 or more"},
	} {
		_, err := BlockedPairs(c.data, func(int, int) float64 { return c.extra }, c.conf, 1)
		refuses(t, err, c.is, c.message)
	}
	// The other side of each limit.
	blockedPairs(t, blockedExample(2, 2), nil)
	blockedPairs(t, blockedExample(3, 3), nil)
	must[*BlockedComparison](t)(BlockedPairs(good, nil, 0.999, 1))
	_, err := BlockedPairs(Blocked{[]float64{1, 2, 3, 4, 5, 6}, []int{0, 0, 1, 1, 2, 2}, []int{0, 1, 2, 3, 2, 3}}, nil, 0.95, 1)
	if apart := new(Unconnected); !errors.As(err, &apart) {
		t.Errorf("unconnected groups: got %v", err)
	}
	if _, err := BlockedTukey(good, func(int, int) float64 { return math.NaN() }, 0.95); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("extra variance NaN: got %v", err)
	}
}

func TestBlockedPairsSeed(t *testing.T) {
	d := blockedExample(3, 4)
	a := must[*BlockedComparison](t)(BlockedPairs(d, nil, 0.95, 1))
	b := must[*BlockedComparison](t)(BlockedPairs(d, nil, 0.95, 1))
	c := must[*BlockedComparison](t)(BlockedPairs(d, nil, 0.95, 2))
	if a.Multiple != b.Multiple || a.Multiple == c.Multiple {
		t.Errorf("multiples %g, %g with one seed and %g with another", a.Multiple, b.Multiple, c.Multiple)
	}
	near(t, "multiple under another seed", c.Multiple, a.Multiple, 0.04)
}

func BenchmarkBlockedPairs(b *testing.B) {
	d := blockedExample(8, 12)
	for b.Loop() {
		if _, err := BlockedPairs(d, nil, 0.95, 1); err != nil {
			b.Fatal(err)
		}
	}
}
