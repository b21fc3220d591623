package uncertainty

import (
	"math"
	"testing"
)

func TestRepeatsAtTheirLimits(t *testing.T) {
	// With nothing in common the statement is Student's own.
	r, err := Combine([]float64{1, 2, 3, 4, 5}, 0, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	k, _ := CoverageFactor(0.95, 4)
	if r.Nu != 4 || r.K != k || !near(r.UC, math.Sqrt(2.5/5), 1e-12) || !near(r.High-r.Mean, r.U, 1e-12) {
		t.Errorf("no common part: %+v", r)
	}
	// Equal repeats: only the common part is left.
	r, err = Combine([]float64{3, 3}, 0.5, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if r.S != 0 || r.NuEff != 0 || r.UC != 0.5 || !near(r.K, 1.959963984540054, 1e-12) || r.RepeatabilityLimit != 0 {
		t.Errorf("equal repeats: %+v", r)
	}
	// A common part that dwarfs the scatter.
	r, err = Combine([]float64{3, 3.0000001}, 1e6, 0.95)
	if err != nil || !near(r.K, 1.959963984540054, 1e-12) {
		t.Errorf("large common part: %+v, %v", r, err)
	}
}

func TestRepeatsWithoutMeaningAreRefused(t *testing.T) {
	for _, r := range []struct {
		x             []float64
		common, level float64
		want          string
	}{
		{nil, 0, 0.95, "combine repeats: got 0, expected 2 or more: one value has no scatter"},
		{[]float64{1}, 0, 0.95, "combine repeats: got 1, expected 2 or more: one value has no scatter"},
		{[]float64{1, math.NaN()}, 0, 0.95, "combine repeats: repeat 2 is NaN, expected a finite number"},
		{[]float64{1, 2}, -1, 0.95, "combine repeats: common standard uncertainty is -1, expected a finite number, 0 or more"},
		{[]float64{1, 2}, 0, 0, "expand mean of repeats: coverage level is 0, expected between 0 and 1, both excluded, such as 0.95"},
	} {
		if _, err := Combine(r.x, r.common, r.level); err == nil || err.Error() != r.want {
			t.Errorf("got %v\nwant %s", err, r.want)
		}
	}
}
