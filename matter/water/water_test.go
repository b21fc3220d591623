package water

import (
	"errors"
	"math"
	"testing"

	"fairburn/quantity"

	"pgregory.net/rapid"
)

func TestBoilingLineGoesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(lowestKelvin, 646).Draw(t, "kelvin")
		p, err := SaturationPressure(quantity.Kelvin(k))
		if err != nil {
			t.Fatal(err)
		}
		back, err := SaturationTemperature(p)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(back.Kelvin()-k) > 1e-7 {
			t.Fatalf("%v K boils under %v Pa, which boils at %v", k, p, back.Kelvin())
		}
	})
}

// The law of Clausius and Clapeyron, dT/dp = T(v″ − v′)/h_fg, joins all three
// regions. The formulation's regions meet to about 0.05 %.
func TestClausiusClapeyron(t *testing.T) {
	for c := 1.0; c <= 200; c += 7 {
		k := 273.15 + c
		p := boilingPascal(k)
		slope, err := SaturationSlope(quantity.Pressure(p))
		if err != nil {
			t.Fatal(err)
		}
		heat, err := LatentHeat(quantity.Kelvin(k))
		if err != nil {
			t.Fatal(err)
		}
		v1, v2 := gibbs1(k, p).columns()[0], gibbs2(k, p).columns()[0]
		if want := k * (v2 - v1) / float64(heat); math.Abs(slope/want-1) > 5e-4 {
			t.Errorf("at %v °C the line rises %v K/Pa, Clausius and Clapeyron say %v", c, slope, want)
		}
	}
}

func TestSlopeIsTheSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(1000, 20e6).Draw(t, "pascal")
		got, err := SaturationSlope(quantity.Pressure(p))
		if err != nil {
			t.Fatal(err)
		}
		d := p * 1e-4
		if want := (boilingKelvin(p+d) - boilingKelvin(p-d)) / (2 * d); math.Abs(got/want-1) > 1e-6 {
			t.Fatalf("slope at %v Pa is %v, by difference %v", p, got, want)
		}
	})
}

// dh/dT at constant pressure is c_p.
func TestSpecificHeatIsTheSlopeOfEnthalpy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0.1, 80).Draw(t, "celsius")
		p := quantity.Pressure(rapid.Float64Range(50e3, 110e3).Draw(t, "pascal"))
		h0, err0 := Enthalpy(quantity.Celsius(c-0.05), p)
		h1, err1 := Enthalpy(quantity.Celsius(c+0.05), p)
		got, err2 := SpecificHeat(quantity.Celsius(c), p)
		if err := errors.Join(err0, err1, err2); err != nil {
			t.Fatal(err)
		}
		if want := float64(h1-h0) / 0.1; math.Abs(float64(got)/want-1) > 1e-6 {
			t.Fatalf("c_p(%v °C, %v Pa) = %v, slope of the enthalpy %v", c, p, got, want)
		}
	})
}

func TestLimits(t *testing.T) {
	k := quantity.Kelvin
	boil := func(t quantity.Temperature, _ quantity.Pressure) error { _, err := SaturationPressure(t); return err }
	line := func(_ quantity.Temperature, p quantity.Pressure) error {
		_, err := SaturationTemperature(p)
		return err
	}
	slope := func(_ quantity.Temperature, p quantity.Pressure) error { _, err := SaturationSlope(p); return err }
	enthalpy := func(t quantity.Temperature, p quantity.Pressure) error { _, err := Enthalpy(t, p); return err }
	density := func(t quantity.Temperature, p quantity.Pressure) error { _, err := Density(t, p); return err }
	heat := func(t quantity.Temperature, p quantity.Pressure) error { _, err := SpecificHeat(t, p); return err }
	latent := func(t quantity.Temperature, _ quantity.Pressure) error { _, err := LatentHeat(t); return err }
	const hPa = quantity.Hectopascal
	boils := boilingKelvin(101325)
	for _, row := range []struct {
		name string
		of   func(quantity.Temperature, quantity.Pressure) error
		t    quantity.Temperature
		p    quantity.Pressure
		want string // "" for accepted
	}{
		{"boiling pressure from 0 °C", boil, k(273.15), 0, ""},
		{"boiling pressure under 0 °C", boil, k(273.14), 0, "boiling pressure of water at -0.01 °C: expected 0 to 373.946 °C: outside IAPWS R7-97"},
		{"boiling pressure to the critical point", boil, k(647.096), 0, ""},
		{"boiling pressure over it", boil, k(647.1), 0, "boiling pressure of water at 373.95 °C: expected 0 to 373.946 °C: outside IAPWS R7-97"},
		{"boiling pressure of nothing", boil, k(math.NaN()), 0, "boiling pressure of water at NaN °C: expected 0 to 373.946 °C: outside IAPWS R7-97"},
		{"boiling point from 611.213 Pa", line, k(0), 611.213, ""},
		{"boiling point under it", line, k(0), 611.2, "boiling point of water at 6.112 hPa: expected 6.112127 to 220640 hPa: outside IAPWS R7-97"},
		{"boiling point to 22.064 MPa", line, k(0), 22.0639e6, ""},
		{"boiling point over it", line, k(0), 22.065e6, "boiling point of water at 220650 hPa: expected 6.112127 to 220640 hPa: outside IAPWS R7-97"},
		{"boiling point of nothing", line, k(0), quantity.Pressure(math.NaN()), "boiling point of water at NaN hPa: expected 6.112127 to 220640 hPa: outside IAPWS R7-97"},
		{"slope under the line", slope, k(0), 0, "slope of the boiling line at 0 hPa: expected 6.112127 to 220640 hPa: outside IAPWS R7-97"},
		{"liquid from 0 °C", enthalpy, k(273.15), 1013.25 * hPa, ""},
		{"liquid under 0 °C", enthalpy, k(273.05), 1013.25 * hPa, "enthalpy of liquid water at -0.1 °C: expected 0 to 350 °C: outside IAPWS R7-97"},
		{"liquid to 350 °C", enthalpy, k(623.15), 100e6, ""},
		{"liquid over 350 °C", enthalpy, k(623.16), 100e6, "enthalpy of liquid water at 350.01 °C: expected 0 to 350 °C: outside IAPWS R7-97"},
		{"liquid to 100 MPa", density, k(300), 100e6, ""},
		{"liquid over 100 MPa", density, k(300), 100.1e6, "density of liquid water at 1001000 hPa: expected 6.112127 to 1000000 hPa: outside IAPWS R7-97"},
		{"liquid in a vacuum", heat, k(300), 600, "specific heat of liquid water at 6 hPa: expected 6.112127 to 1000000 hPa: outside IAPWS R7-97"},
		{"liquid 5 K over its boiling point", enthalpy, k(boils + 4.999), 101325, ""},
		{"liquid more than that", enthalpy, k(boils + 5.001), 101325, "enthalpy of liquid water at 104.975 °C under 1013.25 hPa: it boils at 99.97 °C, expected at most 5 K above that: outside IAPWS R7-97"},
		{"heat of evaporation from 0 °C", latent, k(273.15), 0, ""},
		{"heat of evaporation under 0 °C", latent, k(273.1), 0, "heat of evaporation of water at -0.05 °C: expected 0 to 350 °C: outside IAPWS R7-97"},
		{"heat of evaporation to 350 °C", latent, k(623.15), 0, ""},
		{"heat of evaporation over 350 °C", latent, k(624.15), 0, "heat of evaporation of water at 351 °C: expected 0 to 350 °C: outside IAPWS R7-97"},
	} {
		err := row.of(row.t, row.p)
		switch {
		case row.want == "" && err != nil:
			t.Errorf("%s: %v", row.name, err)
		case row.want != "" && (err == nil || err.Error() != row.want):
			t.Errorf("%s: got %v\nwant %s", row.name, err, row.want)
		case err != nil && !errors.Is(err, ErrRange):
			t.Errorf("%s: %v does not wrap ErrRange", row.name, err)
		}
	}
}
