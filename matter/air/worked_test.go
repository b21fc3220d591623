package air

import (
	"testing"

	"fairburn/matter/water"
	"fairburn/quantity"
)

// Figures worked out from the same equations by a separate program in another
// language; they guard against slips in this one and are no published values.
// Tolerance: half of the last digit.
func TestWorkedAtmosphere(t *testing.T) {
	for _, row := range []struct{ h, t, p, rho, onMapT, onMapP, onMapRho, boils float64 }{
		{0, 288.150, 101325.0, 1.22500, 288.150, 101325.0, 1.22500, 99.974},
		{500, 284.900, 95460.8, 1.16727, 284.900, 95461.3, 1.16727, 98.312},
		{1000, 281.650, 89874.6, 1.11164, 281.651, 89876.3, 1.11166, 96.649},
		{2000, 275.150, 79495.2, 1.00649, 275.154, 79501.4, 1.00655, 93.315},
		{3000, 268.650, 70108.5, 0.90912, 268.659, 70121.2, 0.90925, 89.972},
		{4000, 262.150, 61640.2, 0.81913, 262.166, 61660.4, 0.81935, 86.619},
		{5000, 255.650, 54019.9, 0.73612, 255.676, 54048.3, 0.73643, 83.255},
	} {
		state(t, Geopotential(row.h), row.t, row.p, row.rho)
		h, err := FromMap(quantity.Length(row.h))
		if err != nil {
			t.Fatal(err)
		}
		state(t, h, row.onMapT, row.onMapP, row.onMapRho)
		s, err := At(Geopotential(row.h))
		if err != nil {
			t.Fatal(err)
		}
		b, err := water.SaturationTemperature(s.Pressure)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "boiling point", b.Celsius(), row.boils, 5.1e-4)
	}
}

func state(t *testing.T, h Geopotential, kelvin, pascal, rho float64) {
	t.Helper()
	s, err := At(h)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "temperature", s.Temperature.Kelvin(), kelvin, 5.1e-4)
	near(t, "pressure", float64(s.Pressure), pascal, 0.051)
	near(t, "density", float64(s.Density), rho, 5.1e-6)
}

func TestWorkedSettings(t *testing.T) {
	for _, row := range []struct{ feet, inHg, pascal float64 }{
		{5045, 30.20, 84977.8}, {7014, 30.37, 79375.6},
	} {
		p, err := StationPressure(quantity.Pressure(row.inHg)*quantity.InchOfMercury, Geopotential(row.feet*0.3048).OnMap())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "station pressure", float64(p), row.pascal, 0.051)
	}
}

func TestWorkedHumidAir(t *testing.T) {
	for _, row := range []struct{ c, p, rh, rho float64 }{
		{20, 101325, 0.5, 1.199314},
		{10, 730 * 133.322387415, 0.4, 1.195695},
		{40, 760 * 133.322387415, 0.4, 1.115035},
	} {
		at := quantity.Celsius(row.c)
		rho, err := Density(at, quantity.Pressure(row.p), quantity.Ratio(row.rh))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density", float64(rho), row.rho, 5.1e-7)
	}
	x := vapourFraction(quantity.Celsius(20), 101325, 0.5)
	near(t, "mole fraction of vapour", x, 0.0115893, 5.1e-8)
	near(t, "compressibility", compressibility(quantity.Celsius(20), 101325, x), 0.999615, 5.1e-7)
}
