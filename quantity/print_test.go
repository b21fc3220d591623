package quantity

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestUncertaintyRounds(t *testing.T) {
	up, down := math.Inf(1), math.Inf(-1)
	rows := []struct {
		value, halfWidth float64
		rule             Rule
		want             string
	}{
		{0.44610, 0.00934, NearestEven, "0.4461 ± 0.0093"},
		{427.77, 7.4, NearestEven, "427.8 ± 7.4"},
		{25.20, 0.31, NearestEven, "25.20 ± 0.31"},
		{-25.20, 0.31, NearestEven, "-25.20 ± 0.31"},
		{123456, 4321, NearestEven, "123500 ± 4300"},
		{427.77, 9.96, NearestEven, "428 ± 10"}, // renormalised
		{427.77, 99.6, NearestEven, "430 ± 100"},
		{427.77, 0.0996, NearestEven, "427.77 ± 0.10"},
		{0.04, 3, NearestEven, "0.0 ± 3.0"},
		{-0.04, 3, NearestEven, "0.0 ± 3.0"},
		// ties go to even, on both sides of the tie
		{0, 10.5, NearestEven, "0 ± 10"},
		{0, math.Nextafter(10.5, up), NearestEven, "0 ± 11"},
		{0, math.Nextafter(11.5, down), NearestEven, "0 ± 11"},
		{0, 11.5, NearestEven, "0 ± 12"},
		{0, 0.355, NearestEven, "0.00 ± 0.36"},
		{0, math.Nextafter(0.355, down), NearestEven, "0.00 ± 0.35"},
		{0, 0.345, NearestEven, "0.00 ± 0.34"},
		{0, math.Nextafter(0.345, up), NearestEven, "0.00 ± 0.35"},
		{0, 9.95, NearestEven, "0 ± 10"},
		{0, math.Nextafter(9.95, down), NearestEven, "0.0 ± 9.9"},
		{1.25, 1, NearestEven, "1.2 ± 1.0"},
		{math.Nextafter(1.25, up), 1, NearestEven, "1.3 ± 1.0"},
		{1.35, 1, NearestEven, "1.4 ± 1.0"},
		{math.Nextafter(1.35, down), 1, NearestEven, "1.3 ± 1.0"},
		// up where more than 4 % would be lost
		{0, 11.49, Up, "0 ± 12"},
		{0, 11.44, Up, "0 ± 11"},
		{0, 12.5, Up, "0 ± 12"}, // exactly 4 %
		{0, math.Nextafter(12.5, up), Up, "0 ± 13"},
		{0, 10.41, Up, "0 ± 10"},
		{0, 10.42, Up, "0 ± 11"},
		{0, 99.6, Up, "0 ± 100"},
		// no half-width to state
		{25.2, 0, NearestEven, "25.2"},
		{25.2, -1, NearestEven, "25.2"},
		{25.2, math.NaN(), NearestEven, "25.2"},
		{25.2, up, NearestEven, "25.2"},
		{math.NaN(), 1, NearestEven, "NaN"},
		{up, 1, NearestEven, "+Inf"},
	}
	for _, r := range rows {
		if got := State(r.value, r.halfWidth, r.rule).String(); got != r.want {
			t.Errorf("State(%v, %v, %v): got %q, want %q", r.value, r.halfWidth, r.rule, got, r.want)
		}
	}
	text, _ := json.Marshal(State(25.2, 0.31, NearestEven))
	if string(text) != `{"value":"25.20","half_width":"0.31"}` {
		t.Errorf("as JSON: %s", text)
	}
}

func TestQuantitiesPrintInTheSystem(t *testing.T) {
	rows := []struct{ got, want string }{
		{Format(25.2*Gram, Metric), "25.2 g"},
		{Format(25.2*Gram, US), "0.89 oz"},
		{Format(30*Millilitre, Metric), "30.0 mL"},
		{Format(USFluidOunce, US), "1.00 fl oz"},
		{Format(ImperialFluidOunce, Imperial), "1.00 fl oz"},
		{Format(Celsius(18.3), Metric), "18.3 °C"},
		{Format(Celsius(100), US), "212.0 °F"},
		{Format(Celsius(18.3), Imperial), "18.3 °C"},
		{Format(TempDiff(5), US), "9.0 °F"},
		{Format(985*Hectopascal, Metric), "985.0 hPa"},
		{Format(985*Hectopascal, US), "29.09 inHg"},
		{Format(24*Millimetre, Metric), "24.0 mm"},
		{Format(2.375*Inch, US), "2.375 in"},
		{FormatElevation(2100*Metre, Metric), "2100 m"},
		{FormatElevation(2100*Metre, US), "6890 ft"},
		{Format(475.61*Watt, US), "476 W"},
		{Format(180*Kilojoule, US), "180.0 kJ"},
		{Format(3*MetrePerSecond, US), "6.7 mph"},
		{Format(Density(789.24), US), "789.2 kg/m³"},
		{Format(SpecificHeat(4184), US), "4184 J/(kg·K)"},
		{Format(HeatCapacity(150), Metric), "150 J/K"},
		{Format(26.8*MegajoulePerKilogram, US), "26.80 MJ/kg"},
		{Format(Conductance(1.04), US), "1.04 W/K"},
		{Format(MassFraction(0.924), US), "92.4 % by mass"},
		{Format(VolumeFraction(0.95), US), "95.0 % vol"},
		{Format(Ratio(0.446), US), "44.6 %"},
		{Format(432*time.Second, US), "432.0 s"},
		{FormatWith(25.2*Gram, 0.31e-3, Metric), "25.20 ± 0.31 g"},
		{FormatWith(Celsius(100), 0.5, US), "212.00 ± 0.90 °F"},
		{FormatWith(Ratio(0.44610), 0.00934, Metric), "44.61 ± 0.93 %"},
		{FormatWith(25.2*Gram, 0, Metric), "25.2 g"},
		{FormatInterval(Ratio(0.004), Ratio(0.092), Metric), "0.4 to 9.2 %"},
		{FormatInterval(Ratio(-0.031), Ratio(0.042), Metric), "-3.1 to 4.2 %"},
		{FormatInterval(410*time.Second, 452*time.Second, Metric), "410 to 452 s"},
		{FormatInterval(Celsius(-40), Celsius(100), US), "-40 to 210 °F"},
		{FormatInterval(Ratio(0.05), Ratio(0.05), Metric), "5.0 %"},
		{FormatInterval(Ratio(0.05), Ratio(math.Inf(1)), Metric), "5.0 % or more"},
		{FormatInterval(Ratio(math.Inf(-1)), Ratio(0.05), Metric), "5.0 % or less"},
		{FormatInterval(Ratio(math.NaN()), Ratio(0.05), Metric), "not known"},
		{Format(Mass(math.NaN()), Metric), "NaN g"},
	}
	for _, r := range rows {
		if r.got != r.want {
			t.Errorf("got %q, want %q", r.got, r.want)
		}
	}
}

// An eighth changes at the odd sixteenth, which itself goes up.
func TestEighthsOnBothSidesOfEveryBoundary(t *testing.T) {
	names := []string{"0", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"}
	name := func(n int) string {
		s := names[n%8]
		if whole := n / 8; whole > 0 {
			s = strings.TrimSuffix(strconv.Itoa(whole)+" "+s, " 0")
		}
		return s + " oz"
	}
	for n := range 400 {
		at := Mass(2*n+1) * Ounce / 16
		below := Mass(math.Nextafter(float64(at), 0))
		above := Mass(math.Nextafter(float64(at), math.Inf(1)))
		if FormatEighths(below) != name(n) || FormatEighths(at) != name(n+1) || FormatEighths(above) != name(n+1) {
			t.Errorf("around %d/16 oz: %q, %q, %q", 2*n+1, FormatEighths(below), FormatEighths(at), FormatEighths(above))
		}
		r, err := ParseMass(strconv.Itoa(2*n+1) + "/16 oz")
		if err != nil || r.Value != at {
			t.Errorf("%d/16 oz reads as %v (%v), want %v", 2*n+1, r.Value, err, at)
		}
		if exact := Mass(n) * Ounce / 8; FormatEighths(exact) != name(n) {
			t.Errorf("%d/8 oz prints as %q", n, FormatEighths(exact))
		}
	}
	for _, r := range []struct {
		m    Mass
		want string
	}{
		{-26 * Gram, "-7/8 oz"}, {-1 * Gram, "0 oz"}, {Mass(math.Inf(1)), "+Inf oz"}, {Mass(math.NaN()), "NaN oz"},
	} {
		if got := FormatEighths(r.m); got != r.want {
			t.Errorf("%v kg: got %q, want %q", float64(r.m), got, r.want)
		}
	}
}

func TestTimesPrintOnBothSidesOfEveryBoundary(t *testing.T) {
	rows := []struct {
		d        time.Duration
		decimals int
		want     string
	}{
		{432 * time.Second, 0, "7:12"},
		{5 * time.Second, 0, "0:05"},
		{5250 * time.Millisecond, 2, "0:05.25"},
		{59500*time.Millisecond - 1, 0, "0:59"},
		{59500 * time.Millisecond, 0, "1:00"},
		{59950*time.Millisecond - 1, 1, "0:59.9"},
		{59950 * time.Millisecond, 1, "1:00.0"},
		{time.Hour - 500*time.Millisecond - 1, 0, "59:59"},
		{time.Hour - 500*time.Millisecond, 0, "1:00:00"},
		{3753 * time.Second, 0, "1:02:33"},
		{3753*time.Second + 1, 9, "1:02:33.000000001"},
		{-432 * time.Second, 0, "-7:12"},
		{-499 * time.Millisecond, 0, "0:00"},
	}
	for _, r := range rows {
		if got := FormatDuration(r.d, r.decimals); got != r.want {
			t.Errorf("FormatDuration(%v, %d): got %q, want %q", r.d, r.decimals, got, r.want)
		}
	}
}

// What Format prints, the Parse function of the quantity reads back to within
// half of the last digit printed, in every system.
func TestPrintedQuantitiesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sys := System(rapid.IntRange(0, 2).Draw(t, "system"))
		x := rapid.Float64Range(0, 100).Draw(t, "x")
		back := func(name, text string, v float64) {
			r, err := parsers[name](text)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(r.value-v) > r.step/2*(1+1e-9)+1e-12 {
				t.Fatalf("%v printed as %q, read as %v", v, text, r.value)
			}
		}
		volume := [3]string{"volume", "us volume", "imp volume"}[sys]
		back("mass", Format(Mass(x), sys), x)
		back(volume, Format(Volume(x/1000), sys), x/1000)
		back("length", Format(Length(x), sys), x)
		back("elevation", FormatElevation(Length(x), sys), x)
		back("temperature", Format(Celsius(x), sys), Celsius(x).kelvin)
		back("difference", Format(TempDiff(x-50), sys), x-50)
		back("pressure", Format(Pressure(x*1000), sys), x*1000)
		back("power", Format(Power(x), sys), x)
		back("energy", Format(Energy(x), sys), x)
		back("speed", Format(Speed(x), sys), x)
		back("ratio", Format(Ratio(x), sys), x)
		back("strength", Format(MassFraction(x/100), sys), x/100)
		back("strength", Format(VolumeFraction(x/100), sys), x/100)
		back("duration", Format(time.Duration(x*1e9), sys), x)
		back("duration", FormatDuration(time.Duration(x*1e12), 1), x*1000)
	})
}

// A stated half-width has two significant digits (or is 10, 100, ...), lies
// within 5 % of the true one, and has as many places as its value.
func TestStatedKeepsTwoDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := math.Pow(10, rapid.Float64Range(-12, 12).Draw(t, "log u"))
		v := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")
		rule := Rule(rapid.IntRange(0, 1).Draw(t, "rule"))
		st := State(v, u, rule)
		got, err := strconv.ParseFloat(st.HalfWidth, 64)
		if err != nil {
			t.Fatal(err)
		}
		_, a, _ := strings.Cut(st.Value, ".")
		_, b, _ := strings.Cut(st.HalfWidth, ".")
		if len(a) != len(b) {
			t.Fatalf("%v: places differ", st)
		}
		if low := 0.9523; got < u*low || got > u*1.1 {
			t.Fatalf("State(%v, %v): half-width %v", v, u, got)
		}
		if rule == Up && got < u*(1-0.04-1e-12) {
			t.Fatalf("State(%v, %v, Up): half-width %v", v, u, got)
		}
		if digits := strings.TrimLeft(strings.ReplaceAll(st.HalfWidth, ".", ""), "0"); strings.Trim(digits[2:], "0") != "" {
			t.Fatalf("%v: more than two digits", st)
		}
		value, _ := strconv.ParseFloat(st.Value, 64)
		if math.Abs(value-v) > u/10*(1+1e-6)/2*1.06+1e-9*math.Abs(v) {
			t.Fatalf("State(%v, %v) moved the value to %v", v, u, value)
		}
	})
}

// FuzzFormat: no printer panics, whatever the number.
func FuzzFormat(f *testing.F) {
	f.Add(25.2, 0.31)
	f.Add(-1e308, 1e308)
	f.Add(math.Inf(1), math.NaN())
	f.Add(5e-324, 5e-324)
	f.Fuzz(func(t *testing.T, v, u float64) {
		State(v, u, Up)
		FormatEighths(Mass(v))
		FormatDuration(time.Duration(v), 3)
		for sys := Metric; sys <= Imperial; sys++ {
			FormatWith(Mass(v), u, sys)
			FormatWith(Kelvin(v), u, sys)
			FormatInterval(Volume(v), Volume(u), sys)
			FormatElevation(Length(v), sys)
		}
	})
}

func BenchmarkFormatWith(b *testing.B) {
	for b.Loop() {
		FormatWith(25.2*Gram, 0.31e-3, Metric)
	}
}

func BenchmarkParseMass(b *testing.B) {
	for b.Loop() {
		if _, err := ParseMass("1 lb 3 1/2 oz ± 1/8 oz"); err != nil {
			b.Fatal(err)
		}
	}
}
