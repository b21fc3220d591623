package water

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// plain evaluates a series as the release prints it.
func plain(s series, a, b float64) float64 {
	sum := 0.0
	for _, t := range s.terms {
		sum += t.n * math.Pow(a, float64(t.i)) * math.Pow(b, float64(t.j))
	}
	return sum
}

func TestFastSumIsThePrintedSum(t *testing.T) {
	all := map[string]series{
		"region 1": region1, "region 1 by a": region1ByA, "region 1 by b": region1ByB, "region 1 by bb": region1ByBB,
		"region 2 ideal by b": region2IdealByB, "region 2 residual by b": region2ResidualByB,
	}
	for name, s := range all {
		rapid.Check(t, func(t *rapid.T) {
			k := rapid.Float64Range(lowestKelvin, highestKelvin).Draw(t, "kelvin")
			a, b := liquidArguments(k, rapid.Float64Range(611, 100e6).Draw(t, "pascal"))
			if name[:8] == "region 2" {
				a, b = rapid.Float64Range(611e-6, 16).Draw(t, "pi"), vapourKelvin/k-0.5
			}
			got, want := s.at(a, b), plain(s, a, b)
			size := 0.0
			for _, w := range s.terms {
				size += math.Abs(w.n * math.Pow(a, float64(w.i)) * math.Pow(b, float64(w.j)))
			}
			// Terms cancel, so 1e-12 of the value or one part in 2^50 of what was added up.
			if math.Abs(got-want) > max(1e-12*math.Abs(want), size/(1<<50)) {
				t.Fatalf("%s at %v, %v: %.17g, printed sum %.17g", name, a, b, got, want)
			}
		})
	}
}

func TestDerivativesAreSlopes(t *testing.T) {
	const d = 1e-5
	a, b := 6.9, 3.2
	for name, pair := range map[string][2]float64{
		"by a": {region1ByA.at(a, b), (region1.at(a+d, b) - region1.at(a-d, b)) / (2 * d)},
		"by b": {region1ByB.at(a, b), (region1.at(a, b+d) - region1.at(a, b-d)) / (2 * d)},
	} {
		if math.Abs(pair[0]/pair[1]-1) > 1e-7 {
			t.Errorf("%s: %v, slope %v", name, pair[0], pair[1])
		}
	}
}

func TestEmptySeriesIsZero(t *testing.T) {
	s := newSeries(nil)
	if got := s.at(2, 3); got != 0 {
		t.Errorf("empty sum = %v", got)
	}
}

func TestTableOfPowersRefusesTooMany(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("100 different powers were taken")
		}
	}()
	var many []term
	for j := range 100 {
		many = append(many, term{0, j, 1})
	}
	newSeries(many)
}
