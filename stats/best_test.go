package stats

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// By definition, comparison by comparison, with Student's limit.
func bruteBest(g []Summary, margin, conf float64) (could, good []bool) {
	k := len(g)
	could, good = make([]bool, k), make([]bool, k)
	for i := range g {
		could[i], good[i] = true, true
		for j := range g {
			if i == j {
				continue
			}
			d, _ := Welch(g[i], g[j], 0, 0.95)
			reach := upperT((1-conf)/float64(k-1), d.DF) * d.SE
			could[i] = could[i] && d.Estimate-reach <= 0
			good[i] = good[i] && d.Estimate+reach < margin
		}
	}
	return could, good
}

func TestBestMeetsItsDefinition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 6).Draw(t, "k")
		g := make([]Summary, k)
		for i := range g {
			g[i] = spread(t, "group", 2, 12)
			g[i].SD += float64(i) / 100 // standard deviations of their own
			g[i].Mean /= 5
		}
		margin := rapid.Float64Range(0, 10).Draw(t, "margin")
		p, err := BonferroniWelch.Compare(g, nil, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Best(k, p.Differences, margin, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		could, good := bruteBest(g, margin, 0.9)
		lowest := 0
		for i := range g {
			if got[i].CouldBeBest() != could[i] || got[i].AsGood != good[i] {
				t.Fatalf("group %d: got %+v, want %v and %v", i, got[i], could[i], good[i])
			}
			if g[i].Mean < g[lowest].Mean {
				lowest = i
			}
		}
		if !got[lowest].CouldBeBest() {
			t.Fatal("the group of least mean was ruled out")
		}
	})
}

func TestBestTakesDunnettWhenTheSpreadIsOne(t *testing.T) {
	pairs := must[Pairs](t)(TukeyKramer.Compare([]Summary{{6, 10, 1}, {6, 11, 1}, {6, 12, 1}, {6, 14, 1}}, nil, 0.95)).Differences
	c := DunnettLimit(3, 20, 0.05)
	near(t, "limit", oneSidedLimit(4, pairs, 0.05)(20), c, 1e-12)
	if student := upperT(0.05/3, 20); !(c < student) {
		t.Errorf("dunnett %g is no shorter than bonferroni %g", c, student)
	}
	pairs[2].SE *= 1.001
	near(t, "limit with another spread", oneSidedLimit(4, pairs, 0.05)(20), upperT(0.05/3, 20), 1e-12)
	pairs[0].SE = math.NaN()
	near(t, "limit beside a difference without one", oneSidedLimit(4, pairs, 0.05)(20), upperT(0.05/3, 20), 1e-12)
	near(t, "limit with a pair missing", oneSidedLimit(4, pairs[:2], 0.05)(20), upperT(0.05/3, 20), 1e-12)
}

func TestBestNamesWhoRulesOut(t *testing.T) {
	g := []Summary{{8, 10, 1}, {8, 10.5, 1.1}, {8, 20, 1}}
	p := must[Pairs](t)(AllPairs(g, nil, 0.95))
	s := must[[]Standing](t)(Best(3, p.Differences, 3, 0.95))
	if !s[0].CouldBeBest() || !s[1].CouldBeBest() || !slices.Equal(s[2].RuledOutBy, []int{0, 1}) {
		t.Errorf("got %+v", s)
	}
	if !s[0].AsGood || !s[1].AsGood || s[2].AsGood {
		t.Errorf("as good: got %+v", s)
	}
}

// What was not compared is neither ruled out nor shown as good.
func TestBestWithAPairMissing(t *testing.T) {
	s := must[[]Standing](t)(Best(3, []Difference{{I: 0, J: 1, Estimate: -5, SE: 0.1, DF: 9}}, 3, 0.95))
	if !s[0].CouldBeBest() || s[0].AsGood || !slices.Equal(s[1].RuledOutBy, []int{0}) || !s[2].CouldBeBest() || s[2].AsGood {
		t.Errorf("got %+v", s)
	}
}

func TestBestRefuses(t *testing.T) {
	d := []Difference{{I: 0, J: 1, SE: 1, DF: 5}}
	_, err := Best(1, nil, 0, 0.95)
	refuses(t, err, ErrTooFew, "too few values: 1 groups, at least 2 needed")
	_, err = Best(2, d, -1, 0.95)
	refuses(t, err, ErrOutOfRange, "out of range: margin -1, expected 0 or more")
	_, err = Best(2, d, 0, 2)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 2, expected more than 0 and less than 1")
	_, err = Best(2, []Difference{{I: 0, J: 2}}, 0, 0.95)
	refuses(t, err, ErrOutOfRange, "out of range: difference of groups 0 and 2, expected two of 0 to 1")
}

func TestDunnettLimitAtItsEnds(t *testing.T) {
	for _, nu := range []float64{2, 7, 100} {
		near(t, fmt.Sprintf("one comparison, nu %g", nu), DunnettLimit(1, nu, 0.05), upperT(0.05, nu), 1e-9)
	}
	for _, c := range []float64{DunnettLimit(0, 5, 0.05), DunnettLimit(3, 0, 0.05), DunnettLimit(3, 5, 0), DunnettLimit(3, 5, 0.5)} {
		if !math.IsNaN(c) {
			t.Errorf("got %g, want NaN", c)
		}
	}
}
