package chart

import (
	"errors"
	"math"
	"testing"
)

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	f := frame(360, "T")
	one := []Point{{Value: 1}}
	for _, row := range []struct {
		c    scener
		is   error
		want string
	}{
		{Dots{Frame: f}, ErrEmpty, `chart "T": no rows: there is nothing to show`},
		{Dots{Frame: frame(299, "T"), Rows: []Row{{Points: one}}}, ErrWidth, `chart "T": width 299 px: expected a width of 300 to 2000 px`},
		{Dots{Frame: frame(2001, "T"), Rows: []Row{{Points: one}}}, ErrWidth, `chart "T": width 2001 px: expected a width of 300 to 2000 px`},
		{Dots{Frame: frame(nan, "T"), Rows: []Row{{Points: one}}}, ErrWidth, `chart "T": width NaN px: expected a width of 300 to 2000 px`},
		{Dots{Frame: f, Rows: []Row{{Name: "A", Points: []Point{{Value: 1}, {Value: inf}}}}}, ErrNotFinite, `chart "T": row "A", point 2 is +Inf: expected a finite number`},
		{Dots{Frame: f, Rows: []Row{{Name: "A", Inner: &Interval{3, 2, 4}}}}, ErrOrder, `chart "T": row "A": interval 3, 2, 4: expected low <= mid <= high`},
		{Dots{Frame: f, Rows: []Row{{Name: "A", Outer: &Interval{nan, 2, 4}}}}, ErrNotFinite, `chart "T": row "A": interval NaN, 2, 4: expected a finite number`},
		{Dots{Frame: f, Rows: []Row{{Points: one}}, Reference: &Reference{nan, "limit"}}, ErrNotFinite, `chart "T": reference "limit" is NaN: expected a finite number`},
		{Scatter{Frame: f}, ErrEmpty, `chart "T": no spots and no centres: there is nothing to show`},
		{Scatter{Frame: f, Clouds: []Cloud{{Name: "A", Spots: []Spot{{X: 1, Y: nan}}}}}, ErrNotFinite, `chart "T": cloud "A", spot 1 is 1, NaN: expected a finite number`},
		{Scatter{Frame: f, Clouds: []Cloud{{Name: "A", Centre: &Cross{X: Interval{1, 2, 3}, Y: Interval{1, 0, 3}}}}}, ErrOrder, `chart "T": cloud "A": interval 1, 0, 3: expected low <= mid <= high`},
		{Lanes{Frame: f}, ErrEmpty, `chart "T": no lanes: there is nothing to show`},
		{Lanes{Frame: f, Groups: []LaneGroup{{Name: "A", Lanes: []Lane{{Name: "burn 1", Segments: []Segment{{From: 2, To: 1}}}}}}}, ErrOrder, `chart "T": A, burn 1: segment from 2 to 1: expected low <= mid <= high`},
		{Lanes{Frame: f, Groups: []LaneGroup{{Name: "A", Lanes: []Lane{{Name: "burn 1", Moments: []Moment{{At: nan}}}}}}}, ErrNotFinite, `chart "T": A, burn 1: time NaN: expected a finite number`},
		{Shares{Frame: f}, ErrEmpty, `chart "T": no parts: there is nothing to show`},
		{Shares{Frame: f, Parts: []Share{{Name: "A", Value: 1.1}}}, ErrShare, `chart "T": part "A" is 1.1 of the whole: expected a share from 0 to 1`},
		{Curves{Frame: f}, ErrEmpty, `chart "T": no curves: there is nothing to show`},
		{Curves{Frame: f, Lines: []Curve{{Name: "A", Line: []Spot{{X: inf}}}}}, ErrNotFinite, `chart "T": curve "A", point 1 is +Inf, 0: expected a finite number`},
		{Curves{Frame: f, Lines: []Curve{{Name: "A", Band: []Bounds{{1, 3, 2}}}}}, ErrOrder, `chart "T": curve "A", band 1 is 3 to 2: expected low <= mid <= high`},
		{Differences{Frame: f}, ErrEmpty, `chart "T": no pairs: there is nothing to show`},
		{Differences{Frame: f, MarginLow: 0.1, MarginHigh: 0.2, Pairs: []Pair{{}}}, ErrOrder, `chart "T": margin from 0.1 to 0.2 does not hold zero: expected low <= mid <= high`},
		{Differences{Frame: f, Pairs: []Pair{{Name: "A − B", Inner: &Interval{0, nan, 1}}}}, ErrNotFinite, `chart "T": pair "A − B": interval 0, NaN, 1: expected a finite number`},
	} {
		if _, err := row.c.Scene(); !errors.Is(err, row.is) || err.Error() != row.want {
			t.Errorf("%v, expected %s", err, row.want)
		}
	}
}

// Both sides of the limits of the width are drawn.
func TestWidthLimits(t *testing.T) {
	for _, width := range []float64{300, 2000} {
		for name, c := range samples(width) {
			if _, err := c.Scene(); err != nil {
				t.Errorf("%s at %g: %v", name, width, err)
			}
		}
	}
}
