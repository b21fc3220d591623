package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestWelchIsAntisymmetricAndFollowsUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := spread(t, "a", 2, 12), spread(t, "b", 2, 12)
		extra := rapid.Float64Range(0, 4).Draw(t, "extra")
		d, err := Welch(a, b, extra, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		back, _ := Welch(b, a, extra, 0.95)
		if back.Estimate != -d.Estimate || !alike(back.P, d.P) || !alike(back.Lo, -d.Hi) || !alike(back.DF, d.DF) {
			t.Fatalf("%+v turned is %+v", d, back)
		}
		const unit = 1000
		scaled, _ := Welch(Summary{a.N, unit * a.Mean, unit * a.SD}, Summary{b.N, unit * b.Mean, unit * b.SD}, unit*unit*extra, 0.95)
		if !alike(scaled.P, d.P) || !alike(scaled.Hi, unit*d.Hi) || !alike(scaled.SE, unit*d.SE) {
			t.Fatalf("%+v in other units is %+v", d, scaled)
		}
		if least := float64(min(a.N, b.N) - 1); d.DF < least*(1-1e-12) {
			t.Fatalf("degrees of freedom %g below %g", d.DF, least)
		}
	})
}

// alike allows for rounding only.
func alike(a, b float64) bool { return math.Abs(a-b) <= 1e-9*(1e-3+math.Max(math.Abs(a), math.Abs(b))) }

func TestWelchWithExtraVariance(t *testing.T) {
	a, b := Summary{4, 10, 1}, Summary{6, 12, 2}
	plain := must[Difference](t)(Welch(a, b, 0, 0.95))
	wide := must[Difference](t)(Welch(a, b, 3, 0.95))
	near(t, "variance", wide.SE*wide.SE, plain.SE*plain.SE+3, 1e-12)
	// Only the scatter's share has limited degrees of freedom: ν grows by the
	// square of the total variance over the scatter's.
	ratio := (plain.SE*plain.SE + 3) / (plain.SE * plain.SE)
	near(t, "df", wide.DF, plain.DF*ratio*ratio, 1e-12)
	huge := must[Difference](t)(Welch(a, b, 1e12, 0.95))
	near(t, "half width at known variance", huge.Hi-huge.Estimate, 1.959963984540054e6, 1e-9)
}

func TestWelchRefuses(t *testing.T) {
	good, flat := Summary{3, 10, 1}, Summary{3, 10, 0}
	_, err := Welch(good, Summary{1, 10, math.NaN()}, 0, 0.95)
	refuses(t, err, ErrTooFew, "group 2: too few values: 1, at least 2 needed")
	_, err = Welch(Summary{3, math.NaN(), math.NaN()}, good, 0, 0.95)
	refuses(t, err, ErrNotFinite, "group 1: not a finite number: mean NaN, standard deviation NaN")
	_, err = Welch(flat, flat, 1, 0.95)
	refuses(t, err, ErrNoSpread, "groups 1 and 2: no spread: all values of each group are equal; finer readings or more values needed")
	_, err = Welch(good, good, -1, 0.95)
	refuses(t, err, ErrOutOfRange, "out of range: extra variance -1, expected 0 or more")
	_, err = Welch(good, good, 0, 1)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 1, expected more than 0 and less than 1")
	_, err = Welch(good, good, 0, 95)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 95, expected more than 0 and less than 1")
	d := must[Difference](t)(Welch(good, flat, 0, 0.95))
	near(t, "df with one group without spread", d.DF, 2, 1e-12)
}

func TestWelchOneWayOfTwoIsWelchSquared(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := spread(t, "a", 2, 12), spread(t, "b", 2, 12)
		f, err := WelchOneWay([]Summary{a, b})
		if err != nil {
			t.Fatal(err)
		}
		d, _ := Welch(a, b, 0, 0.95)
		if !alike(f.F, d.Estimate*d.Estimate/d.SE/d.SE) || !alike(f.DF2, d.DF) || !alike(f.P, d.P) {
			t.Fatalf("%+v against %+v", f, d)
		}
	})
}

func TestWelchOneWayRefuses(t *testing.T) {
	_, err := WelchOneWay([]Summary{{3, 1, 1}})
	refuses(t, err, ErrTooFew, "too few values: 1 groups, at least 2 needed")
	_, err = WelchOneWay([]Summary{{3, 1, 1}, {3, 1, 0}})
	refuses(t, err, ErrNoSpread, "group 2: no spread: all values are equal")
	_, err = WelchOneWay([]Summary{{1, 1, math.NaN()}, {3, 1, 0}})
	refuses(t, err, ErrTooFew, "group 1: too few values: 1, at least 2 needed")
}

// Two one-sided tests at alpha and the interval of confidence 1-2·alpha are one rule.
func TestEquivalenceIsTheIntervalInsideTheMargin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := spread(t, "a", 2, 30), spread(t, "b", 2, 30)
		b.Mean = a.Mean + rapid.Float64Range(-2, 2).Draw(t, "difference")
		margin := Interval{-rapid.Float64Range(0.1, 10).Draw(t, "low"), rapid.Float64Range(0.1, 10).Draw(t, "high")}
		d, err := Welch(a, b, 0, 0.90)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Equivalence(d, margin)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(p-0.05) > 1e-9 && (p < 0.05) != d.Inside(margin) {
			t.Fatalf("p %g, interval %v, margin %v", p, d.Interval, margin)
		}
	})
}

func TestEquivalenceRefuses(t *testing.T) {
	_, err := Equivalence(Difference{SE: 1, DF: 3}, Interval{0, 1})
	refuses(t, err, ErrOutOfRange, "out of range: margin from 0 to 1, expected 0 between its ends")
	_, err = Equivalence(Difference{Estimate: 1, DF: 3}, Interval{-1, 1})
	refuses(t, err, ErrNotFinite, "not a finite number: difference 1 with standard error 0 on 3 degrees of freedom")
}

func BenchmarkWelch(b *testing.B) {
	for b.Loop() {
		if _, err := Welch(Summary{8, 10, 1}, Summary{8, 11, 2}, 0, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
