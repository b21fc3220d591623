package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"
)

// excess is O − E of the first of two groups by its definition.
func excess(x, y []Observed) (excess float64) {
	for _, t := range eventTimes([][]Observed{x, y}) {
		var n1, n, d1, d float64
		for i, group := range [][]Observed{x, y} {
			for _, o := range group {
				n += one(o.Time >= t)
				d += one(o.Time == t && o.Event)
				n1 += one(i == 0 && o.Time >= t)
				d1 += one(i == 0 && o.Time == t && o.Event)
			}
		}
		excess += d1 - d*n1/n
	}
	return excess
}

func TestLogRankPermutationAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawObserved(t, "x", 1, 5), drawObserved(t, "y", 1, 5)
		got, err := LogRankTest([][][]Observed{{x, y}}, Resampling{})
		if err != nil || !got.Permuted {
			return // no event, or none that tells the groups apart, or enough of them
		}
		seen := math.Abs(excess(x, y))
		if math.Abs(math.Abs(got.Observed[0]-got.Expected[0])-seen) > 1e-12 {
			t.Fatalf("O − E: got %g, want %g", got.Observed[0]-got.Expected[0], seen)
		}
		all := append(append([]Observed{}, x...), y...)
		far, total, distinct := 0.0, 0.0, combin.Binomial(len(all), len(x))
		for _, indices := range combin.Combinations(len(all), len(x)) {
			chosen := make([]bool, len(all))
			for _, i := range indices {
				chosen[i] = true
			}
			var in, out []Observed
			for i, o := range all {
				if chosen[i] {
					in = append(in, o)
				} else {
					out = append(out, o)
				}
			}
			total++
			far += one(math.Abs(excess(in, out)) >= seen-1e-9)
		}
		if got.Arrangements != distinct || math.Abs(got.P-far/total) > 1e-12 {
			t.Fatalf("p %g of %d, want %g of %d for %v and %v", got.P, got.Arrangements, far/total, distinct, x, y)
		}
	})
}

// threeInBlocks are three groups in two blocks with nine events.
func threeInBlocks() [][][]Observed {
	return [][][]Observed{
		{{{310, true}, {340, true}}, {{355, true}, {420, false}}, {{330, true}}},
		{{{290, true}}, {{360, true}, {365, true}}, {{400, true}, {410, false}, {300, true}}},
	}
}

func TestLogRankDoesNotCareForOrder(t *testing.T) {
	a := must[LogRank](t)(LogRankTest(threeInBlocks(), Resampling{}))
	turned := threeInBlocks()
	for b := range turned {
		turned[b][0], turned[b][2] = turned[b][2], turned[b][0]
	}
	b := must[LogRank](t)(LogRankTest(turned, Resampling{}))
	near(t, "χ²", b.ChiSquared, a.ChiSquared, 1e-10)
	within(t, "p", b.P, a.P, 0)
	if want := 30 * 60; a.Arrangements != want || a.Sampled || a.Events != 9 || a.DF != 2 {
		t.Errorf("%+v, want %d enumerated arrangements of 9 events on 2 df", a, want)
	}
}

func TestSampledLogRank(t *testing.T) {
	strata := threeInBlocks()
	for i := range 12 { // censored before any event: they change the count of arrangements, not the scores
		strata[0][i%3] = append(strata[0][i%3], Observed{Time: 100, Event: false})
	}
	a := must[LogRank](t)(LogRankTest(strata, Resampling{Draws: 5000, Seed: 3}))
	if !a.Sampled || a.Arrangements != 5000 || !(a.P > 0) {
		t.Fatalf("%+v, want 5000 sampled", a)
	}
	if b := must[LogRank](t)(LogRankTest(strata, Resampling{Draws: 5000, Seed: 3})); a.P != b.P {
		t.Errorf("same seed: p %g then %g", a.P, b.P)
	}
	_, err := LogRankTest(strata, Resampling{})
	refuses(t, err, ErrOutOfRange, "log-rank test: out of range: 0 draws, expected at least 1")
}

func TestLogRankTurnsToPermutationBelowTenEvents(t *testing.T) {
	strata := threeInBlocks()
	strata[0][1][1].Event = true
	r := must[LogRank](t)(LogRankTest(strata, Resampling{}))
	if r.Permuted || r.Events != 10 {
		t.Errorf("10 events: %+v, want p from χ²", r)
	}
}

func TestLogRankRefuses(t *testing.T) {
	run := func(s ...[][]Observed) error {
		_, err := LogRankTest(s, Resampling{})
		return err
	}
	a, b := []Observed{{1, true}, {3, true}}, []Observed{{2, true}, {4, false}}
	refuses(t, run(), ErrTooFew, "log-rank test: too few values: fewer than 2 groups")
	refuses(t, run([][]Observed{a}), ErrTooFew, "log-rank test: too few values: fewer than 2 groups")
	refuses(t, run([][]Observed{a, b}, [][]Observed{a}), ErrOutOfRange, "log-rank test: out of range: block 2 has 1 groups, expected 2 as in block 1")
	refuses(t, run([][]Observed{a, nil}), ErrTooFew, "log-rank test: too few values: group 2 has none, at least 1 needed")
	refuses(t, run([][]Observed{a, {{-1, true}}}), ErrOutOfRange, "log-rank test: out of range: time 3 is -1, expected a finite number, 0 or more")
	refuses(t, run([][]Observed{{{1, false}}, {{2, false}}}), ErrNoEvent, "log-rank test: no event")
	refuses(t, run([][]Observed{{{1, false}}, {{2, true}}}), ErrNoSpread, "log-rank test: no spread: no event happened while values of every group were at risk, expected times that overlap")
}
