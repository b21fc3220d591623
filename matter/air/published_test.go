package air

import (
	"math"
	"testing"

	"fairburn/matter/water"
	"fairburn/quantity"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.10g, want %.10g ± %.3g", what, got, want, tolerance)
	}
}

// Tolerance: half of the last digit printed.
func TestISO2533(t *testing.T) {
	for _, row := range []struct {
		source string
		h      Geopotential
		p      float64 // Pa
	}{
		{"ISO 2533:1975 table, 0 m", 0, 101325.0},
		{"ISO 2533:1975 table, 500 m", 500, 95460.8},
		{"ISO 2533:1975 table, 1000 m", 1000, 89874.6},
		{"ISO 2533:1975 table, 2000 m", 2000, 79495.2},
		{"ISO 2533:1975 table, 3000 m", 3000, 70108.5},
		{"ISO 2533:1975 table, 4000 m", 4000, 61640.2},
		{"ISO 2533:1975 table, 5000 m", 5000, 54019.9},
	} {
		s, err := At(row.h)
		if err != nil {
			t.Fatal(row.source, err)
		}
		near(t, row.source, float64(s.Pressure), row.p, 0.05)
		h, err := PressureHeight(quantity.Pressure(row.p))
		if err != nil {
			t.Fatal(row.source, err)
		}
		near(t, row.source+", back", float64(h), float64(row.h), 0.01) // 0.05 Pa is under 0.01 m
	}
}

// Tolerance: one unit of the last digit printed; the table is known to stand on
// rounded intermediate values.
func TestUSStandardAtmosphere(t *testing.T) {
	for _, row := range []struct {
		source    string
		z         quantity.Length
		t, p, rho float64 // K, Pa, kg/m³
	}{
		{"U.S. Standard Atmosphere, 1976, Table I, 500 m", 500, 284.900, 95461, 1.1673},
		{"U.S. Standard Atmosphere, 1976, Table I, 2500 m", 2500, 271.906, 74691, 0.95695},
		{"U.S. Standard Atmosphere, 1976, Table I, 6500 m", 6500, 245.943, 44075, 0.62431},
	} {
		h, err := FromMap(row.z)
		if err != nil {
			t.Fatal(row.source, err)
		}
		s, err := At(h)
		if err != nil {
			t.Fatal(row.source, err)
		}
		near(t, row.source+" T", s.Temperature.Kelvin(), row.t, 1e-3)
		near(t, row.source+" p", float64(s.Pressure), row.p, 1)
		near(t, row.source+" rho", float64(s.Density)/row.rho, 1, 1e-4)
	}
}

// Worked points of the station algorithm of the US automatic weather stations
// (FAA AWOS), which rounds its constants: n to 0.1903, p0^n·L/T0 to 1.313e-5
// inHg and feet, and puts the elevation in for the geopotential height.
// Tolerance 1 Pa, 0.0003 K of boiling point.
func TestWeatherStationPoints(t *testing.T) {
	for _, row := range []struct {
		feet, inHg, pascal float64
	}{
		{5045, 30.20, 84977}, // AWOS algorithm, first example
		{7014, 30.37, 79375}, // AWOS algorithm, second example
	} {
		h := Geopotential(row.feet * float64(quantity.Foot)).OnMap()
		setting := quantity.Pressure(row.inHg) * quantity.InchOfMercury
		p, err := StationPressure(setting, h)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "station pressure", float64(p), row.pascal, 1)
		back, err := AltimeterSetting(quantity.Pressure(row.pascal), h)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "altimeter setting", float64(back/quantity.InchOfMercury), row.inHg, 0.005)
	}
}

// The weather services' formula for pressure altitude, h/ft = 145 366.45·[1 −
// (p/1013.25 hPa)^0.190284], as a US National Weather Service note prints it.
// Tolerance 3 m: its constants belong to T0 = 288 K, n = 0.190284.
func TestPressureAltitudeNote(t *testing.T) {
	for hPa := 550.0; hPa <= 1050; hPa += 50 {
		h, err := PressureHeight(quantity.Pressure(hPa * 100))
		if err != nil {
			t.Fatal(err)
		}
		feet := 145366.45 * (1 - math.Pow(hPa/1013.25, 0.190284))
		near(t, "pressure altitude", float64(h), feet*0.3048, 3)
	}
}

func TestMoistAirTextbook(t *testing.T) {
	for _, row := range []struct {
		source                      string
		c, mmHg, rh, rho, tolerance float64
	}{
		// Jones and Schoonover, Handbook of Mass Measurement, 2002, appendix:
		// table of air densities by the formula of 1981/91, whose argon differs by
		// 7e-5 of the density from that of 2007.
		{"10 °C, 730 mmHg, 40 %", 10, 730, 0.4, 1.19569, 1e-4},
		{"40 °C, 760 mmHg, 40 %", 40, 760, 0.4, 1.11497, 1e-4},
	} {
		rho, err := Density(quantity.Celsius(row.c), quantity.Pressure(row.mmHg)*quantity.MillimetreOfMercury, quantity.Ratio(row.rh))
		if err != nil {
			t.Fatal(row.source, err)
		}
		near(t, row.source, float64(rho)/row.rho, 1, row.tolerance)
	}
}

// Humid air of IAPWS G8-10 (TEOS-10) through an independent implementation
// (Python package iapws 1.5.3 as Debian ships it), at the mole fraction that
// the saturation pressure of IAPWS-95 gives above 0 °C. Tolerance 1e-4, what
// Density claims over its whole range; 2.5e-5 inside the range of CIPM-2007.
func TestHumidAirOfTEOS10(t *testing.T) {
	for _, row := range []struct{ c, p, rh, rho float64 }{
		{-20, 50000, 0.5, 0.688056},
		{-20, 110000, 1, 1.514599},
		{-10, 80000, 0.5, 1.058989},
		{5, 50000, 1, 0.622276},
		{5, 101325, 0, 1.269742},
		{10, 101325, 0.5, 1.244398},
		{15, 60000, 0.5, 0.721690},
		{20, 101325, 0.5, 1.199332},
		{27, 110000, 1, 1.261577},
		{40, 101325, 0.4, 1.115054},
		{45, 50000, 0.5, 0.527736},
		{45, 50000, 1, 0.508077},
		{45, 110000, 1, 1.165284},
	} {
		rho, err := Density(quantity.Celsius(row.c), quantity.Pressure(row.p), quantity.Ratio(row.rh))
		if err != nil {
			t.Fatal(err)
		}
		tolerance := 1e-4
		if row.c >= 15 && row.c <= 27 && row.p >= 600e2 {
			tolerance = 2.5e-5
		}
		near(t, "density of humid air", float64(rho)/row.rho, 1, tolerance)
	}
}

// OIML R 111-1:2004, equation E.3-1, from memory: an approximation that is said
// to keep within 2e-4 for 900 to 1100 hPa, 10 to 30 °C, humidity to 80 %.
// Checked from 15 °C up: at 10 °C it parts from CIPM-2007 by up to 2.9e-4, and
// humid air of IAPWS G8-10 (above) agrees with CIPM-2007 there.
func TestShortFormOfOIML(t *testing.T) {
	for c := 15.0; c <= 30; c += 5 {
		for _, hPa := range []float64{900, 1013.25, 1100} {
			for _, rh := range []float64{0, 40, 80} {
				rho, err := Density(quantity.Celsius(c), quantity.Pressure(hPa*100), quantity.Ratio(rh/100))
				if err != nil {
					t.Fatal(err)
				}
				want := (0.34848*hPa - 0.009*rh*math.Exp(0.061*c)) / (273.15 + c)
				near(t, "density of humid air", float64(rho)/want, 1, 2e-4)
			}
		}
	}
}

// Boiling point by elevation in kitchens and pocket handbooks, together with
// package water. Such tables differ among themselves by up to 0.25 K: ±0.3 K.
func TestBoilingByElevation(t *testing.T) {
	boils := func(z quantity.Length) quantity.Temperature {
		p, err := PressureAtElevation(z)
		if err != nil {
			t.Fatal(err)
		}
		b, err := water.SaturationTemperature(p)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	for _, row := range []struct{ feet, fahrenheit float64 }{
		{5000, 203},  // kitchen table of high-altitude cooking, row 5000 ft
		{10000, 194}, // same, row 10 000 ft
		{0, 212},     // same, from memory
		{2000, 208},  // same, from memory
		{7500, 198},  // same, from memory
	} {
		want := quantity.Fahrenheit(row.fahrenheit).Celsius()
		near(t, "kitchen table", boils(quantity.Length(row.feet)*quantity.Foot).Celsius(), want, 0.3)
	}
	for x := 0.0; x <= 5000; x += 500 {
		// A reader's parabola through a pocket handbook's 27 points, −305 to 6629 m;
		// towards its upper end a parabola no longer follows the points.
		want := 4.299969165e-8*x*x - 0.0035531324*x + 100.0049216
		near(t, "pocket handbook", boils(quantity.Length(x)).Celsius(), want, 0.3)
	}
}
