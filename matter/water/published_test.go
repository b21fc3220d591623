package water

import (
	"math"
	"testing"

	"fairburn/quantity"
)

// gibbs holds γ of one region and its derivatives by π and τ, and from them the
// six columns that the release prints.
type gibbs struct {
	t, p, pi, tau            float64
	g, gp, gt, gpp, gtt, gpt float64
}

func (g gibbs) columns() [6]float64 {
	rt := gasConstant * g.t
	v := rt / g.p * g.pi * g.gp
	w := g.gp - g.tau*g.gpt
	return [6]float64{
		v,
		rt * g.tau * g.gt,
		rt * (g.tau*g.gt - g.pi*g.gp),
		gasConstant * (g.tau*g.gt - g.g),
		-gasConstant * g.tau * g.tau * g.gtt,
		math.Sqrt(rt * g.gp * g.gp / (w*w/(g.tau*g.tau*g.gtt) - g.gpp)),
	}
}

func gibbs1(t, p float64) gibbs {
	a, b := liquidArguments(t, p)
	of := func(s series) float64 { return s.at(a, b) }
	byA, byB := region1.byA(), region1.byB()
	return gibbs{t, p, p / 16.53e6, 1386 / t,
		of(region1), -of(byA), of(byB), of(byA.byA()), of(byB.byB()), -of(byA.byB())}
}

func gibbs2(t, p float64) gibbs {
	pi, tau := p/1e6, 540/t
	of := func(ideal, residual series) float64 { return ideal.at(1, tau) + residual.at(pi, tau-0.5) }
	none := newSeries(nil)
	byA, byB := region2Residual.byA(), region2Residual.byB()
	idealByB := region2Ideal.byB()
	return gibbs{t, p, pi, tau,
		math.Log(pi) + of(region2Ideal, region2Residual), 1/pi + of(none, byA), of(idealByB, byB),
		-1/(pi*pi) + of(none, byA.byA()), of(idealByB.byB(), byB.byB()), of(none, byA.byB())}
}

// All values are printed with nine significant digits; the tolerance is one
// half of the last one, taken as 5e-9 of the value.
func TestReleaseTables(t *testing.T) {
	names := [6]string{"v", "h", "u", "s", "cp", "w"}
	for _, row := range []struct {
		source string
		of     func(t, p float64) gibbs
		t, p   float64 // K, MPa
		want   [6]float64
	}{
		// v m³/kg, h kJ/kg, u kJ/kg, s kJ/(kg·K), c_p kJ/(kg·K), w m/s
		{"R7-97 Table 5, column 1", gibbs1, 300, 3, [6]float64{0.100215168e-02, 0.115331273e+03, 0.112324818e+03, 0.392294792e+00, 0.417301218e+01, 0.150773921e+04}},
		{"R7-97 Table 5, column 2", gibbs1, 300, 80, [6]float64{0.971180894e-03, 0.184142828e+03, 0.106448356e+03, 0.368563852e+00, 0.401008987e+01, 0.163469054e+04}},
		{"R7-97 Table 5, column 3", gibbs1, 500, 3, [6]float64{0.120241800e-02, 0.975542239e+03, 0.971934985e+03, 0.258041912e+01, 0.465580682e+01, 0.124071337e+04}},
		{"R7-97 Table 15, column 1", gibbs2, 300, 0.0035, [6]float64{0.394913866e+02, 0.254991145e+04, 0.241169160e+04, 0.852238967e+01, 0.191300162e+01, 0.427920172e+03}},
		{"R7-97 Table 15, column 2", gibbs2, 700, 0.0035, [6]float64{0.923015898e+02, 0.333568375e+04, 0.301262819e+04, 0.101749996e+02, 0.208141274e+01, 0.644289068e+03}},
		{"R7-97 Table 15, column 3", gibbs2, 700, 30, [6]float64{0.542946619e-02, 0.263149474e+04, 0.246861076e+04, 0.517540298e+01, 0.103505092e+02, 0.480386523e+03}},
	} {
		got := row.of(row.t, row.p*1e6).columns()
		for i, want := range row.want {
			if i >= 1 && i <= 4 {
				want *= 1e3
			}
			if math.Abs(got[i]/want-1) > 5e-9 {
				t.Errorf("%s: %s = %.9e, want %.9e", row.source, names[i], got[i], want)
			}
		}
	}
}

// The same tables through what callers use.
func TestReleaseTablesThroughTheDoor(t *testing.T) {
	for _, row := range []struct {
		source                 string
		t                      float64 // K
		p                      quantity.Pressure
		volume, enthalpy, heat float64 // m³/kg, kJ/kg, kJ/(kg·K)
	}{
		{"R7-97 Table 5, column 1", 300, 3e6, 0.100215168e-02, 0.115331273e+03, 0.417301218e+01},
		{"R7-97 Table 5, column 2", 300, 80e6, 0.971180894e-03, 0.184142828e+03, 0.401008987e+01},
		{"R7-97 Table 5, column 3", 500, 3e6, 0.120241800e-02, 0.975542239e+03, 0.465580682e+01},
	} {
		rho, err1 := Density(quantity.Kelvin(row.t), row.p)
		h, err2 := Enthalpy(quantity.Kelvin(row.t), row.p)
		c, err3 := SpecificHeat(quantity.Kelvin(row.t), row.p)
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(row.source, err1, err2, err3)
		}
		near(t, row.source+" v", 1/float64(rho), row.volume, 5e-9*row.volume)
		near(t, row.source+" h", float64(h), row.enthalpy*1e3, 5e-9*row.enthalpy*1e3)
		near(t, row.source+" cp", float64(c), row.heat*1e3, 5e-9*row.heat*1e3)
	}
	for _, row := range []struct {
		source  string
		t, p, h float64 // K, Pa, kJ/kg
	}{
		{"R7-97 Table 15, column 1", 300, 3500, 0.254991145e+04},
		{"R7-97 Table 15, column 2", 700, 3500, 0.333568375e+04},
		{"R7-97 Table 15, column 3", 700, 30e6, 0.263149474e+04},
	} {
		near(t, row.source+" h", vapourEnthalpy(row.t, row.p), row.h*1e3, 5e-9*row.h*1e3)
	}
}

func TestBoilingLineTables(t *testing.T) {
	for _, row := range []struct {
		source string
		t, p   float64 // K, MPa
	}{
		{"R7-97 Table 35, row 1", 300, 0.353658941e-02},
		{"R7-97 Table 35, row 2", 500, 0.263889776e+01},
		{"R7-97 Table 35, row 3", 600, 0.123443146e+02},
	} {
		p, err := SaturationPressure(quantity.Kelvin(row.t))
		if err != nil {
			t.Fatal(row.source, err)
		}
		near(t, row.source, float64(p), row.p*1e6, 5e-9*row.p*1e6)
	}
	for _, row := range []struct {
		source string
		p, t   float64 // MPa, K
	}{
		{"R7-97 Table 36, row 1", 0.1, 0.372755919e+03},
		{"R7-97 Table 36, row 2", 1, 0.453035632e+03},
		{"R7-97 Table 36, row 3", 10, 0.584149488e+03},
	} {
		b, err := SaturationTemperature(quantity.Pressure(row.p * 1e6))
		if err != nil {
			t.Fatal(row.source, err)
		}
		near(t, row.source, b.Kelvin(), row.t, 5e-9*row.t)
	}
}

// The reference formulation IAPWS-95, through an independent implementation
// (Python package iapws 1.5.3 as Debian ships it). Tolerances: 0.02 % of
// enthalpy and heat of evaporation, 0.002 % of density, 0.1 % of c_p, 0.01 % of
// the boiling pressure, which is how far the two formulations stand apart at
// these states.
func TestReferenceFormulation(t *testing.T) {
	for _, row := range []struct {
		c, pascal, heat, rho float64 // °C, Pa, kJ/kg, kg/m³
	}{
		{5, 872.5751, 2489.0420, 999.91724},
		{20, 2339.3182, 2453.5193, 998.16180},
		{40, 7384.9381, 2405.9773, 992.17512},
		{60, 19946.4343, 2357.6545, 983.16022},
		{80, 47414.4740, 2308.0035, 971.76622},
		{90, 70181.7658, 2282.4906, 965.29533},
		{95, 84608.4663, 2269.5248, 961.88017},
		{100, 101417.9967, 2256.4037, 958.34905},
	} {
		at := quantity.Celsius(row.c)
		p, err1 := SaturationPressure(at)
		l, err2 := LatentHeat(at)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		near(t, "boiling pressure", float64(p), row.pascal, 1e-4*row.pascal)
		near(t, "heat of evaporation", float64(l), row.heat*1e3, 2e-4*row.heat*1e3)
		rho, err := Density(at, p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density at boiling", float64(rho), row.rho, 2e-5*row.rho)
	}
	for _, row := range []struct {
		c, p, h, rho, cp float64 // °C, Pa, kJ/kg, kg/m³, kJ/(kg·K)
	}{
		{5, 101325, 21.119965, 999.966634, 4.205038},
		{20, 101325, 84.007301, 998.207150, 4.184051},
		{20, 70000, 83.977822, 998.192800, 4.184149},
		{50, 101325, 209.418492, 988.035046, 4.181342},
		{90, 101325, 377.063487, 965.309590, 4.205206},
	} {
		at, p := quantity.Celsius(row.c), quantity.Pressure(row.p)
		h, err1 := Enthalpy(at, p)
		rho, err2 := Density(at, p)
		c, err3 := SpecificHeat(at, p)
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(err1, err2, err3)
		}
		near(t, "enthalpy", float64(h), row.h*1e3, 2e-4*row.h*1e3)
		near(t, "density", float64(rho), row.rho, 2e-5*row.rho)
		near(t, "specific heat", float64(c), row.cp*1e3, 1e-3*row.cp*1e3)
	}
}

// Liquid above its boiling point, against the liquid root of IAPWS-95 (same
// package): region 1 is no further off there than at the boiling point.
func TestSuperheatedLiquid(t *testing.T) {
	for _, row := range []struct {
		t, p, rho, h float64 // K, Pa, kg/m³, kJ/kg
	}{
		{373.12, 101325, 958.370587, 419.039623}, // at the boiling point
		{375.12, 101325, 956.922966, 427.473244}, // 2 K above
		{378.12, 101325, 954.717270, 440.132752}, // 5 K above
		{363.08, 70000, 965.342307, 376.744879},
		{365.08, 70000, 963.988461, 385.157206},
		{368.08, 70000, 961.922116, 397.783108},
		{354.47, 50000, 970.940209, 340.554937},
		{356.47, 50000, 969.670280, 348.952265},
		{359.46, 50000, 967.734793, 361.512383},
	} {
		h, err1 := Enthalpy(quantity.Kelvin(row.t), quantity.Pressure(row.p))
		rho, err2 := Density(quantity.Kelvin(row.t), quantity.Pressure(row.p))
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		near(t, "enthalpy", float64(h), row.h*1e3, 2e-4*row.h*1e3)
		near(t, "density", float64(rho), row.rho, 2e-5*row.rho)
	}
}

// Steam tables and density tables that lie on every laboratory's shelf, all
// from memory, with half a unit of their last digit (density: 0.01 kg/m³, the
// dissolved air and the tables' spread).
func TestHandbooks(t *testing.T) {
	for _, row := range []struct{ c, heat float64 }{
		{5, 2489.1}, {20, 2453.5}, {25, 2441.7}, {50, 2382.0}, {100, 2256.4}, // kJ/kg
	} {
		l, err := LatentHeat(quantity.Celsius(row.c))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "steam table, from memory", float64(l)/1e3, row.heat, 0.15)
	}
	for _, row := range []struct{ c, rho float64 }{
		{4, 999.975}, {20, 998.207}, {25, 997.047}, // Tanaka et al., Metrologia 38 (2001) 301, from memory
	} {
		rho, err := Density(quantity.Celsius(row.c), quantity.StandardAtmosphere)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "density table, from memory", float64(rho), row.rho, 0.01)
	}
	b, err := SaturationTemperature(quantity.StandardAtmosphere)
	if err != nil {
		t.Fatal(err)
	}
	// 99.974 °C on the scale of 1990: Preston-Thomas, Metrologia 27 (1990) 3, from memory.
	near(t, "boiling point at 101 325 Pa", b.Celsius(), 99.974, 0.001)
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.10g, want %.10g ± %.3g", what, got, want, tolerance)
	}
}
