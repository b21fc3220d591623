package stats

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// The series of gonum (Algorithm AS 243) is another road to the same tail.
func TestNoncentralTailMeetsTheSeries(t *testing.T) {
	for _, nu := range []float64{1, 2, 2.5, 3, 7, 20, 60, 200} {
		for _, delta := range []float64{0, 0.5, 1, 3, 8, 20} {
			for _, x := range []float64{-0.5, 0, 0.5, 1, 2, 5, 12, 25, 60} {
				want := 1 - distuv.NoncentralT{Nu: nu, Mu: delta}.CDF(x)
				within(t, fmt.Sprintf("nu %g, delta %g, t %g", nu, delta, x), noncentralTail(x, nu, delta), want, 1e-11)
			}
		}
	}
}

func TestPowerWithoutAnyDifferenceIsTheErrorRate(t *testing.T) {
	p := Plan{Difference: 1e-9, SDA: 1, SDB: 2, Alpha: 0.05, Comparisons: 1}
	near(t, "power", must[float64](t)(p.Power(4, 7)), 0.05, 1e-7)
	p.Comparisons = 6
	near(t, "power of six", must[float64](t)(p.Power(4, 7)), 0.05/6, 1e-7)
}

func TestPowerGrowsAndNeededIsTheFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Plan{
			Difference:  rapid.Float64Range(0.3, 5).Draw(t, "difference"),
			SDA:         rapid.Float64Range(0.1, 2).Draw(t, "sd a"),
			SDB:         rapid.Float64Range(0.1, 2).Draw(t, "sd b"),
			Alpha:       0.05,
			Comparisons: rapid.IntRange(1, 28).Draw(t, "comparisons"),
		}
		n, err := p.Needed(0.8)
		if err != nil {
			t.Fatal(err)
		}
		at, _ := p.Power(n, n)
		before := 0.0
		if n > 2 {
			before, _ = p.Power(n-1, n-1)
		}
		if at < 0.8 || before >= 0.8 {
			t.Fatalf("%+v: needed %d with power %g, one less has %g", p, n, at, before)
		}
		mirror := p
		mirror.Difference, mirror.SDA, mirror.SDB = -p.Difference, p.SDB, p.SDA
		if m, _ := mirror.Power(n, n); !alike(m, at) {
			t.Fatalf("power %g, from the other side %g", at, m)
		}
	})
}

func TestNeededRange(t *testing.T) {
	p := Plan{Difference: 0.1, SDA: 0.05, SDB: 0.05, Alpha: 0.05, Comparisons: 1}
	least, most, err := p.NeededRange(0.8, 10)
	if err != nil {
		t.Fatal(err)
	}
	factor := must[float64](t)(UpperSD(1, 10, 0.8))
	p2 := p
	p2.SDA, p2.SDB = factor*p.SDA, factor*p.SDB
	if least != must[int](t)(p.Needed(0.8)) || most != must[int](t)(p2.Needed(0.8)) || most <= least {
		t.Errorf("got %d to %d", least, most)
	}
	_, _, err = p.NeededRange(0.8, 0)
	refuses(t, err, ErrOutOfRange, "out of range: standard deviation 1 on 0 degrees of freedom, expected 0 or more on more than 0")
}

func TestPowerRefuses(t *testing.T) {
	good := Plan{Difference: 1, SDA: 1, SDB: 1, Alpha: 0.05, Comparisons: 1}
	for _, c := range []struct {
		change  func(*Plan)
		message string
	}{
		{func(p *Plan) { p.Difference = 0 }, "out of range: difference 0, expected a number other than 0"},
		{func(p *Plan) { p.Difference = math.NaN() }, "out of range: difference NaN, expected a number other than 0"},
		{func(p *Plan) { p.SDA, p.SDB = 0, 0 }, "out of range: standard deviations 0 and 0, expected 0 or more and not both 0"},
		{func(p *Plan) { p.SDB = math.NaN() }, "out of range: standard deviations 1 and NaN, expected 0 or more and not both 0"},
		{func(p *Plan) { p.Alpha = 1 }, "out of range: error rate 1, expected more than 0 and less than 1"},
		{func(p *Plan) { p.Comparisons = 0 }, "out of range: 0 comparisons, at least 1 needed"},
	} {
		p := good
		c.change(&p)
		_, err := p.Power(5, 5)
		refuses(t, err, ErrOutOfRange, c.message)
		_, err = p.Needed(0.8)
		refuses(t, err, ErrOutOfRange, c.message)
	}
	_, err := good.Power(1, 5)
	refuses(t, err, ErrTooFew, "too few values: 1 and 5, at least 2 needed in each group")
	_, err = good.Needed(1)
	refuses(t, err, ErrOutOfRange, "out of range: power 1, expected more than 0 and less than 1")
	good.Difference = 0.001
	_, err = good.Needed(0.8)
	refuses(t, err, ErrOutOfRange, "out of range: more than 10000 values in each group needed to find a difference of 0.001 between standard deviations 1 and 1")
	_, err = UpperSD(1, 5, 0)
	refuses(t, err, ErrOutOfRange, "out of range: confidence 0, expected more than 0 and less than 1")
}
