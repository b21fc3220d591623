package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestOneWayOfTwoGroupsIsThePooledTSquared(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := values(t, "x", 2, 8), values(t, "y", 2, 8)
		a, err := OneWay([][]float64{x, y})
		if err != nil {
			t.Skip("no spread")
		}
		p, err := TukeyKramer.Compare([]Summary{Summarize(x), Summarize(y)}, nil, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		d := p.Differences[0]
		if !alike(a.Test.F, d.Estimate*d.Estimate/d.SE/d.SE) || !alike(a.Test.P, d.P) {
			t.Fatalf("%+v against %+v", a, d)
		}
	})
}

// Between and within make up the whole.
func TestOneWaySharesOutTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := [][]float64{values(t, "x", 1, 6), values(t, "y", 1, 6), values(t, "z", 2, 6)}
		a, err := OneWay(groups)
		if err != nil {
			t.Skip("no spread")
		}
		all := Summarize(append(append(append([]float64{}, groups[0]...), groups[1]...), groups[2]...))
		if whole := float64(all.N-1) * all.SD * all.SD; !alike(a.BetweenSquares+a.WithinSquares, whole) {
			t.Fatalf("%g and %g of %g", a.BetweenSquares, a.WithinSquares, whole)
		}
		if r := a.RSquared(); r < 0 || r > 1 {
			t.Fatalf("R² %g", r)
		}
	})
}

func TestOneWayRefuses(t *testing.T) {
	_, err := OneWay([][]float64{{1, 2}})
	refuses(t, err, ErrTooFew, "too few values: 1 groups, at least 2 needed")
	_, err = OneWay([][]float64{{1}, {2}})
	refuses(t, err, ErrTooFew, "too few values: 2 in 2 groups, at least 3 needed")
	_, err = OneWay([][]float64{{1, 2, 3}, {}})
	refuses(t, err, ErrTooFew, "group 2: too few values: none")
	_, err = OneWay([][]float64{{1, 1}, {2, 2}})
	refuses(t, err, ErrNoSpread, "no spread: all values of each group are equal")
	_, err = OneWay([][]float64{{1, 1}, {2, math.NaN()}})
	refuses(t, err, ErrNotFinite, "group 1: not a finite number: mean NaN")
}
