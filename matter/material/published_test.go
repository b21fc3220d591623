package material

import (
	"math"
	"testing"

	"fairburn/quantity"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %.3g", what, got, want, tolerance)
	}
}

// Both columns of the textbook, at their own temperatures, to the digit.
func TestTextbookRows(t *testing.T) {
	for _, row := range []struct {
		name                string
		density, c300, c400 float64
		source              string
	}{
		{"aluminium", 2702, 903, 949, "Incropera and DeWitt, table A.1, aluminum, pure"},
		{"titanium", 4500, 522, 551, "Incropera and DeWitt, table A.1, titanium"},
		{"copper", 8933, 385, 397, "Incropera and DeWitt, table A.1, copper, pure"},
		{"brass", 8530, 380, 395, "Incropera and DeWitt, table A.1, cartridge brass"},
		{"stainless steel 316", 8238, 468, 504, "Incropera and DeWitt, table A.1, AISI 316"},
		{"stainless steel 347", 7978, 480, 513, "Incropera and DeWitt, table A.1, AISI 347"},
		{"stainless steel 304", 7900, 477, 515, "Incropera and DeWitt, table A.1, AISI 304; specific heats from memory"},
		{"carbon steel", 7854, 434, 487, "Incropera and DeWitt, table A.1, plain carbon"},
	} {
		m, err := Find(row.name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.source+", density", float64(m.Density), row.density, 0)
		near(t, row.source+", 300 K", specificHeat(t, m, 300), row.c300, 1e-9)
		near(t, row.source+", 400 K", specificHeat(t, m, 400), row.c400, 1e-9)
	}
}

// The line carried on below its first column, against the chord to the textbook's
// 200 K column (from memory), which for these concave curves reads low: the line
// may stand over it by about one standard uncertainty of the table, 2.2 %.
func TestBelowTheFirstColumn(t *testing.T) {
	for name, c200 := range map[string]float64{
		"aluminium": 798, "titanium": 465, "copper": 356, "brass": 360, "stainless steel": 402,
	} {
		m, err := Find(name)
		if err != nil {
			t.Fatal(err)
		}
		chord := c200 + (float64(m.At300)-c200)*0.7315
		near(t, name+" at 0 °C", specificHeat(t, m, 273.15)/chord, 1, 0.022)
	}
}

// Single figures, which hold over the whole range.
func TestSingleFigures(t *testing.T) {
	for _, row := range []struct {
		name    string
		density float64
		c       float64
		source  string
	}{
		{"6061", 2707, 892, "heat-transfer data book, Al-Mg-Si"},
		{"titanium grade 1", 4510, 520, "titanium alloy table, grade 1"},
		{"titanium grade 2", 4510, 523, "titanium alloy table, grade 2"},
		{"Ti-6Al-4V", 4430, 526, "titanium alloy table, grade 5; density from memory"},
		{"3104", 2720, 893, "alloy data sheet, from memory"},
	} {
		m, err := Find(row.name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.source+", density", float64(m.Density), row.density, 0)
		for _, k := range []float64{300, 333, 400} {
			near(t, row.source, specificHeat(t, m, k), row.c, 0)
		}
	}
}

// Other sources than the table's own, within two of its standard uncertainties.
func TestOtherSources(t *testing.T) {
	for _, row := range []struct {
		name      string
		kelvin, c float64
		source    string
	}{
		{"aluminium", 300, 897, "CRC Handbook, heat capacity of the elements at 25 °C, from memory"},
		{"copper", 300, 385, "CRC Handbook, heat capacity of the elements at 25 °C, from memory"},
		{"titanium", 300, 523, "CRC Handbook, heat capacity of the elements at 25 °C, from memory"},
		{"aluminium", 300, 892, "heat-transfer data book, Al-Mg-Si"},
		{"titanium", 300, 669.0 - 0.037188*300 - 1.080e7/(300*300), "published formula for titanium above room temperature"},
		{"titanium", 400, 669.0 - 0.037188*400 - 1.080e7/(400*400), "published formula for titanium above room temperature"},
		{"stainless steel", 300, 480, "AISI 347 of the same textbook"},
		{"carbon steel", 333, 460, "usual figure for mild steel, 460 J/(kg·K), from memory"},
	} {
		m, err := Find(row.name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.name+" against "+row.source, specificHeat(t, m, row.kelvin), row.c, 2*float64(m.Uncertainty)*row.c)
	}
}

func specificHeat(t *testing.T, m Material, kelvin float64) float64 {
	t.Helper()
	c, err := m.SpecificHeat(quantity.Kelvin(kelvin))
	if err != nil {
		t.Fatal(err)
	}
	return float64(c)
}
