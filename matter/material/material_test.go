package material

import (
	"errors"
	"math"
	"testing"

	"fairburn/quantity"
)

func TestNamesOnLabels(t *testing.T) {
	for label, want := range map[string]string{
		"aluminium": "aluminium", "Aluminum": "aluminium", " ALUMINIUM ": "aluminium",
		"hard-anodised aluminium": "hard-anodised aluminium", "Hard Anodized Aluminum": "hard-anodised aluminium",
		"titanium": "titanium", "Ti": "titanium", "stainless": "stainless steel", "Stainless-Steel": "stainless steel",
		"304": "stainless steel", "18/8": "stainless steel", "316": "stainless steel 316", "ti6al4v": "titanium grade 5",
		"copper": "copper", "brass": "brass", "tin-plated steel": "carbon steel", "can aluminum": "aluminium alloy 3004",
	} {
		m, err := Find(label)
		if err != nil || m.Name != want {
			t.Errorf("Find(%q) = %q, %v; want %q", label, m.Name, err, want)
		}
	}
}

func TestUnknownNameListsTheKnown(t *testing.T) {
	const known = ": expected one of aluminium, hard-anodised aluminium, titanium, stainless steel, stainless steel 316, stainless steel 347, copper, brass, carbon steel, aluminium alloy 3004, Al-Mg-Si sheet, titanium grade 1, titanium grade 2, titanium grade 5"
	for _, name := range []string{"enamelled steel", ""} {
		_, err := Find(name)
		if !errors.Is(err, ErrUnknown) {
			t.Fatalf("Find(%q) = %v", name, err)
		}
		if want := "unknown material \"" + name + "\"" + known; err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
}

// No name stands for two materials, and every row can be used and says whence it is.
func TestTableIsWhole(t *testing.T) {
	owner := map[string]string{}
	for _, m := range table {
		for _, name := range append([]string{m.Name}, m.Others...) {
			if first := owner[plain(name)]; first != "" {
				t.Errorf("%q stands for %s and %s", name, first, m.Name)
			}
			owner[plain(name)] = m.Name
			if got, err := Find(name); err != nil || got.Name != m.Name {
				t.Errorf("Find(%q) = %q, %v", name, got.Name, err)
			}
		}
		if m.Source == "" || m.Density <= 0 || m.At300 <= 0 || m.Uncertainty <= 0 {
			t.Errorf("%s: row not whole: %+v", m.Name, m)
		}
		if m.At400 == 0 && m.Uncertainty < oneFigure {
			t.Errorf("%s: one figure for the whole rise needs the wider uncertainty", m.Name)
		}
		if m.At400 != 0 && m.At400 <= m.At300 {
			t.Errorf("%s: specific heat falls with temperature", m.Name)
		}
	}
}

func TestLimits(t *testing.T) {
	m, err := Find("titanium")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []float64{273.15, 300, 400} {
		if _, err := m.SpecificHeat(quantity.Kelvin(k)); err != nil {
			t.Error(err)
		}
	}
	const reach = " °C: expected 0 to 126.85 °C, the reach of " + textbook + ": out of range"
	for k, read := range map[float64]string{273.1: "-0.05", 400.5: "127.35", math.NaN(): "NaN"} {
		_, err := m.SpecificHeat(quantity.Kelvin(k))
		if want := "specific heat of titanium at " + read + reach; err == nil || err.Error() != want {
			t.Errorf("at %v K: got %v\nwant %s", k, err, want)
		}
		if !errors.Is(err, ErrRange) {
			t.Errorf("%v does not wrap ErrRange", err)
		}
	}
}

// Worked by hand: a third of the way between the columns, 60 °C.
func TestMidRise(t *testing.T) {
	for name, want := range map[string]float64{"aluminium": 918.25, "titanium": 531.61} {
		m, err := Find(name)
		if err != nil {
			t.Fatal(err)
		}
		c, err := m.SpecificHeat(quantity.Celsius(60))
		if err != nil {
			t.Fatal(err)
		}
		near(t, name+" at 60 °C", float64(c), want, 0.01)
	}
}
