package quantity

import (
	"math"
	"testing"
)

// Factors as NIST SP 811 (2008), appendix B.8, prints them; a factor may
// differ by half a unit of its last printed digit. The wording of the rows, and
// mmHg and Btu to their last digit, are from memory.
func TestFactorsOfSP811(t *testing.T) {
	rows := []struct {
		got, printed, half float64
		row                string
	}{
		{float64(Inch), 2.54e-2, 0, "inch (in) to metre, exact"},
		{float64(Foot), 3.048e-1, 0, "foot (ft) to metre, exact"},
		{float64(Pound), 4.535924e-1, 5e-8, "pound (avoirdupois) (lb) to kilogram"},
		{float64(Ounce), 2.834952e-2, 5e-9, "ounce (avoirdupois) (oz) to kilogram"},
		{float64(USGallon), 3.785412e-3, 5e-10, "gallon (U.S.) (gal) to cubic metre"},
		{float64(USCup), 2.365882e-4, 5e-11, "cup (U.S.) to cubic metre"},
		{float64(USFluidOunce), 2.957353e-5, 5e-12, "ounce (U.S. fluid) (fl oz) to cubic metre"},
		{volumeOf(t, "1 US tbsp"), 1.478676e-5, 5e-12, "tablespoon to cubic metre"},
		{volumeOf(t, "1 US tsp"), 4.928922e-6, 5e-13, "teaspoon to cubic metre"},
		{float64(ImperialGallon), 4.54609e-3, 0, "gallon [Canadian and U.K. (Imperial)] (gal) to cubic metre, exact"},
		{float64(ImperialFluidOunce), 2.841306e-5, 5e-12, "ounce [Canadian and U.K. fluid (Imperial)] (fl oz) to cubic metre"},
		{float64(PoundPerSquareInch), 6.894757e3, 5e-4, "psi (pound-force per square inch) to pascal"},
		{float64(InchOfMercury), 3.386389e3, 5e-4, "inch of mercury, conventional (inHg) to pascal"},
		{float64(MillimetreOfMercury), 1.333224e2, 5e-5, "millimetre of mercury, conventional (mmHg) to pascal"},
		{float64(StandardAtmosphere), 1.01325e5, 0, "atmosphere, standard (atm) to pascal, exact"},
		{float64(BTU), 1.055056e3, 5e-4, "British thermal unit IT (BtuIT) to joule"},
		{energyOf(t, "1 kcal_IT"), 4.1868e3, 0, "kilocalorie IT to joule, exact"},
		{energyOf(t, "1 kcal_th"), 4.184e3, 0, "kilocalorie th to joule, exact"},
	}
	for _, r := range rows {
		if math.Abs(r.got-r.printed) > r.half*(1+1e-6) {
			t.Errorf("SP 811 B.8, %s: got %.9g, printed %.9g", r.row, r.got, r.printed)
		}
	}
}

func volumeOf(t *testing.T, s string) float64 {
	t.Helper()
	r, err := ParseVolume(s, Metric)
	if err != nil {
		t.Fatal(err)
	}
	return float64(r.Value)
}

func energyOf(t *testing.T, s string) float64 {
	t.Helper()
	r, err := ParseEnergy(s)
	if err != nil {
		t.Fatal(err)
	}
	return float64(r.Value)
}

// Rounding examples of JCGM 100:2008 (GUM), 7.2.6.
func TestRoundingExamplesOfTheGUM(t *testing.T) {
	rows := []struct {
		value, halfWidth float64
		rule             Rule
		want             string
		source           string
	}{
		{10.05762, 0.027, NearestEven, "10.058 ± 0.027", "GUM 7.2.6: 10.057 62 ohm with 27 milliohm becomes 10.058 ohm"},
		{0, 10.47, Up, "0 ± 11", "GUM 7.2.6: 10.47 milliohm might be rounded up to 11 milliohm"},
		{0, 28.05, Up, "0 ± 28", "GUM 7.2.6: 28.05 kHz should be rounded down to 28 kHz"},
	}
	for _, r := range rows {
		if got := State(r.value, r.halfWidth, r.rule).String(); got != r.want {
			t.Errorf("%s: got %q", r.source, got)
		}
	}
}

// What the trade writes for grams: common practice, no source.
func TestEighthsOfTheTrade(t *testing.T) {
	rows := []struct {
		grams float64
		want  string
	}{
		{26, "7/8 oz"},   // common practice, no source
		{14, "1/2 oz"},   // common practice, no source
		{50, "1 3/4 oz"}, // common practice, no source
		{67, "2 3/8 oz"}, // common practice, no source
	}
	for _, r := range rows {
		if got := FormatEighths(Mass(r.grams) * Gram); got != r.want {
			t.Errorf("%g g: got %q, the trade writes %q", r.grams, got, r.want)
		}
	}
}
