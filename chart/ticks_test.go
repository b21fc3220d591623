package chart

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func texts(ticks []tick) string {
	var all []string
	for _, t := range ticks {
		all = append(all, t.text)
	}
	return strings.Join(all, " ")
}

func TestTicks(t *testing.T) {
	for _, row := range []struct {
		scale  Scale
		lo, hi float64
		most   int
		want   string
	}{
		{Plain, 13.4, 17.1, 5, "13 14 15 16 17 18"},
		{Plain, 13.4, 17.1, 10, "13.0 13.5 14.0 14.5 15.0 15.5 16.0 16.5 17.0 17.5"},
		{Plain, 0, 1, 5, "0.0 0.2 0.4 0.6 0.8 1.0"},
		{Plain, -1e-10, 1, 2, "0.0 0.5 1.0"},
		{Plain, -0.3, 0.2, 5, "−0.3 −0.2 −0.1 0.0 0.1 0.2"},
		{Plain, 5, 5, 4, "4.6 4.8 5.0 5.2 5.4"},
		{Plain, 0, 0, 4, "−0.5 0.0 0.5"},
		{Plain, 0, 25000, 5, "0 5000 10000 15000 20000 25000"},
		{Percent, -0.29, 0.2, 6, "−30\u00a0% −20\u00a0% −10\u00a0% 0\u00a0% 10\u00a0% 20\u00a0%"},
		{Percent, 0.001, 0.004, 5, "0.1\u00a0% 0.2\u00a0% 0.3\u00a0% 0.4\u00a0%"},
		{Whole, 1, 3, 20, "1 2 3"},
		{Whole, 1, 30, 6, "0 5 10 15 20 25 30"},
		{Clock, 312, 535, 6, "5:00 6:00 7:00 8:00 9:00"},
		{Clock, 362, 399, 5, "6:00 6:10 6:20 6:30 6:40"},
		{Clock, 0, 5400, 4, "0:00 30:00 60:00 90:00"},
		{Clock, -30, 30, 4, "−0:30 −0:15 0:00 0:15 0:30"},
		{Clock, 1.1, 2.2, 3, "0:01.0 0:01.5 0:02.0 0:02.5"},
		{Clock, 59.6, 60.2, 4, "0:59.6 0:59.8 1:00.0 1:00.2"},
		{Clock, 0, 40000, 4, "0:00 300:00 600:00 900:00"},
	} {
		if got := texts(row.scale.ticks(row.lo, row.hi, row.most)); got != row.want {
			t.Errorf("ticks from %g to %g, at most %d: %s, expected %s", row.lo, row.hi, row.most, got, row.want)
		}
	}
}

func TestTicksHoldTheRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.SampledFrom([]Scale{Plain, Clock, Percent, Whole}).Draw(t, "scale")
		lo := rapid.Float64Range(-1e12, 1e12).Draw(t, "lo")
		if rapid.Bool().Draw(t, "small") {
			lo = math.Mod(lo, 1000)
		}
		hi := lo + math.Pow(10, rapid.Float64Range(-12, 12).Draw(t, "span"))
		most := rapid.IntRange(2, 20).Draw(t, "most")
		hold(t, scale, lo, hi, most)
	})
}

func hold(t *rapid.T, scale Scale, lo, hi float64, most int) {
	all := scale.ticks(lo, hi, most)
	if n := len(all); n < 2 || n > most+1 {
		t.Fatalf("%d ticks from %g to %g, expected 2 to %d", n, lo, hi, most+1)
	}
	step := all[1].at - all[0].at
	if all[0].at > lo+step*1e-6 || all[len(all)-1].at < hi-step*1e-6 {
		t.Fatalf("ticks %v do not hold %g to %g", all, lo, hi)
	}
	for i, tk := range all {
		if math.Signbit(tk.at) && tk.at == 0 || strings.Trim(tk.text, "−0:.\u00a0%") == "" && strings.Contains(tk.text, "−") {
			t.Fatalf("tick %g is written %q", tk.at, tk.text)
		}
		if i > 0 && math.Abs(tk.at-all[i-1].at-step) > step*1e-3 {
			t.Fatalf("ticks %v are not equally far apart", all)
		}
	}
}

// A time written by clock reads back as itself.
func TestClockReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tenths := rapid.IntRange(-100_000, 100_000).Draw(t, "tenths")
		text := strings.Replace(clock(float64(tenths)/10, 0.1), "−", "-", 1)
		var m, s, tenth int
		if _, err := fmt.Sscanf(strings.TrimPrefix(text, "-"), "%d:%02d.%d", &m, &s, &tenth); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		back := (60*m+s)*10 + tenth
		if strings.HasPrefix(text, "-") {
			back = -back
		}
		if back != tenths || s > 59 {
			t.Fatalf("%d tenths were written %q", tenths, text)
		}
	})
}
