package water

import (
	"testing"

	"fairburn/quantity"
)

// Figures worked out from the same release by a separate program in another
// language; they guard against slips in this one and are no published values.
// Tolerance: one half of the last digit, of the coarser table where two share a check.
func TestWorkedBoilingLine(t *testing.T) {
	for _, row := range []struct {
		p, c, liquid, vapour, heat, rho, cp, rhoVapour float64 // Pa, °C, kJ/kg, kJ/kg, kJ/kg, kg/m³, kJ/(kg·K), kg/m³
	}{
		{101325, 99.9743, 418.991, 2675.531, 2256.541, 958.373, 4.21661, 0.59762},
		{100000, 99.6059, 417.436, 2674.950, 2257.513, 958.637, 4.21615, 0.59031},
		{95000, 98.1783, 411.415, 2672.688, 2261.273, 959.655, 4.21438, 0.56266},
		{90000, 96.6870, 405.128, 2670.314, 2265.186, 960.708, 4.21258, 0.53491},
		{85000, 95.1253, 398.547, 2667.815, 2269.268, 961.800, 4.21075, 0.50707},
		{80000, 93.4854, 391.639, 2665.178, 2273.539, 962.935, 4.20888, 0.47911},
		{75000, 91.7578, 384.365, 2662.385, 2278.020, 964.117, 4.20697, 0.45104},
		{70000, 89.9315, 376.680, 2659.417, 2282.737, 965.350, 4.20502, 0.42285},
		{65000, 87.9930, 368.527, 2656.250, 2287.723, 966.643, 4.20303, 0.39453},
		{60000, 85.9258, 359.837, 2652.853, 2293.017, 968.001, 4.20099, 0.36606},
		{55000, 83.7091, 350.523, 2649.190, 2298.667, 969.435, 4.19890, 0.33743},
		{50000, 81.3167, 340.476, 2645.213, 2304.737, 970.954, 4.19676, 0.30863},
	} {
		boils, err := SaturationTemperature(quantity.Pressure(row.p))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "boiling point", boils.Celsius(), row.c, 5.1e-5)
		worked(t, boils, quantity.Pressure(row.p), row.liquid, row.rho, row.cp)
		heat, err := LatentHeat(boils)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "heat of evaporation", float64(heat)/1e3, row.heat, 5.1e-4)
		near(t, "vapour", vapourEnthalpy(boils.Kelvin(), row.p)/1e3, row.vapour, 5.1e-4)
		near(t, "vapour density", 1/gibbs2(boils.Kelvin(), row.p).columns()[0], row.rhoVapour, 5.1e-6)
	}
}

func TestWorkedLiquid(t *testing.T) {
	for _, row := range []struct {
		c, h, rho, cp, boils, heat float64 // °C, kJ/kg, kg/m³, kJ/(kg·K), kPa, kJ/kg
	}{
		{5, 21.119, 999.9669, 4.20495, 0.872575, 2489.052},
		{10, 42.119, 999.7015, 4.19545, 1.228184, 2477.209},
		{15, 63.079, 999.1011, 4.18909, 1.705745, 2465.380},
		{20, 84.013, 998.2061, 4.18479, 2.339215, 2453.550},
		{25, 104.929, 997.0480, 4.18190, 3.169747, 2441.706},
		{30, 125.834, 995.6521, 4.18002, 4.246688, 2429.839},
		{40, 167.624, 992.2243, 4.17855, 7.384427, 2406.001},
		{50, 209.413, 988.0475, 4.17955, 12.351270, 2381.974},
		{60, 251.223, 983.2106, 4.18276, 19.945802, 2357.691},
		{70, 293.075, 977.7793, 4.18810, 31.200636, 2333.081},
		{80, 334.992, 971.8029, 4.19552, 47.414720, 2308.066},
		{90, 376.993, 965.3187, 4.20502, 70.182361, 2282.560},
		{95, 398.031, 961.8951, 4.21057, 84.608938, 2269.595},
	} {
		at := quantity.Celsius(row.c)
		worked(t, at, quantity.StandardAtmosphere, row.h, row.rho, row.cp)
		p, err := SaturationPressure(at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "boiling pressure", float64(p)/1e3, row.boils, 5.1e-7)
		heat, err := LatentHeat(at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "heat of evaporation", float64(heat)/1e3, row.heat, 5.1e-4)
	}
}

// The heat that brings 1 kg of water to the boil at 101 325 Pa.
func TestWorkedRise(t *testing.T) {
	const p = quantity.StandardAtmosphere
	boils, err := SaturationTemperature(p)
	if err != nil {
		t.Fatal(err)
	}
	end, err := Enthalpy(boils, p)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct{ c, heat float64 }{ // °C, kJ
		{5, 397.871}, {10, 376.872}, {15, 355.912}, {20, 334.978}, {25, 314.061},
	} {
		start, err := Enthalpy(quantity.Celsius(row.c), p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "rise", float64(end-start)/1e3, row.heat, 5.1e-4)
	}
}

func worked(t *testing.T, at quantity.Temperature, p quantity.Pressure, h, rho, cp float64) {
	t.Helper()
	gotH, err1 := Enthalpy(at, p)
	gotRho, err2 := Density(at, p)
	gotCp, err3 := SpecificHeat(at, p)
	if err1 != nil || err2 != nil || err3 != nil {
		t.Fatal(err1, err2, err3)
	}
	near(t, "enthalpy", float64(gotH)/1e3, h, 5.1e-4)
	near(t, "density", float64(gotRho), rho, 5.1e-4)
	near(t, "specific heat", float64(gotCp)/1e3, cp, 5.1e-6)
}
