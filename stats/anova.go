package stats

import (
	"fmt"
	"math"
	"slices"
)

// Anova is the one-way analysis of variance: how much of the spread of all
// values lies between the means of groups and how much within groups.
type Anova struct {
	BetweenSquares, WithinSquares float64 // sums of squares
	Test                          FTest   // between over within mean square; assumes one standard deviation
	ResidualSD                    float64 // √(within mean square)
}

// RSquared returns the share of the spread that lies between the groups.
func (a Anova) RSquared() float64 {
	return a.BetweenSquares / (a.BetweenSquares + a.WithinSquares)
}

// OneWay analyses the values of several groups. The smallest value of all is
// subtracted first and every mean is taken about it, so that a common offset of
// a million costs no digits that the values still hold. It needs two groups, a
// value in each, one value more than groups, and some spread within a group.
//
// Source: Fisher 1925, Statistical Methods for Research Workers, ch. VII.
func OneWay(groups [][]float64) (Anova, error) {
	if len(groups) < 2 {
		return Anova{}, fmt.Errorf("%w: %d groups, at least 2 needed", ErrTooFew, len(groups))
	}
	all := slices.Concat(groups...)
	if len(all) <= len(groups) {
		return Anova{}, fmt.Errorf("%w: %d in %d groups, at least %d needed", ErrTooFew, len(all), len(groups), len(groups)+1)
	}
	low := slices.Min(all)
	total := summarizeAbout(low, all)
	var a Anova
	for i, g := range groups {
		s := summarizeAbout(low, g)
		if s.N == 0 {
			return Anova{}, fmt.Errorf("group %d: %w: none", i+1, ErrTooFew)
		}
		if !finite(s.Mean) {
			return Anova{}, fmt.Errorf("group %d: %w: mean %g", i+1, ErrNotFinite, low+s.Mean)
		}
		a.BetweenSquares += float64(s.N) * (s.Mean - total.Mean) * (s.Mean - total.Mean)
		if s.N > 1 {
			a.WithinSquares += float64(s.N-1) * s.SD * s.SD
		}
	}
	if a.WithinSquares == 0 {
		return Anova{}, fmt.Errorf("%w: all values of each group are equal", ErrNoSpread)
	}
	df1, df2 := float64(len(groups)-1), float64(len(all)-len(groups))
	a.Test = newFTest(a.BetweenSquares/df1/(a.WithinSquares/df2), df1, df2)
	a.ResidualSD = math.Sqrt(a.WithinSquares / df2)
	return a, nil
}

// summarizeAbout returns the summary of x minus zero.
func summarizeAbout(zero float64, x []float64) Summary {
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = v - zero
	}
	return Summarize(d)
}
