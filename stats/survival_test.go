package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawObserved draws times with many ties and about a third censored.
func drawObserved(t *rapid.T, label string, least, most int) []Observed {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Observed {
		return Observed{Time: float64(rapid.IntRange(1, 8).Draw(t, "time")), Event: rapid.IntRange(0, 2).Draw(t, "event") > 0}
	}), least, most).Draw(t, label)
}

// redistribute hands the share of every censored time to the times after it in
// equal parts and returns the share of each: Efron's construction, which never
// multiplies survivals. What a last censored time holds stays with it.
//
// Source: B. Efron, 1967, Proc. 5th Berkeley Symposium 4:831.
func redistribute(values []Observed) (sorted []Observed, share []float64) {
	sorted = slices.Clone(values)
	slices.SortFunc(sorted, byTime)
	share = slices.Repeat([]float64{1 / float64(len(sorted))}, len(sorted))
	for i, o := range sorted {
		if o.Event {
			continue
		}
		later := i + 1
		for later < len(sorted) && sorted[later].Time == o.Time {
			later++
		}
		if later == len(sorted) {
			continue
		}
		for j := later; j < len(sorted); j++ {
			share[j] += share[i] / float64(len(sorted)-later)
		}
		share[i] = 0
	}
	return sorted, share
}

func TestKaplanMeierAgainstRedistribution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := drawObserved(t, "values", 2, 12)
		c, err := KaplanMeier(values)
		if err != nil {
			t.Fatal(err)
		}
		sorted, share := redistribute(values)
		for _, s := range c.Steps {
			want := 1.0
			for i, o := range sorted {
				if o.Event && o.Time <= s.Time {
					want -= share[i]
				}
			}
			if math.Abs(s.Survival-want) > 1e-12 {
				t.Fatalf("survival at %g: got %g, want %g", s.Time, s.Survival, want)
			}
		}
	})
}

func TestSurvivalWithoutCensoringIsCounting(t *testing.T) {
	times := []float64{5, 3, 8, 8, 1, 12, 9}
	values := make([]Observed, len(times))
	for i, v := range times {
		values[i] = Observed{v, true}
	}
	c := must[Curve](t)(KaplanMeier(values))
	n := float64(len(times))
	for _, s := range c.Steps {
		above := 0.0
		for _, v := range times {
			above += one(v > s.Time)
		}
		within(t, "survival", s.Survival, above/n, 1e-15)
		within(t, "standard error", s.SE(), math.Sqrt(above/n*(1-above/n)/n), 1e-12)
		within(t, "survival at", c.At(s.Time), s.Survival, 0)
	}
	capped := must[[]float64](t)(Capped(times, 8.5))
	mean, se, err := c.RestrictedMean(8.5)
	if err != nil {
		t.Fatal(err)
	}
	s := Summarize(capped)
	near(t, "restricted mean", mean, s.Mean, 1e-12)
	near(t, "its standard error", se, s.SD*math.Sqrt((n-1)/n)/math.Sqrt(n), 1e-12)
	within(t, "survival at the start", c.At(0), 1, 0)
	within(t, "survival beyond the last event", c.At(99), 0, 0)
	if mean, _, err = c.RestrictedMean(99); err != nil || math.Abs(mean-Summarize(times).Mean) > 1e-12 {
		t.Errorf("mean to 99: %g %v, want %g", mean, err, Summarize(times).Mean)
	}
}

func TestMedianAtExactlyOneHalf(t *testing.T) {
	c := must[Curve](t)(KaplanMeier([]Observed{{1, true}, {2, true}, {4, true}, {5, true}}))
	median, _, err := c.Median(0.95)
	if err != nil || median != 3 {
		t.Errorf("median %g %v, want 3", median, err)
	}
	c = must[Curve](t)(KaplanMeier([]Observed{{1, true}, {2, true}, {4, false}, {5, false}}))
	if median, _, _ = c.Median(0.95); median != 2 {
		t.Errorf("median %g, want 2: no event follows", median)
	}
	c = must[Curve](t)(KaplanMeier([]Observed{{1, false}, {2, false}}))
	median, limits, _ := c.Median(0.95)
	if !math.IsInf(median, 1) || !math.IsInf(limits.Lo, 1) {
		t.Errorf("no event: median %g %v, want +Inf", median, limits)
	}
	_, _, err = c.Median(1.5)
	refuses(t, err, ErrOutOfRange, "out of range: confidence level 1.5, expected more than 0 and less than 1")
}

func TestBeyondTheLastCensoredTime(t *testing.T) {
	c := must[Curve](t)(KaplanMeier([]Observed{{3, true}, {7, true}, {7, false}}))
	within(t, "at the last time", c.At(7), 1.0/3, 1e-15)
	if !math.IsNaN(c.At(7.1)) {
		t.Errorf("beyond it: %g, want NaN", c.At(7.1))
	}
	if _, _, err := c.RestrictedMean(7); err != nil {
		t.Errorf("to the last time: %v", err)
	}
	_, _, err := c.RestrictedMean(7.1)
	refuses(t, err, ErrOutOfRange, "restricted mean: out of range: tau 7.1 lies beyond the last time 7, which is censored: expected at most 7")
	_, _, err = c.RestrictedMean(0)
	refuses(t, err, ErrOutOfRange, "restricted mean: out of range: tau 0, expected above 0")
}

// drawEndings draws times with censoring and two causes.
func drawEndings(t *rapid.T) []Ending {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Ending {
		return Ending{Time: float64(rapid.IntRange(1, 8).Draw(t, "time")), Cause: rapid.IntRange(0, 2).Draw(t, "cause")}
	}), 2, 12).Draw(t, "endings")
}

func TestIncidenceAgainstRedistribution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := drawEndings(t)
		all := make([]Observed, len(values))
		for i, v := range values {
			all[i] = Observed{v.Time, v.Cause > 0}
		}
		curve, err := KaplanMeier(all)
		if err != nil {
			t.Fatal(err)
		}
		boil, err1 := CumulativeIncidence(values, 1)
		out, err2 := CumulativeIncidence(values, 2)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		sorted, share := redistribute(all)
		for i, s := range curve.Steps {
			if math.Abs(boil[i].Share+out[i].Share+s.Survival-1) > 1e-12 {
				t.Fatalf("at %g: %g and %g and %g do not add up to 1", s.Time, boil[i].Share, out[i].Share, s.Survival)
			}
			want := 0.0
			for j, o := range sorted {
				if !o.Event || o.Time > s.Time {
					continue
				}
				// tied events hold equal shares: split them by how many have the cause
				ofCause, ofAny := 0.0, 0.0
				for _, v := range values {
					if v.Time == o.Time {
						ofCause += one(v.Cause == 1)
						ofAny += one(v.Cause > 0)
					}
				}
				want += share[j] * ofCause / ofAny
			}
			if math.Abs(boil[i].Share-want) > 1e-12 {
				t.Fatalf("at %g: got %g, want %g", s.Time, boil[i].Share, want)
			}
		}
	})
}

func TestIncidenceWithoutCensoringIsCounting(t *testing.T) {
	values := []Ending{{3, 1}, {4, 2}, {4, 1}, {6, 1}, {7, 2}, {9, 2}, {9, 1}}
	n := float64(len(values))
	for _, i := range must[[]Incidence](t)(CumulativeIncidence(values, 1)) {
		share := 0.0
		for _, v := range values {
			share += one(v.Time <= i.Time && v.Cause == 1) / n
		}
		within(t, "share", i.Share, share, 1e-14)
		within(t, "standard error", i.SE, math.Sqrt(share*(1-share)/n), 1e-12)
	}
}

func TestIncidenceOfOneCauseIsKaplanMeier(t *testing.T) {
	values := []Ending{{3, 1}, {4, 0}, {4, 1}, {6, 1}, {7, 0}, {9, 1}, {9, 0}}
	all := make([]Observed, len(values))
	for i, v := range values {
		all[i] = Observed{v.Time, v.Cause > 0}
	}
	c := must[Curve](t)(KaplanMeier(all))
	for i, in := range must[[]Incidence](t)(CumulativeIncidence(values, 1)) {
		within(t, "share", in.Share, 1-c.Steps[i].Survival, 1e-14)
		within(t, "standard error", in.SE, c.Steps[i].SE(), 1e-12)
	}
}

func TestCappedTimes(t *testing.T) {
	got := must[[]float64](t)(Capped([]float64{300, math.Inf(1), 0, 900}, 600))
	if !slices.Equal(got, []float64{300, 600, 0, 600}) {
		t.Errorf("got %v", got)
	}
	_, err := Capped([]float64{300, -1}, 600)
	refuses(t, err, ErrOutOfRange, "capped times: out of range: time 2 is -1, expected 0 or more, or +Inf")
	_, err = Capped([]float64{math.NaN()}, 600)
	refuses(t, err, ErrOutOfRange, "capped times: out of range: time 1 is NaN, expected 0 or more, or +Inf")
	_, err = Capped(nil, 600)
	refuses(t, err, ErrTooFew, "capped times: too few values: 0, at least 1 needed")
	_, err = Capped([]float64{1}, 0)
	refuses(t, err, ErrOutOfRange, "capped times: out of range: limit 0, expected above 0")
}

func TestSurvivalRefuses(t *testing.T) {
	_, err := KaplanMeier([]Observed{{1, true}})
	refuses(t, err, ErrTooFew, "too few values: 1, at least 2 needed")
	_, err = KaplanMeier([]Observed{{1, true}, {-2, true}})
	refuses(t, err, ErrOutOfRange, "out of range: time 2 is -2, expected a finite number, 0 or more")
	_, err = KaplanMeier([]Observed{{1, true}, {math.Inf(1), false}})
	refuses(t, err, ErrOutOfRange, "out of range: time 2 is +Inf, expected a finite number, 0 or more")
	_, err = CumulativeIncidence([]Ending{{1, 1}, {2, 2}}, 0)
	refuses(t, err, ErrOutOfRange, "cumulative incidence: out of range: cause 0, expected 1 or more")
	_, err = CumulativeIncidence([]Ending{{1, 1}, {2, -2}}, 1)
	refuses(t, err, ErrOutOfRange, "cumulative incidence: out of range: cause -2 of value 2, expected 0 or more")
}
