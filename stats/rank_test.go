package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"
)

// tiedValues draws few distinct values, so that most of them tie, and now and
// then one that never happens.
func tiedValues(t *rapid.T, label string, least, most int) []float64 {
	v := make([]float64, rapid.IntRange(least, most).Draw(t, label+" n"))
	for i := range v {
		v[i] = float64(rapid.IntRange(0, 6).Draw(t, label))
		if v[i] == 6 {
			v[i] = math.Inf(1)
		}
	}
	return v
}

// pairsAbove counts pairs with x above y, ties half: W by its definition.
func pairsAbove(x, y []float64) (w float64) {
	for _, a := range x {
		for _, b := range y {
			switch {
			case a > b:
				w++
			case a == b:
				w += 0.5
			}
		}
	}
	return w
}

// choose splits all values into those at the indices and the rest.
func choose(all []float64, indices []int) (in, out []float64) {
	chosen := make([]bool, len(all))
	for _, i := range indices {
		chosen[i] = true
	}
	for i, v := range all {
		if chosen[i] {
			in = append(in, v)
		} else {
			out = append(out, v)
		}
	}
	return in, out
}

func TestRankSumAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := tiedValues(t, "x", 2, 6), tiedValues(t, "y", 2, 6)
		got, err := RankSumTest(x, y)
		if err != nil {
			t.Fatal(err)
		}
		n, m := len(x), len(y)
		seen, mean := pairsAbove(x, y), float64(n*m)/2
		var below, above, far, most, farthest, total float64
		all := append(append([]float64{}, x...), y...)
		for _, indices := range combin.Combinations(n+m, n) {
			in, out := choose(all, indices)
			w := pairsAbove(in, out)
			total++
			below += one(w <= seen)
			above += one(w >= seen)
			far += one(math.Abs(w-mean) >= math.Abs(seen-mean))
			if d := math.Abs(w - mean); d > most {
				most, farthest = d, 0
			}
			farthest += one(math.Abs(w-mean) == most)
		}
		for _, row := range []struct {
			name      string
			got, want float64
		}{
			{"W", got.W, seen},
			{"share below", got.XBelow, 1 - seen/float64(n*m)},
			{"p below", got.PBelow, below / total},
			{"p above", got.PAbove, above / total},
			{"p", got.P, far / total},
			{"smallest p", got.SmallestP, farthest / total},
		} {
			if math.Abs(row.got-row.want) > 1e-12 {
				t.Fatalf("%s: got %.15g, want %.15g for %v and %v", row.name, row.got, row.want, x, y)
			}
		}
	})
}

func TestWorstRanks(t *testing.T) {
	never := math.Inf(1)
	r := must[RankSum](t)(RankSumTest([]float64{300, 310, 320, never}, []float64{330, 340, never, never}))
	// Of 16 pairs the three times of x win 12, and its one failure ties with the
	// two of y: 2 halves.
	within(t, "x beats y", r.XBelow, (12.0+1)/16, 1e-15)
	all := must[RankSum](t)(RankSumTest([]float64{never, never}, []float64{never, never, never}))
	within(t, "nothing happened", all.P, 1, 0)
	within(t, "nothing happened: smallest p", all.SmallestP, 1, 0)
}

func TestShiftLimitsAgainstEnumeration(t *testing.T) {
	// P(W ≤ w) of untied samples by enumeration: the confidence reached is that
	// of the largest limits that still exclude at most half of 5 % each side.
	for _, size := range [][2]int{{2, 3}, {3, 3}, {4, 4}, {5, 7}, {6, 6}} {
		n, m := size[0], size[1]
		counts := make([]float64, n*m+1)
		total := 0.0
		for _, indices := range combin.Combinations(n+m, n) {
			w := 0
			for k, i := range indices {
				w += i - k
			}
			counts[w]++
			total++
		}
		q, outside := 1, counts[0]/total
		for outside+counts[q]/total < 0.025 {
			outside += counts[q] / total
			q++
		}
		x, y := make([]float64, n), make([]float64, m)
		for i := range x {
			x[i] = math.Sqrt(float64(7 * (i + 1)))
		}
		for i := range y {
			y[i] = math.Cbrt(float64(11 * (i + 2)))
		}
		s := must[Shift](t)(ShiftBetween(x, y, 0.95))
		within(t, "confidence reached", s.Reached, 1-2*outside, 1e-12)
		below, above := 0.0, 0.0
		for _, a := range x {
			for _, b := range y {
				below += one(a-b < s.Lo)
				above += one(a-b > s.Hi)
			}
		}
		within(t, "differences below", below, float64(q-1), 0)
		within(t, "differences above", above, float64(q-1), 0)
	}
}

func TestShiftMovesAndTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-10, 10), 2, 9).Draw(t, "x")
		y := rapid.SliceOfN(rapid.Float64Range(-10, 10), 2, 9).Draw(t, "y")
		by := rapid.Float64Range(-5, 5).Draw(t, "by")
		moved := make([]float64, len(x))
		for i := range x {
			moved[i] = x[i] + by
		}
		a, errA := ShiftBetween(x, y, 0.95)
		b, errB := ShiftBetween(moved, y, 0.95)
		c, errC := ShiftBetween(y, x, 0.95)
		if errA != nil || errB != nil || errC != nil {
			t.Fatal(errA, errB, errC)
		}
		for _, d := range []float64{b.Estimate - a.Estimate - by, b.Lo - a.Lo - by, b.Hi - a.Hi - by, c.Estimate + a.Estimate, c.Lo + a.Hi, c.Hi + a.Lo} {
			if math.Abs(d) > 1e-12 {
				t.Fatalf("off by %g", d)
			}
		}
		if !a.Contains(a.Estimate) {
			t.Fatalf("estimate %g outside %v", a.Estimate, a.Interval)
		}
	})
}

func TestMedianOfTimesThatNeverCome(t *testing.T) {
	never := math.Inf(1)
	for _, row := range []struct {
		values []float64
		want   float64
	}{
		{[]float64{3, 1, 2}, 2},
		{[]float64{4, 1, 2, 3}, 2.5},
		{[]float64{1, 2, never}, 2},
		{[]float64{1, 2, never, never}, never},
		{[]float64{1, never, never}, never},
	} {
		if got := Median(row.values); got != row.want {
			t.Errorf("%v: got %g, want %g", row.values, got, row.want)
		}
	}
	if !math.IsNaN(Median(nil)) {
		t.Errorf("no values: got %g, want NaN", Median(nil))
	}
}

func TestRanksRefuse(t *testing.T) {
	good, many := []float64{1, 2}, make([]float64, 119)
	_, err := RankSumTest([]float64{1}, good)
	refuses(t, err, ErrTooFew, "sample x: too few values: 1, expected at least 2")
	_, err = RankSumTest(good, []float64{1, math.NaN()})
	refuses(t, err, ErrNotFinite, "sample y: not a finite number: value 2 is NaN, expected a number or +Inf")
	_, err = RankSumTest(good, []float64{1, math.Inf(-1)})
	refuses(t, err, ErrNotFinite, "sample y: not a finite number: value 2 is -Inf, expected a number or +Inf")
	_, err = RankSumTest(good, many)
	refuses(t, err, ErrOutOfRange, "exact rank test: out of range: 121 values together, expected at most 120")
	if _, err = RankSumTest(good, many[:118]); err != nil {
		t.Errorf("120 values together: %v", err)
	}
	_, err = ShiftBetween(good, []float64{1, math.Inf(1)}, 0.95)
	refuses(t, err, ErrNotFinite, "sample y: not a finite number: value 2 is +Inf, expected a finite number")
	_, err = ShiftBetween(good, many, 0.95)
	refuses(t, err, ErrOutOfRange, "exact shift limits: out of range: 121 values together, expected at most 120")
	_, err = ShiftBetween(good, good, 1)
	refuses(t, err, ErrOutOfRange, "out of range: confidence level 1, expected more than 0 and less than 1")
}
