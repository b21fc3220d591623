package quantity

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"
)

// plainReading is a Reading whatever its quantity.
type plainReading struct {
	value, step, tolerance float64
	unit, text             string
	given                  bool
}

func strip[T any](r Reading[T], err error) (plainReading, error) {
	p := plainReading{step: r.Step, tolerance: r.Tolerance, unit: r.Unit, text: r.Text, given: r.Given}
	switch v := any(r.Value).(type) {
	case Temperature:
		p.value = v.kelvin
	case time.Duration:
		p.value = v.Seconds()
	case Strength:
		p.value = v.Value
	case Mass:
		p.value = float64(v)
	case Volume:
		p.value = float64(v)
	case Length:
		p.value = float64(v)
	case Energy:
		p.value = float64(v)
	case Power:
		p.value = float64(v)
	case Pressure:
		p.value = float64(v)
	case Speed:
		p.value = float64(v)
	case TempDiff:
		p.value = float64(v)
	case Ratio:
		p.value = float64(v)
	case Conductance:
		p.value = float64(v)
	}
	return p, err
}

func volumeIn(sys System) func(string) (plainReading, error) {
	return func(s string) (plainReading, error) { return strip(ParseVolume(s, sys)) }
}

func doseIn(sys System) func(string) (plainReading, error) {
	return func(s string) (plainReading, error) {
		d, err := ParseDose(s, sys)
		if d.Mass.Given {
			return strip(d.Mass, err)
		}
		return strip(d.Volume, err)
	}
}

// parsers is every Parse function under the name used in the tables below.
var parsers = map[string]func(string) (plainReading, error){
	"mass":        func(s string) (plainReading, error) { return strip(ParseMass(s)) },
	"volume":      volumeIn(Metric),
	"us volume":   volumeIn(US),
	"imp volume":  volumeIn(Imperial),
	"dose":        doseIn(Metric),
	"us dose":     doseIn(US),
	"imp dose":    doseIn(Imperial),
	"temperature": func(s string) (plainReading, error) { return strip(ParseTemperature(s)) },
	"difference":  func(s string) (plainReading, error) { return strip(ParseTempDiff(s)) },
	"pressure":    func(s string) (plainReading, error) { return strip(ParsePressure(s)) },
	"length":      func(s string) (plainReading, error) { return strip(ParseLength(s)) },
	"elevation":   func(s string) (plainReading, error) { return strip(ParseElevation(s)) },
	"power":       func(s string) (plainReading, error) { return strip(ParsePower(s)) },
	"conductance": func(s string) (plainReading, error) { return strip(ParseConductance(s)) },
	"energy":      func(s string) (plainReading, error) { return strip(ParseEnergy(s)) },
	"speed":       func(s string) (plainReading, error) { return strip(ParseSpeed(s)) },
	"ratio":       func(s string) (plainReading, error) { return strip(ParseRatio(s)) },
	"strength":    func(s string) (plainReading, error) { return strip(ParseStrength(s)) },
	"duration":    func(s string) (plainReading, error) { return strip(ParseDuration(s)) },
	"clock":       func(s string) (plainReading, error) { return strip(ParseClock(s)) },
}

const oz, floz, impFloz = float64(Ounce), float64(USFluidOunce), float64(ImperialFluidOunce)

func TestWhatPeopleWrite(t *testing.T) {
	rows := []struct {
		parser, text     string
		value, step, tol float64
		unit             string
	}{
		{"mass", "25.20 g", 0.0252, 1e-5, 0, "g"},
		{"mass", "12.5g", 0.0125, 1e-4, 0, "g"},
		{"mass", ".5 kg", 0.5, 0.1, 0, "kg"},
		{"mass", "5. g", 0.005, 0.001, 0, "g"},
		{"mass", "0 g", 0, 0.001, 0, "g"},
		{"mass", "-0 g", 0, 0.001, 0, "g"},
		{"mass", "1.25e-2 kg", 0.0125, 1e-4, 0, "kg"},
		{"mass", "350 mg", 350e-6, 1e-6, 0, "mg"},
		{"mass", "1 3/4 oz", 1.75 * oz, oz / 4, 0, "oz"},
		{"mass", "2-3/8 oz", 2.375 * oz, oz / 8, 0, "oz"},
		{"mass", "2–3/8 oz", 2.375 * oz, oz / 8, 0, "oz"},
		{"mass", "7/8 oz", 0.875 * oz, oz / 8, 0, "oz"},
		{"mass", "7⁄8 oz.", 0.875 * oz, oz / 8, 0, "oz"},
		{"mass", "9/8 oz", 1.125 * oz, oz / 8, 0, "oz"},
		{"mass", "1¾ oz", 1.75 * oz, oz / 4, 0, "oz"},
		{"mass", "1-⅞ ounces", 1.875 * oz, oz / 8, 0, "oz"},
		{"mass", "½ oz mass", 0.5 * oz, oz / 2, 0, "oz"},
		{"mass", "1 lb 3 oz", 19 * oz, oz, 0, "lb oz"},
		{"mass", "1 lb .5 oz", 16.5 * oz, oz / 10, 0, "lb oz"},
		{"mass", "1 lb ½ oz", 16.5 * oz, oz / 2, 0, "lb oz"},
		{"mass", "1 lb 3 1/2 oz ± 1/8 oz", 19.5 * oz, oz / 2, oz / 8, "lb oz"},
		{"mass", "25.2 g ± 0.5 g", 0.0252, 1e-4, 5e-4, "g"},
		{"mass", "25.2 ± 0.5 g", 0.0252, 1e-4, 5e-4, "g"},
		{"mass", "25.2 g +/- 500 mg", 0.0252, 1e-4, 5e-4, "g"},
		{"mass", "1.5\u202fkg\u00a0± 1\u2009g", 1.5, 0.1, 1e-3, "kg"},
		{"volume", "500 mL", 500e-6, 1e-6, 0, "mL"},
		{"volume", "15 cc", 15e-6, 1e-6, 0, "mL"},
		{"volume", "2 cl", 20e-6, 10e-6, 0, "cL"},
		{"volume", "1.5 dl", 150e-6, 10e-6, 0, "dL"},
		{"volume", "0.50 l", 500e-6, 10e-6, 0, "L"},
		{"volume", "2 cups", 500e-6, 250e-6, 0, "metric cup"},
		{"us volume", "2 cups", 473.176473e-6, 236.5882365e-6, 0, "US cup"},
		{"imp volume", "1 cup", 284.130625e-6, 284.130625e-6, 0, "imp cup"},
		{"us volume", "metric cup", 0, 0, 0, "error"},
		{"us volume", "1 metric cup", 250e-6, 250e-6, 0, "metric cup"},
		{"us volume", "1 Fl. Oz.", floz, floz, 0, "US fl oz"},
		{"imp volume", "1 fl oz", impFloz, impFloz, 0, "imp fl oz"},
		{"us volume", "1 UK fl oz", impFloz, impFloz, 0, "imp fl oz"},
		{"volume", "1 US fl oz", floz, floz, 0, "US fl oz"},
		{"us volume", "1 pint", 16 * floz, 16 * floz, 0, "US pint"},
		{"imp volume", "1/2 pint", 10 * impFloz, 10 * impFloz, 0, "imp pint"},
		{"volume", "1 tbsp", 15e-6, 15e-6, 0, "metric tbsp"},
		{"us volume", "1 tbsp", floz / 2, floz / 2, 0, "US tbsp"},
		{"us volume", "3 tsp", floz / 2, floz / 6, 0, "US tsp"},
		{"imp volume", "1 tsp", 5e-6, 5e-6, 0, "metric tsp"},
		{"us dose", "1 fl oz", floz, floz, 0, "US fl oz"},
		{"dose", "23 g", 0.023, 0.001, 0, "g"},
		{"dose", "30 ± 0.5 mL", 30e-6, 1e-6, 0.5e-6, "mL"},
		{"dose", "0.8 oz by mass", 0.8 * oz, 0.1 * oz, 0, "oz"},
		{"dose", "1 lb 3 oz", 19 * oz, oz, 0, "lb oz"},
		{"temperature", "18.3 °C", 291.45, 0.1, 0, "°C"},
		{"temperature", "−5 C", 268.15, 1, 0, "°C"},
		{"temperature", "212 deg F", 373.15, 5.0 / 9, 0, "°F"},
		{"temperature", "58 ºF ± 1 °F", 287.5944444444444, 5.0 / 9, 5.0 / 9, "°F"},
		{"temperature", "291.5 K", 291.5, 0.1, 0, "K"},
		{"temperature", "-273.15 °C", 0, 0.01, 0, "°C"},
		{"temperature", "-459.67 °F", 0, 0.01 / 1.8, 0, "°F"},
		{"difference", "-9 °F", -5, 5.0 / 9, 0, "°F"},
		{"difference", "80 K", 80, 1, 0, "K"},
		{"pressure", "985 hPa", 98500, 100, 0, "hPa"},
		{"pressure", "985.5 mbar", 98550, 10, 0, "mbar"},
		{"pressure", "101.3 kPa", 101300, 100, 0, "kPa"},
		{"pressure", "101325 Pa", 101325, 1, 0, "Pa"},
		{"pressure", "29.92 inHg", 101320.75888, 33.86389, 0, "inHg"},
		{"pressure", "760 mm Hg", 101325.0144354, 133.322387415, 0, "mmHg"},
		{"pressure", "14.7 psi", 14.7 * 6894.757293168361, 689.4757293168361, 0, "psi"},
		{"pressure", "1.01 bar", 101000, 1000, 0, "bar"},
		{"length", "24 mm", 0.024, 0.001, 0, "mm"},
		{"length", "2.5 cm", 0.025, 0.001, 0, "cm"},
		{"length", "1/16 in", 0.0254 / 16, 0.0254 / 16, 0, "in"},
		{"length", `2-3/8"`, 2.375 * 0.0254, 0.0254 / 8, 0, "in"},
		{"length", "5’ 3 1/2″", 63.5 * 0.0254, 0.0254 / 2, 0, "ft in"},
		{"elevation", "2100 m", 2100, 1, 0, "m"},
		{"elevation", "-282 ft", -282 * 0.3048, 0.3048, 0, "ft"},
		{"power", "650 W", 650, 1, 0, "W"},
		{"power", "1.2 kW", 1200, 100, 0, "kW"},
		{"power", "4000 BTU/h", 1172.2842806888889, 0.29307107017222223, 0, "BTU/h"},
		{"energy", "180 kJ", 180e3, 1e3, 0, "kJ"},
		{"energy", "0.18 MJ", 180e3, 1e4, 0, "MJ"},
		{"energy", "50 Wh", 180e3, 3600, 0, "Wh"},
		{"energy", "170 Btu", 170 * 1055.05585262, 1055.05585262, 0, "BTU"},
		{"energy", "40 kcal_th", 167360, 4184, 0, "kcal_th"},
		{"conductance", "1.2 W/K", 1.2, 0.1, 0, "W/K"},
		{"conductance", "1.2 ± 0.3 W/°C", 1.2, 0.1, 0.3, "W/K"},
		{"speed", "3 m/s", 3, 1, 0, "m/s"},
		{"speed", "9 km/h", 2.5, 1 / 3.6, 0, "km/h"},
		{"speed", "5 mph", 2.2352, 0.44704, 0, "mph"},
		{"speed", "7 knots", 3.6011111111111, 0.514444444444, 0, "kn"},
		{"ratio", "50 %", 0.5, 0.01, 0, "%"},
		{"ratio", "55 ± 5 %", 0.55, 0.01, 0.05, "%"},
		{"ratio", "150%", 1.5, 0.01, 0, "%"},
		{"ratio", "0.5", 0.5, 0.1, 0, ""},
		{"ratio", "0.9999999999999999", math.Nextafter(1, 0), 1e-16, 0, ""},
		{"strength", "95 % vol", 0.95, 0.01, 0, "% vol"},
		{"strength", "95 ± 1 % v/v", 0.95, 0.01, 0.01, "% vol"},
		{"strength", "100 % by mass", 1, 0.01, 0, "% by mass"},
		{"strength", "70 % m/m", 0.7, 0.01, 0, "% by mass"},
		{"strength", "190 proof", 0.95, 0.005, 0, "proof"},
		{"strength", "200 proof", 1, 0.005, 0, "proof"},
		{"duration", "7:12", 432, 1, 0, "m:ss"},
		{"duration", "0:05.25", 5.25, 0.01, 0, "m:ss"},
		{"duration", "75:00", 4500, 1, 0, "m:ss"},
		{"duration", "7:12.5 ± 0.5 s", 432.5, 0.1, 0.5, "m:ss"},
		{"duration", "7:59.9", 479.9, 0.1, 0, "m:ss"},
		{"duration", "1:02:33", 3753, 1, 0, "h:mm:ss"},
		{"duration", "90 s", 90, 1, 0, "s"},
		{"duration", "7.2 min", 432, 6, 0, "min"},
		{"duration", "7.2 min ± 5 s", 432, 6, 5, "min"},
		{"duration", "1 h 2 min", 3720, 60, 0, "h min"},
		{"duration", "1h2m3.5s", 3723.5, 0.1, 0, "h min s"},
		{"clock", "14:03:20", 50600, 1, 0, "h:mm:ss"},
		{"clock", " 9:05 ", 32700, 60, 0, "h:mm"},
		{"clock", "23:59:59.9", 86399.9, 0.1, 0, "h:mm:ss"},
		{"clock", "23:59:59.9999999999", 86399.999999999, 1e-10, 0, "h:mm:ss"},
	}
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(1e-3, math.Abs(b)) }
	for _, r := range rows {
		got, err := parsers[r.parser](r.text)
		if r.unit == "error" {
			if err == nil {
				t.Errorf("%s %q: read as %+v", r.parser, r.text, got)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s %q: %v", r.parser, r.text, err)
			continue
		}
		if !near(got.value, r.value) || !near(got.step, r.step) || !near(got.tolerance, r.tol) ||
			got.unit != r.unit || got.text != r.text || !got.given || math.Signbit(got.value) != (r.value < 0) {
			t.Errorf("%s %q: got %+v, want %+v", r.parser, r.text, got, r)
		}
	}
}

func TestWhatIsRefusedSaysWhy(t *testing.T) {
	const mass = "expected a mass in g, kg, mg, oz or lb; "
	const mark = "expected a time as minutes:seconds (7:12, 7:12.5) or hours:minutes:seconds (1:02:33); "
	const strength = "expected a strength in % by mass, % vol or proof; "
	rows := []struct{ parser, text, want string }{
		{"mass", "", `read "", column 1: ` + mass + `nothing was written`},
		{"mass", "12", `read "12", column 3: ` + mass + `add the unit, such as 12 g`},
		{"mass", "25.2 ± 0.3", `read "25.2 ± 0.3", column 11: ` + mass + `add the unit, such as 25.2 g`},
		{"mass", "g", `read "g", column 1: ` + mass + `a number must come first, in digits`},
		{"mass", "NaN g", `read "NaN g", column 1: ` + mass + `a number must come first, in digits`},
		{"mass", "+Inf g", `read "+Inf g", column 1: ` + mass + `a number must come first, in digits`},
		{"mass", "-5 g", `read "-5 g", column 1: ` + mass + `a mass cannot be negative: check the sign`},
		{"mass", "1e400 g", `read "1e400 g", column 1: ` + mass + `the number is too large or too small to be held`},
		{"mass", "1e-400 g", `read "1e-400 g", column 1: ` + mass + `the number is too large or too small to be held`},
		{"mass", "12 mL", `read "12 mL", column 4: ` + mass + `mL belongs to a volume`},
		{"mass", "12 gr", `read "12 gr", column 4: ` + mass + `"gr" is also the grain of 64.8 mg: write g for grams`},
		{"mass", "12 g dry", `read "12 g dry", column 4: ` + mass + `g dry is not one of these units`},
		{"mass", "12,5 g", `read "12,5 g", column 3: ` + mass + `use a decimal point: "12.5 g"`},
		{"mass", "1,234 g", `read "1,234 g", column 2: ` + mass + `the comma can be read two ways: write "1.234 g" or "1234 g"`},
		{"mass", "0,500 g", `read "0,500 g", column 2: ` + mass + `use a decimal point: "0.500 g"`},
		{"mass", "1,234.5 g", `read "1,234.5 g", column 2: ` + mass + `leave commas out: "1234.5 g"`},
		{"mass", "1.234,5 g", `read "1.234,5 g", column 6: ` + mass + `use a decimal point: "1234.5 g"`},
		{"mass", "5, g", `read "5, g", column 2: ` + mass + `write one number without commas, with a decimal point`},
		{"mass", "1 3/4, oz", `read "1 3/4, oz", column 6: ` + mass + `take the comma out`},
		{"mass", "1 234 g", `read "1 234 g", column 3: ` + mass + `two numbers stand without a unit between them: write one number, or a fraction such as 1 3/4`},
		{"mass", "1/0 oz", `read "1/0 oz", column 1: ` + mass + `a fraction cannot be over zero`},
		{"mass", "1 4/4 oz", `read "1 4/4 oz", column 1: ` + mass + `the fraction after a whole number must be less than 1`},
		{"mass", "1.5 lb 3 oz", `read "1.5 lb 3 oz", column 1: ` + mass + `only the last part may have a fraction`},
		{"mass", "3 oz 1 lb", `read "3 oz 1 lb", column 8: ` + mass + `lb must come before oz`},
		{"mass", "1 lb 16 oz", `read "1 lb 16 oz", column 6: ` + mass + `16 oz is not less than 1 lb: write one unit only, or carry over`},
		{"mass", "5 g ± 0 g", `read "5 g ± 0 g", column 7: ` + mass + `a half-width after ± is above zero: leave ± out when none is known`},
		{"mass", "5 g ± 1 g ± 2 g", `read "5 g ± 1 g ± 2 g", column 11: ` + mass + `nothing may follow the half-width after ±`},
		{"mass", "1 lb +3 oz", `read "1 lb +3 oz", column 6: ` + mass + `a value written in parts takes no sign`},
		{"length", "5 ft 3", `read "5 ft 3", column 7: expected a length in mm, cm, m, in or ft; add the unit, such as 3 mm`},
		{"energy", "1 mJ", `read "1 mJ", column 3: expected an energy in J, kJ, MJ, Wh, kWh, BTU, kcal_IT or kcal_th; mJ is not one of these units`},
		{"energy", "40 kcal", `read "40 kcal", column 4: expected an energy in J, kJ, MJ, Wh, kWh, BTU, kcal_IT or kcal_th; the kilocalorie is 4184 J (thermochemical) or 4186.8 J (International Table): write kcal_th or kcal_IT`},
		{"temperature", "58", `read "58", column 3: expected a temperature in °C, °F or K; add the unit, such as 58 °C`},
		{"temperature", "-273.16 °C", `read "-273.16 °C", column 1: expected a temperature in °C, °F or K; nothing is colder than 0 K (-273.15 °C, -459.67 °F): check the sign and the unit`},
		{"temperature", "-459.68 °F", `read "-459.68 °F", column 1: expected a temperature in °C, °F or K; nothing is colder than 0 K (-273.15 °C, -459.67 °F): check the sign and the unit`},
		{"temperature", "5 °C 3 °F", `read "5 °C 3 °F", column 6: expected a temperature in °C, °F or K; write one number with one unit`},
		{"ratio", "50", `read "50", column 1: expected a ratio in %; a bare number of 1 or more can be read two ways: write it in %, such as 50 %`},
		{"ratio", "1", `read "1", column 1: expected a ratio in %; a bare number of 1 or more can be read two ways: write it in %, such as 1 %`},
		{"strength", "95 %", `read "95 %", column 4: ` + strength + `% can be read two ways, and they differ by several %: write % by mass or % vol, as the label says`},
		{"strength", "100.1 % vol", `read "100.1 % vol", column 1: ` + strength + `a strength is at most 100 % (200 proof)`},
		{"strength", "95 % vol ± 1 % m/m", `read "95 % vol ± 1 % m/m", column 1: ` + strength + `write the half-width in % vol as well`},
		{"dose", "30 oz", `read "30 oz", column 4: expected a dose by mass (g, oz mass) or by volume (mL, fl oz); oz can be read two ways: 30 oz of mass is 850.5 g, 30 US fl oz is 887.2 mL; write "30 oz mass" or "30 US fl oz"`},
		{"imp dose", "1/2 Oz.", `read "1/2 Oz.", column 5: expected a dose by mass (g, oz mass) or by volume (mL, fl oz); oz can be read two ways: 1/2 oz of mass is 14.2 g, 1/2 imp fl oz is 14.2 mL; write "1/2 oz mass" or "1/2 imp fl oz"`},
		{"dose", "1 fl oz", `read "1 fl oz", column 3: expected a dose: a volume in mL or fl oz, or a mass in g, kg, mg, oz or lb; US and imperial measures differ: write US fl oz or imp fl oz`},
		{"duration", "90", `read "90", column 3: expected a time span in s, min or h; add the unit, such as 90 s`},
		{"duration", "-5 s", `read "-5 s", column 1: expected a time span in s, min or h; a time span cannot be negative: check the sign`},
		{"duration", "7:60", `read "7:60", column 1: ` + mark + `minutes after hours, and seconds, stay under 60`},
		{"duration", "1:60:00", `read "1:60:00", column 1: ` + mark + `minutes after hours, and seconds, stay under 60`},
		{"duration", "1:2", `read "1:2", column 1: ` + mark + `write two digits after each colon and no sign, such as 7:05`},
		{"duration", "7:12,5", `read "7:12,5", column 5: ` + mark + `use a decimal point: "7:12.5"`},
		{"duration", "7:12 min", `read "7:12 min", column 6: ` + mark + `nothing but ± may follow the time: leave "min" out`},
		{"duration", "999999999:00", `read "999999999:00", column 1: ` + mark + `a time span is at most 292 years`},
		{"duration", "1e10 s", `read "1e10 s", column 1: expected a time span in s, min or h; a time span is at most 292 years`},
		{"clock", "24:00", `read "24:00", column 1: expected a time of day on the 24-hour clock, 14:03 or 14:03:20; hours run from 0 to 23, minutes and seconds from 0 to 59`},
		{"clock", "2:03 pm", `read "2:03 pm", column 6: expected a time of day on the 24-hour clock, 14:03 or 14:03:20; nothing but ± may follow the time: leave "pm" out`},
		{"clock", "14:03.5", `read "14:03.5", column 1: expected a time of day on the 24-hour clock, 14:03 or 14:03:20; write seconds after a second colon`},
	}
	for _, r := range rows {
		got, err := parsers[r.parser](r.text)
		if err == nil {
			t.Errorf("%s %q: read as %+v", r.parser, r.text, got)
			continue
		}
		if err.Error() != r.want {
			t.Errorf("%s %q:\n got %s\nwant %s", r.parser, r.text, err, r.want)
		}
	}
}

func TestStrengthKeepsItsBasis(t *testing.T) {
	s, err := ParseStrength("190 proof")
	if err != nil {
		t.Fatal(err)
	}
	proof, ok := s.Value.Proof()
	if _, m := s.Value.MassFraction(); m || !ok || proof != 190 {
		t.Errorf("190 proof: got proof %g (%t), by mass %t", proof, ok, m)
	}
	if _, v := s.Value.VolumeFraction(); v {
		t.Error("190 proof at 60 °F was taken for a volume fraction at 20 °C")
	}
}

// Every spelling of every table means one unit, and none is hidden by another.
func TestSpellingsMeanOneUnit(t *testing.T) {
	for _, table := range append(everyTable, volumeTables[US], volumeTables[Imperial], elevationTable, strengthTable, ratioTable) {
		for _, u := range table.units {
			for s := range strings.SplitSeq(u.name+"|"+strings.Trim(u.also, "|"), "|") {
				if got, ok := table.find(s); !ok && s != "" || ok && got.name != u.name && s != "" {
					t.Errorf("%s: %q finds %q, want %q", table.kind, s, got.name, u.name)
				}
			}
		}
	}
}

// A number in any unit of any table, written out, reads back as that number.
func TestWrittenNumbersReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := rapid.SampledFrom(everyTable).Draw(t, "table")
		u := rapid.SampledFrom(table.units).Draw(t, "unit")
		places := rapid.IntRange(0, 6).Draw(t, "places")
		x := rapid.Float64Range(0, 1e6).Draw(t, "x")
		text := strconv.FormatFloat(x, 'f', places, 64) + rapid.SampledFrom([]string{"", " ", "\u2009"}).Draw(t, "space") + u.name
		a, err := read(text, table)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', places, 64), 64)
		if a.written != want || a.unit != u.name || math.Abs(a.value-want*u.factor) > 1e-14*a.value || math.Abs(a.step/u.factor/math.Pow10(-places)-1) > 1e-12 {
			t.Fatalf("%q: got %+v", text, a)
		}
	})
}

func TestReadingsAndSystemsSurviveJSON(t *testing.T) {
	r, err := ParseTemperature("58 °F ± 1 °F")
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var back Reading[Temperature]
	if err := json.Unmarshal(text, &back); err != nil || back != r {
		t.Errorf("%s came back as %+v (%v), want %+v", text, back, err, r)
	}
	for sys := Metric; sys <= Imperial; sys++ {
		text, _ := sys.MarshalText()
		var got System
		if err := got.UnmarshalText(text); err != nil || got != sys {
			t.Errorf("%s came back as %v (%v)", text, got, err)
		}
	}
	var sys System
	if err := sys.UnmarshalText([]byte("si")); err == nil || err.Error() != `read units "si", expected metric, us or imperial` {
		t.Errorf("units si: %v", err)
	}
}

// FuzzParse asks every parser: none panics; a reading is whole, an error is useful.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"1 lb 3 1/2 oz ± 1/8 oz", "12,5 g", "1.234,5 g", "−5 °C", "7:12.5 +/- 1 s", "95 % vol", "1¾ cups", "1e9 h", "\xff1 g", "0x1p4 g", "1 fl. oz."} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for name, parse := range parsers {
			r, err := parse(s)
			if err == nil {
				finite := !math.IsInf(r.value+r.step+r.tolerance, 0) && !math.IsNaN(r.value+r.step+r.tolerance)
				if !r.given || r.text != s || !(r.step > 0) || r.tolerance < 0 || !finite {
					t.Errorf("%s %q: %+v", name, s, r)
				}
				continue
			}
			var e *ParseError
			if !errors.As(err, &e) || e.Hint == "" || e.Want == "" || e.Text != s || e.Column < 1 || e.Column > utf8.RuneCountInString(s)+1 {
				t.Errorf("%s %q: %s", name, s, fmt.Sprintf("%#v", err))
			}
		}
	})
}
