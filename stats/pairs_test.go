package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestPairsOfTwoGroupsAreTheTwoGroupTests(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := []Summary{spread(t, "a", 2, 12), spread(t, "b", 2, 12)}
		want, err := Welch(g[0], g[1], 0, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range []Method{GamesHowell, BonferroniWelch} {
			p, err := m.Compare(g, nil, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if got := p.Differences[0]; !alike(got.P, want.P) || !alike(got.Lo, want.Lo) || got.DF != want.DF {
				t.Fatalf("%s: %+v, Welch %+v", m, got, want)
			}
		}
		p, _ := TukeyKramer.Compare(g, nil, 0.95)
		sd, nu, _ := Pooled(g)
		se := sd * math.Sqrt(1/float64(g[0].N)+1/float64(g[1].N))
		if got := p.Differences[0]; !alike(got.P, 2*tailT(math.Abs(got.Estimate)/se, nu)) || !alike(got.SE, se) {
			t.Fatalf("tukey-kramer: %+v, pooled t with se %g", got, se)
		}
	})
}

func TestPairsFollowTheGroups(t *testing.T) {
	g := []Summary{{5, 10, 1}, {6, 12, 2}, {7, 9, 1.5}, {5, 11, 1}}
	turned := slices.Clone(g)
	slices.Reverse(turned)
	for _, m := range []Method{GamesHowell, TukeyKramer, BonferroniWelch} {
		a, b := must[Pairs](t)(m.Compare(g, nil, 0.95)), must[Pairs](t)(m.Compare(turned, nil, 0.95))
		if len(a.Differences) != 6 || a.Unjudged != nil {
			t.Fatalf("%s: got %d differences and %v", m, len(a.Differences), a.Unjudged)
		}
		for _, d := range a.Differences {
			at := slices.IndexFunc(b.Differences, func(e Difference) bool { return e.I == 3-d.J && e.J == 3-d.I })
			e := b.Differences[at]
			near(t, "estimate", -e.Estimate, d.Estimate, 1e-12)
			near(t, "p", e.P, d.P, 1e-9)
			near(t, "limit", -e.Hi, d.Lo, 1e-9)
		}
	}
}

// An interval that allows for all pairs is never shorter than Welch's own, and
// the p of Games-Howell says the same as its interval.
func TestPairsAllowForAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 5).Draw(t, "k")
		g := make([]Summary, k)
		for i := range g {
			g[i] = spread(t, "group", 3, 12)
			g[i].Mean /= 10
		}
		extra := func(i, j int) float64 { return float64(i+j) / 10 }
		for _, m := range []Method{GamesHowell, BonferroniWelch} {
			p, err := m.Compare(g, extra, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			for _, d := range p.Differences {
				w, _ := Welch(g[d.I], g[d.J], extra(d.I, d.J), 0.95)
				if d.Hi-d.Lo < (w.Hi-w.Lo)*(1-1e-9) || d.P < w.P*(1-1e-9)-1e-12 || d.SE != w.SE {
					t.Fatalf("%s %+v is bolder than %+v", m, d, w)
				}
				if m == GamesHowell && math.Abs(d.P-0.05) > 1e-8 && (d.P < 0.05) == d.Contains(0) {
					t.Fatalf("p %g beside %v", d.P, d.Interval)
				}
			}
		}
	})
}

func TestTukeyKramerWithExtraVariance(t *testing.T) {
	g := []Summary{{5, 10, 1}, {5, 12, 2}, {5, 9, 1.5}}
	plain := must[Pairs](t)(TukeyKramer.Compare(g, nil, 0.95)).Differences[0]
	wide := must[Pairs](t)(TukeyKramer.Compare(g, func(i, j int) float64 { return 1 }, 0.95)).Differences[0]
	near(t, "variance", wide.SE*wide.SE, plain.SE*plain.SE+1, 1e-12)
	near(t, "df without", plain.DF, 12, 1e-12)
	ratio := wide.SE * wide.SE / (plain.SE * plain.SE)
	near(t, "df with", wide.DF, 12*ratio*ratio, 1e-12)
}

func TestChooseMethodAtItsLimits(t *testing.T) {
	groups := func(k, n, last int) []Summary {
		g := slices.Repeat([]Summary{{N: n, SD: 1}}, k)
		g[k-1].N = last
		return g
	}
	for _, c := range []struct {
		k, n, last int
		want       Method
	}{
		{2, 5, 5, GamesHowell}, {2, 5, 4, BonferroniWelch},
		{5, 5, 5, GamesHowell}, {6, 6, 5, BonferroniWelch}, {6, 6, 6, GamesHowell},
		{8, 8, 8, GamesHowell}, {8, 12, 7, BonferroniWelch},
	} {
		if got := ChooseMethod(groups(c.k, c.n, c.last)); got != c.want {
			t.Errorf("%d groups of %d, the last of %d: got %s, want %s", c.k, c.n, c.last, got, c.want)
		}
	}
	if p := must[Pairs](t)(AllPairs(groups(3, 3, 3), nil, 0.9)); p.Method != BonferroniWelch || p.Confidence != 0.9 {
		t.Errorf("got %s at %g", p.Method, p.Confidence)
	}
}

func TestPairsJudgeWhatCanBeJudged(t *testing.T) {
	g := []Summary{{3, 10, 0}, {3, 11, 0}, {3, 12, 1}, {1, 9, math.NaN()}}
	p := must[Pairs](t)(AllPairs(g, nil, 0.95))
	if len(p.Differences) != 2 || len(p.Unjudged) != 4 {
		t.Fatalf("got %+v", p)
	}
	u := p.Unjudged[0]
	if u.I != 0 || u.J != 1 {
		t.Errorf("first unjudged pair: got %d and %d", u.I, u.J)
	}
	refuses(t, u.Err, ErrNoSpread, "groups 1 and 2: no spread: all values of each group are equal; finer readings or more values needed")
	refuses(t, p.Unjudged[1].Err, ErrTooFew, "group 4: too few values: 1, at least 2 needed")
	// The allowance is for six comparisons, whether they could be made or not.
	d := p.Differences[0]
	near(t, "half width", d.Hi-d.Estimate, upperT(0.025/6, d.DF)*d.SE, 1e-12)
}

func TestPairsRefuse(t *testing.T) {
	two := []Summary{{3, 1, 1}, {3, 2, 1}}
	_, err := AllPairs(two[:1], nil, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 1 groups, at least 2 needed")
	_, err = AllPairs(two, nil, 0)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 0, expected more than 0 and less than 1")
	_, err = Method("scheffe").Compare(two, nil, 0.95)
	refuses(t, err, ErrOutOfRange, `out of range: method "scheffe", expected games-howell, tukey-kramer or bonferroni-welch`)
	_, err = TukeyKramer.Compare([]Summary{{1, 1, math.NaN()}, {1, 2, math.NaN()}}, nil, 0.95)
	refuses(t, err, ErrTooFew, "too few values: no group has two values")
	_, err = TukeyKramer.Compare([]Summary{{2, 1, 0}, {2, 2, 0}}, nil, 0.95)
	refuses(t, err, ErrNoSpread, "no spread: all values of each group are equal; finer readings or more values needed")
	p := must[Pairs](t)(TukeyKramer.Compare([]Summary{{3, 1, 1}, {0, math.NaN(), math.NaN()}, {1, 2, math.NaN()}}, nil, 0.95))
	if len(p.Differences) != 1 || len(p.Unjudged) != 2 {
		t.Fatalf("got %+v", p)
	}
	refuses(t, p.Unjudged[0].Err, ErrTooFew, "group 2: too few values: 0 with mean NaN, at least 1 needed")
}

func TestHolmLiesBetweenPlainAndBonferroni(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 10).Draw(t, "p")
		got := Holm(p)
		for i := range p {
			if got[i] < p[i] || got[i] > min(1, float64(len(p))*p[i]) {
				t.Fatalf("%v became %v", p, got)
			}
			for j := range p {
				if p[i] < p[j] && got[i] > got[j] {
					t.Fatalf("%v became %v: order lost", p, got)
				}
			}
		}
	})
	got := Holm([]float64{0.01, math.NaN(), 0.02})
	if got[0] != 0.03 || !math.IsNaN(got[1]) || got[2] != 0.04 {
		t.Errorf("with a missing p: got %v", got)
	}
	if got := Holm(nil); len(got) != 0 {
		t.Errorf("nothing: got %v", got)
	}
}

func BenchmarkAllPairsOfEightGroupsOfTwelve(b *testing.B) {
	var g []Summary
	for i := range 8 {
		g = append(g, Summary{12, float64(100 + i), 1 + float64(i)/3})
	}
	for b.Loop() {
		if _, err := AllPairs(g, nil, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
