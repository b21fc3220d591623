package stats

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/combin"
	"pgregory.net/rapid"
)

func drawProportion(t *rapid.T, label string, most int) Proportion {
	n := rapid.IntRange(1, most).Draw(t, label+" n")
	return Proportion{S: rapid.IntRange(0, n).Draw(t, label+" s"), N: n}
}

func TestFisherAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawProportion(t, "a", 6), drawProportion(t, "b", 6)
		// Which of all runs belong to a: count how often each s comes out.
		counts := map[int]float64{}
		total := 0.0
		for _, indices := range combin.Combinations(a.N+b.N, a.N) {
			s := 0
			for _, i := range indices {
				if i < a.S+b.S {
					s++
				}
			}
			counts[s]++
			total++
		}
		want := 0.0
		for _, c := range counts {
			if c <= counts[a.S] {
				want += c / total
			}
		}
		got, err := FisherExact(a, b)
		if err != nil || math.Abs(got-want) > 1e-12 {
			t.Fatalf("%v and %v: got %g %v, want %g", a, b, got, err, want)
		}
	})
}

func TestExceedsTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawProportion(t, "a", 40), drawProportion(t, "b", 40)
		ab, err1 := Exceeds(a, b)
		ba, err2 := Exceeds(b, a)
		if err1 != nil || err2 != nil || math.Abs(ab+ba-1) > 1e-10 {
			t.Fatalf("%v and %v: %g and %g, %v %v", a, b, ab, ba, err1, err2)
		}
	})
}

func TestExceedsAtTheLimit(t *testing.T) {
	_, err := Exceeds(Proportion{400, 1001}, Proportion{1, 2})
	refuses(t, err, ErrOutOfRange, "out of range: 1001 trials, expected at most 1000")
	// Where b is surely 0 or 1, a lies surely above or below.
	never := must[float64](t)(Exceeds(Proportion{500, 1000}, Proportion{0, 1000}))
	within(t, "half of all above none of all", never, 1, 1e-12)
}

func TestNextTimeAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawProportion(t, "a", 12), drawProportion(t, "b", 12)
		sooner := rapid.Float64Range(0, 1).Draw(t, "sooner")
		s, err := SplitNext(a, b, sooner)
		r, errR := SplitNext(b, a, 1-sooner)
		if err != nil || errR != nil || math.Abs(s.A+s.B+s.Neither-1) > 1e-12 || math.Abs(s.A-r.B) > 1e-12 {
			t.Fatalf("%+v and turned %+v, %v %v", s, r, err, errR)
		}
	})
	s := must[NextTime](t)(SplitNext(Proportion{5, 5}, Proportion{1, 2}, 0.75))
	within(t, "A", s.A, 5.5/6*0.5+5.5/6*0.5*0.75, 1e-15) // π = 5.5/6 and 1.5/3
	within(t, "neither", s.Neither, 0.5/6*0.5, 1e-15)
}

func TestProportionsRefuse(t *testing.T) {
	good := Proportion{1, 2}
	for _, bad := range []struct {
		p       Proportion
		message string
	}{
		{Proportion{0, 0}, "out of range: 0 of 0, expected 0 to n of at least 1"},
		{Proportion{3, 2}, "out of range: 3 of 2, expected 0 to n of at least 1"},
		{Proportion{-1, 2}, "out of range: -1 of 2, expected 0 to n of at least 1"},
	} {
		_, err := bad.p.Jeffreys(0.95)
		refuses(t, err, ErrOutOfRange, bad.message)
		_, err = FisherExact(bad.p, good)
		refuses(t, err, ErrOutOfRange, bad.message)
		_, err = FisherExact(good, bad.p)
		refuses(t, err, ErrOutOfRange, bad.message)
		_, err = Exceeds(good, bad.p)
		refuses(t, err, ErrOutOfRange, bad.message)
		_, err = SplitNext(good, bad.p, 0.5)
		refuses(t, err, ErrOutOfRange, bad.message)
		_, err = SplitNext(bad.p, good, 0.5)
		refuses(t, err, ErrOutOfRange, bad.message)
	}
	_, err := good.Jeffreys(0)
	refuses(t, err, ErrOutOfRange, "out of range: confidence level 0, expected more than 0 and less than 1")
	_, err = SplitNext(good, good, 1.1)
	refuses(t, err, ErrOutOfRange, "out of range: probability 1.1 that A is sooner, expected 0 to 1")
}
