package air

import (
	"errors"
	"math"
	"testing"

	"fairburn/quantity"

	"pgregory.net/rapid"
)

func TestHeightsGoThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := quantity.Length(rapid.Float64Range(-499, 11000).Draw(t, "map height"))
		h, err := FromMap(z)
		if err != nil {
			t.Fatal(err)
		}
		if back := h.OnMap(); math.Abs(float64(back-z)) > 1e-8 {
			t.Fatalf("%v m on the map came back as %v", z, back)
		}
		s, err := At(h)
		if err != nil {
			t.Fatal(err)
		}
		back, err := PressureHeight(s.Pressure)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(back-h)) > 1e-6 {
			t.Fatalf("pressure at %v m belongs to %v m", h, back)
		}
	})
}

func TestSettingGoesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := Geopotential(rapid.Float64Range(-499, 10999).Draw(t, "height"))
		q := quantity.Pressure(rapid.Float64Range(85001, 109999).Draw(t, "setting"))
		p, err := StationPressure(q, h.OnMap())
		if err != nil {
			t.Fatal(err)
		}
		back, err := AltimeterSetting(p, h.OnMap())
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(back-q)) > 1e-6 {
			t.Fatalf("setting %v Pa came back as %v", q, back)
		}
		if math.Abs(float64(h)) > 0.001 && (h > 0) != (p < q) {
			t.Fatalf("at %v m the setting %v Pa gives %v Pa", h, q, p)
		}
	})
}

// The definition: an altimeter with the setting reads the station's height, that
// is, the heights of the two pressures in the standard atmosphere differ by it.
func TestAnAltimeterReadsItsHeight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := Geopotential(rapid.Float64Range(0, 5000).Draw(t, "height"))
		q := quantity.Pressure(rapid.Float64Range(95000, 105000).Draw(t, "setting"))
		p, err0 := StationPressure(q, h.OnMap())
		high, err1 := PressureHeight(p)
		low, err2 := PressureHeight(q)
		if err := errors.Join(err0, err1, err2); err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(high-low-h)) > 1e-6 {
			t.Fatalf("altimeter set to %v Pa at %v m reads %v m", q, h, high-low)
		}
	})
}

func TestStandardSettingIsTheStandardAtmosphere(t *testing.T) {
	for h := lowest + 1; h <= highest; h += 500 {
		s, err := At(h)
		if err != nil {
			t.Fatal(err)
		}
		p, err := StationPressure(quantity.StandardAtmosphere, h.OnMap())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "station pressure", float64(p), float64(s.Pressure), 1e-8)
	}
}

// The column of air weighs what its pressure drop says: dp = −ρ·g·dH.
func TestHydrostatics(t *testing.T) {
	for h := lowest + 1; h < highest; h += 100 {
		below, _ := At(h - 1)
		here, _ := At(h)
		above, _ := At(h + 1)
		drop := float64(below.Pressure-above.Pressure) / 2
		near(t, "drop of pressure in 1 m", drop/(float64(here.Density)*gravity), 1, 1e-6)
	}
}

func TestLimits(t *testing.T) {
	at := func(h Geopotential) error { _, err := At(h); return err }
	from := func(z quantity.Length) error { _, err := FromMap(z); return err }
	elevation := func(z quantity.Length) error { _, err := PressureAtElevation(z); return err }
	height := func(p quantity.Pressure) error { _, err := PressureHeight(p); return err }
	station := func(q quantity.Pressure, z quantity.Length) error { _, err := StationPressure(q, z); return err }
	setting := func(p quantity.Pressure, z quantity.Length) error { _, err := AltimeterSetting(p, z); return err }
	humid := func(c float64, p quantity.Pressure, rh quantity.Ratio) error {
		_, err := Density(quantity.Celsius(c), p, rh)
		return err
	}
	const (
		layer   = ": expected -500 to 11000 m, the lowest layer of ISO 2533: out of range"
		span    = ": expected 226.32 to 1074.78 hPa, the lowest layer of ISO 2533: out of range"
		weather = ": expected 850 to 1100 hPa, which all recorded weather keeps (a barometer read on site gives the station pressure, no setting): out of range"
		warm    = ": expected -20 to 45 °C, the range of CIPM-2007 as checked against IAPWS G8-10: out of range"
		thick   = ": expected 500 to 1100 hPa, the range of CIPM-2007 as checked against IAPWS G8-10: out of range"
	)
	for _, row := range []struct {
		name string
		err  error
		want string // "" for accepted
	}{
		{"lowest", at(-500), ""},
		{"under it", at(-500.1), "height -500.1 m" + layer},
		{"highest", at(11000), ""},
		{"over it", at(11000.1), "height 11000.1 m" + layer},
		{"no height", at(Geopotential(math.NaN())), "height NaN m" + layer},
		{"map height", from(11019), ""},
		{"map height over it", from(11020), "height 11000.9 m" + layer},
		{"elevation over it", elevation(11020), "height 11000.9 m" + layer},
		{"thinnest air", height(22633), ""},
		{"thinner", height(22632), "pressure 226.32 hPa" + span},
		{"thickest air", height(107477), ""},
		{"thicker", height(107478), "pressure 1074.78 hPa" + span},
		{"no pressure", height(quantity.Pressure(math.NaN())), "pressure NaN hPa" + span},
		{"setting at a height out of the layer", station(101325, 12000), "height 11977.4 m" + layer},
		{"pressure at a height out of the layer", setting(101325, 12000), "height 11977.4 m" + layer},
		{"lowest setting", station(85000, 0), ""},
		{"station pressure given as setting", station(84900, 1500), "altimeter setting 849 hPa" + weather},
		{"highest setting", station(110000, 0), ""},
		{"over it", station(110001, 0), "altimeter setting 1100.01 hPa" + weather},
		{"no setting", station(quantity.Pressure(math.NaN()), 0), "altimeter setting NaN hPa" + weather},
		{"pressure that belongs elsewhere", setting(101325, 1500), "station pressure 1013.25 hPa at 1500 m: altimeter setting 1206.86 hPa" + weather},
		{"coldest", humid(-20, 101325, 0.5), ""},
		{"colder", humid(-20.1, 101325, 0.5), "air temperature -20.1 °C" + warm},
		{"hottest", humid(45, 101325, 0.5), ""},
		{"hotter", humid(45.1, 101325, 0.5), "air temperature 45.1 °C" + warm},
		{"no temperature", humid(math.NaN(), 101325, 0.5), "air temperature NaN °C" + warm},
		{"thinnest humid air", humid(20, 50000, 0.5), ""},
		{"thinner humid air", humid(20, 49990, 0.5), "air pressure 499.9 hPa" + thick},
		{"densest humid air", humid(20, 110000, 0.5), ""},
		{"denser humid air", humid(20, 110010, 0.5), "air pressure 1100.1 hPa" + thick},
		{"dry", humid(20, 101325, 0), ""},
		{"drier", humid(20, 101325, -0.01), "relative humidity -0.01: expected 0 to 1: out of range"},
		{"saturated", humid(20, 101325, 1), ""},
		{"per cent given as a ratio", humid(20, 101325, 50), "relative humidity 50: expected 0 to 1: out of range"},
	} {
		switch {
		case row.want == "" && row.err != nil:
			t.Errorf("%s: %v", row.name, row.err)
		case row.want != "" && (row.err == nil || row.err.Error() != row.want):
			t.Errorf("%s: got %v\nwant %s", row.name, row.err, row.want)
		case row.err != nil && !errors.Is(row.err, ErrRange):
			t.Errorf("%s: %v does not wrap ErrRange", row.name, row.err)
		}
	}
}

func BenchmarkStationPressure(b *testing.B) {
	for b.Loop() {
		StationPressure(101000, 1500)
	}
}

func BenchmarkAt(b *testing.B) {
	for b.Loop() {
		At(1500)
	}
}

func BenchmarkDensity(b *testing.B) {
	for b.Loop() {
		Density(quantity.Celsius(20), 95000, 0.5)
	}
}
