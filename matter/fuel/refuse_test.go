package fuel

import (
	"math"
	"strings"
	"testing"

	"fairburn/finding"
	"fairburn/quantity"
)

func TestNamed(t *testing.T) {
	for name, want := range map[string]Substance{"IPA": Propanol2, " Methyl Ethyl Ketone ": MEK, "water": Water, "Ethanol": Ethanol} {
		if got, err := Named(name); got != want || err != nil {
			t.Errorf("%q: %v, %v", name, got, err)
		}
	}
	_, err := Named("petrol")
	want := `no substance is called "petrol", expected one of ethanol, methanol, 2-propanol, 1-propanol, acetone, MEK, ethyl acetate, MIBK, water`
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	seen := map[string]bool{}
	for _, s := range Substances() {
		d := s.Data()
		for _, name := range append(d.Also, strings.ToLower(d.Name), d.CAS) {
			if seen[name] {
				t.Errorf("%q names two substances", name)
			}
			seen[name] = true
		}
	}
}

func TestCompositionsRefused(t *testing.T) {
	part := func(s Substance, share, half quantity.MassFraction) byMass {
		return byMass{Substance: s, Share: share, HalfWidth: half}
	}
	for _, r := range []struct {
		parts []byMass
		want  string
	}{
		{nil, "blend has no component, expected at least one"},
		{[]byMass{{}}, "component 1 names no substance"},
		{[]byMass{part(Ethanol, .5, 0), part(Ethanol, .5, 0)}, "component 2: ethanol is named twice, give it once with its whole share"},
		{[]byMass{Rest[quantity.MassFraction](Ethanol), Rest[quantity.MassFraction](Water)}, "ethanol and water are both marked as the rest, mark one"},
		{[]byMass{{Substance: Ethanol, Rest: true, Share: 0.9}}, "ethanol is marked as the rest and has a share of its own, give one of the two"},
		{[]byMass{part(Ethanol, 95, 0)}, "ethanol: share 95, expected 0 to 1"},
		{[]byMass{part(Ethanol, quantity.MassFraction(math.NaN()), 0)}, "ethanol: share NaN, expected 0 to 1"},
		{[]byMass{part(Ethanol, 1, -0.1)}, "ethanol: half-width -0.1 and standard uncertainty 0, expected 0 to 1"},
		{[]byMass{part(Ethanol, .9, 0), part(Methanol, .2, 0)}, "components sum to 110 % by mass (110 % at the low ends), expected 100 %"},
		{[]byMass{part(Ethanol, .9, .02), part(Methanol, .2, .02)}, "components sum to 110 % by mass (106 % at the low ends), expected 100 %"},
		{[]byMass{part(Ethanol, .6, .05), part(Methanol, .2, .05)}, "components sum to 80 % by mass (90 % at the high ends), expected 100 %: name what is missing or mark one component as the rest"},
		{[]byMass{part(Ethanol, .9, 0), part(Methanol, .2, 0), Rest[quantity.MassFraction](Water)}, "components other than water sum to 110 % by mass, expected at most 100 % so that water can be the rest"},
	} {
		if _, err := ByMass(r.parts...); err == nil || err.Error() != r.want {
			t.Errorf("got  %v\nwant %s", err, r.want)
		}
	}
	if _, err := ByVolume(byVol{Substance: Ethanol, Share: 0.5}); err == nil || !strings.Contains(err.Error(), "50 % by volume") {
		t.Errorf("got %v", err)
	}
}

func TestCompositionsAccepted(t *testing.T) {
	for name, parts := range map[string][]byMass{
		"rounded label":                {{Substance: Ethanol, Share: .95}, {Substance: Water, Share: .046}},
		"ranges that can meet 1":       {Between[quantity.MassFraction](Ethanol, .3, .6), Between[quantity.MassFraction](Methanol, .5, .7)},
		"rest of nothing":              {{Substance: Ethanol, Share: 1}, Rest[quantity.MassFraction](Water)},
		"uncertainty reaching to one":  {{Substance: Ethanol, Share: .9, Uncertainty: .03}, {Substance: Water, Share: .05}},
		"a range from nothing with it": {Between[quantity.MassFraction](MIBK, 0, .03), Rest[quantity.MassFraction](Ethanol)},
		"a part of nothing":            {{Substance: Methanol}, {Substance: Ethanol, Share: 1}},
	} {
		b, err := ByMass(parts...)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if rho, u, err := b.Density(quantity.Celsius(15)); err != nil || math.IsNaN(float64(rho+u)) {
			t.Errorf("%s: density %v ± %v, %v", name, rho, u, err)
		}
		if bubble, err := b.BubblePoint(90000); err != nil || math.IsNaN(bubble.Temperature.Celsius()) {
			t.Errorf("%s: %v, %v", name, bubble, err)
		}
	}
}

// TestLimits tries both sides of each range.
func TestLimits(t *testing.T) {
	celsius := func(f func(quantity.Temperature) error) func(float64) error {
		return func(c float64) error { return f(quantity.Celsius(c)) }
	}
	density := func(b Blend) func(float64) error {
		return celsius(func(t quantity.Temperature) error { _, _, err := b.Density(t); return err })
	}
	vapour := func(s Substance) func(float64) error {
		return func(k float64) error { _, err := s.VapourPressure(quantity.Kelvin(k)); return err }
	}
	mixed := wet(t, Methanol, 0.9)
	for name, r := range map[string]struct {
		f         func(float64) error
		low, high float64
		want      string
	}{
		"R 22": {celsius(func(t quantity.Temperature) error { _, err := EthanolWaterDensity(0.5, t); return err }), -20, 40,
			"density of ethanol and water: temperature in °C 40.1 is outside -20 to 40 (OIML R 22)"},
		"R 22 fraction": {func(p float64) error {
			_, err := EthanolWaterDensity(quantity.MassFraction(p), quantity.Celsius(20))
			return err
		}, 0, 1, "ethanol mass fraction 1.1 is outside 0 to 1 (OIML R 22)"},
		"strength": {func(q float64) error { _, err := FromStrength(Strength(q/100), 0); return err }, 0, 100,
			"alcohol by volume in % 100.1 is outside 0 to 100 (OIML R 22)"},
		"proof": {func(p float64) error { _, err := FromProof(Proof(p), 0); return err }, 0, 200,
			"US proof 200.1 is outside 0 to 200 (27 CFR 30.11)"},
		"wet ethanol":  {density(wet(t, Ethanol, 0.9)), -20, 40, "ethanol: density: temperature in °C 40.1 is outside -20 to 40 (OIML R 22)"},
		"wet methanol": {density(mixed), -10, 40, "methanol: density: temperature in °C 40.1 is outside -10 to 40 (CRC densities and linear expansion)"},
		"water alone":  {density(wet(t, Ethanol, 0)), 0, 40, ""},
		"MEK vapour": {vapour(MEK), 265.62, 375.66,
			"MEK: vapour pressure: temperature in °C 102.61 is outside -7.53 to 102.51 (Poling 2001 and Perry 2008)"},
		"ethanol vapour, both equations": {vapour(Ethanol), 159.05, 514, ""},
		"latent heat": {celsius(func(t quantity.Temperature) error { _, err := Ethanol.VaporisationHeat(t); return err }), 0, 78.29,
			"ethanol: latent heat: temperature in °C 78.39 is outside 0 to 78.29 (CRC, enthalpy of vaporization)"},
		"check of density": {celsius(func(t quantity.Temperature) error { _, err := CheckDensity(800, t); return err }), -10, 40,
			"density of a spirit: temperature in °C 40.1 is outside -10 to 40 (linear expansion about 20 °C)"},
	} {
		for _, inside := range []float64{r.low + 1e-9, r.high - 1e-9} {
			if err := r.f(inside); err != nil {
				t.Errorf("%s: %v is refused: %v", name, inside, err)
			}
		}
		const step = 0.1
		if r.f(r.low-step) == nil {
			t.Errorf("%s: %v below the limit is accepted", name, r.low-step)
		}
		err := r.f(r.high + step)
		if err == nil || (r.want != "" && err.Error() != r.want) {
			t.Errorf("%s: got  %v\nwant %s", name, err, r.want)
		}
		if r.f(math.NaN()) == nil {
			t.Errorf("%s: NaN is accepted", name)
		}
	}
	if _, err := mixed.BubblePoint(1e7); err == nil || !strings.HasPrefix(err.Error(), "boiling point of the blend: pressure in Pa 1e+07 is outside ") {
		t.Errorf("got %v", err)
	}
	if _, err := MassFractionOfDensity(700, quantity.Celsius(20)); err == nil || err.Error() != "ethanol and water at 20 °C: density in kg/m³ 700 is outside 789.239 to 998.201 (OIML R 22)" {
		t.Errorf("got %v", err)
	}
	var empty Blend
	if _, _, err := empty.Density(quantity.Celsius(20)); err == nil {
		t.Error("an empty blend has a density")
	}
	if _, err := empty.BubblePoint(101325); err == nil {
		t.Error("an empty blend boils")
	}
	if _, err := mixed.EquivalentMass(1, wet(t, Ethanol, 0)); err == nil {
		t.Error("water is taken as a fuel")
	}
}

func TestCheckDensity(t *testing.T) {
	gram := func(perOunce float64) quantity.Density {
		return quantity.Density(perOunce * float64(quantity.Gram) / float64(quantity.USFluidOunce))
	}
	for _, r := range []struct {
		rho     quantity.Density
		celsius float64
		code    string // besides density_finds_water
	}{
		{gram(21), 20, "implausible_fuel_density"},
		{784.9, 20, "implausible_fuel_density"}, {785.1, 20, ""}, {819.9, 20, ""}, {820.1, 20, "watery_fuel_density"},
		{998, 20, "watery_fuel_density"}, {999, 20, "implausible_fuel_density"},
		{805, 0, ""}, {800, 0, "implausible_fuel_density"},
		{quantity.Density(math.NaN()), 20, "implausible_fuel_density"},
	} {
		found, err := CheckDensity(r.rho, quantity.Celsius(r.celsius))
		if err != nil || !finding.Has(found, "density_finds_water") || len(found) > 2 {
			t.Errorf("%v: %v, %v", r.rho, found, err)
		}
		if (r.code == "") != (len(found) == 1) || (r.code != "" && !finding.Has(found, r.code)) {
			t.Errorf("%v at %v °C: want %q, got %v", r.rho, r.celsius, r.code, found)
		}
	}
	found, _ := CheckDensity(gram(21), quantity.Celsius(20))
	want := "density 0.710 g/mL at 20 °C (21.0 g in a US fluid ounce), expected 0.785 to 0.820 g/mL for fuel-strength spirit: this is no alcohol"
	if found[1].Sentence != want {
		t.Errorf("got  %s\nwant %s", found[1].Sentence, want)
	}
}

func TestFindingsOfABlend(t *testing.T) {
	build := func(parts ...byMass) Blend {
		b, err := ByMass(parts...)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	for name, r := range map[string]struct {
		b    Blend
		want []string
	}{
		"exact mixture": {wet(t, Ethanol, 0.9), []string{"composition_without_range"}},
		"narrow range":  {build(byMass{Substance: Ethanol, Share: .95, HalfWidth: .002}, Rest[quantity.MassFraction](Water)), nil},
		"wide range":    {build(Between[quantity.MassFraction](Water, 0, .1), Rest[quantity.MassFraction](Ethanol)), []string{"composition_is_range"}},
		"methanol": {build(Between[quantity.MassFraction](Methanol, .05, .8), Rest[quantity.MassFraction](Ethanol)),
			[]string{"composition_is_range", "density_finds_water", "methanol_poison"}},
		"water loose": {build(Between[quantity.MassFraction](Water, .01, .02), Rest[quantity.MassFraction](Acetone)), []string{"no_contraction_data", "composition_is_range"}},
		"no pair":     {build(Between[quantity.MassFraction](MIBK, .01, .011), Rest[quantity.MassFraction](Ethanol)), []string{"wilson_pair_missing"}},
	} {
		found := r.b.Findings()
		for _, code := range r.want {
			if !finding.Has(found, code) {
				t.Errorf("%s: no %s in %v", name, code, found)
			}
		}
		if len(found) > len(r.want) {
			t.Errorf("%s: more than %v in %v", name, r.want, found)
		}
	}
	if n, m := len(wet(t, Ethanol, 0.9).Cautions()), len(wet(t, Methanol, 0.9).Cautions()); m != n+1 {
		t.Errorf("%d cautions with methanol, %d without", m, n)
	}
}
