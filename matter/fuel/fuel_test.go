package fuel

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fairburn/finding"
	"fairburn/quantity"
)

type (
	byMass = Part[quantity.MassFraction]
	byVol  = Part[quantity.VolumeFraction]
)

func TestStrengthsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := quantity.MassFraction(rapid.Float64Range(0, 1).Draw(t, "p"))
		c := rapid.Float64Range(-20, 40).Draw(t, "celsius")
		back := func(what string, got quantity.MassFraction, err error) {
			if err != nil || math.Abs(float64(got-p)) > 1e-9 {
				t.Fatalf("%s of %v gives %v, %v", what, p, got, err)
			}
		}
		q, _ := StrengthOf(p)
		got, err := q.MassFraction()
		back("strength", got, err)
		proof, _ := ProofOf(p)
		got, err = proof.MassFraction()
		back("proof", got, err)
		rho, _ := EthanolWaterDensity(p, quantity.Celsius(c))
		got, err = MassFractionOfDensity(rho, quantity.Celsius(c))
		if slope := math.Abs(ethanolWater(float64(p)+1e-6, c)-ethanolWater(float64(p)-1e-6, c)) / 2e-6; slope > 5 {
			back("density", got, err)
		}
	})
}

// TestStrengthIsMonotone walks the grid that the bisections rely on.
func TestStrengthIsMonotone(t *testing.T) {
	for c := -20.0; c <= 40; c += 5 {
		for i := range 1000 {
			p, next := float64(i)/1000, float64(i+1)/1000
			if !(ethanolWater(next, c) < ethanolWater(p, c)) {
				t.Fatalf("density does not fall at p %v, %v °C", p, c)
			}
			if !(byVolume(next, c) > byVolume(p, c)) {
				t.Fatalf("volume does not rise at p %v, %v °C", p, c)
			}
		}
	}
}

// TestEthanolWaterAgainstNaiveSum compares with the sum as the recommendation prints it.
func TestEthanolWaterAgainstNaiveSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		c := rapid.Float64Range(-20, 40).Draw(t, "celsius")
		var sum float64
		for k, a := range r22A {
			sum += a * math.Pow(p, float64(k))
		}
		for k, b := range r22B {
			sum += b * math.Pow(c-20, float64(k+1))
		}
		for i, row := range r22C {
			for k, x := range row {
				sum += x * math.Pow(p, float64(k+1)) * math.Pow(c-20, float64(i+1))
			}
		}
		if got := ethanolWater(p, c); math.Abs(got-sum) > 1e-7 {
			t.Fatalf("p %v, %v °C: %v, naive sum %v", p, c, got, sum)
		}
	})
}

func TestBlendOfOneIsTheSubstance(t *testing.T) {
	for _, s := range Substances() {
		b, err := Pure(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []float64{0, 20, 40} {
			pure, _ := s.Density(quantity.Celsius(c))
			rho, u, err := b.Density(quantity.Celsius(c))
			if err != nil || math.Abs(float64(rho-pure)) > 1e-9 || !(u > 0 && float64(u) < 1e-3*float64(rho)) {
				t.Errorf("%s at %v °C: blend %v ± %v, substance %v, %v", s, c, rho, u, pure, err)
			}
		}
		lhv, u := b.LHV()
		if lhv != s.LHV() || math.Abs(float64(u)-0.003*math.Abs(float64(lhv))) > 1e-6 {
			t.Errorf("%s: blend LHV %v ± %v, substance %v", s, lhv, u, s.LHV())
		}
		p, err := b.VapourPressure(quantity.Celsius(50))
		pure, _ := s.VapourPressure(quantity.Celsius(50))
		if s != Acetone && (err != nil || math.Abs(float64(p/pure)-1) > 1e-12) {
			t.Errorf("%s: vapour pressure %v, substance %v, %v", s, p, pure, err)
		}
		if len(b.Findings()) > 2 || finding.Has(b.Findings(), "composition_without_range") {
			t.Errorf("%s: %v", s, b.Findings())
		}
	}
}

// drawMass draws a blend of three or four liquids by mass with uncertain shares, all safely inside.
func drawMass(t *rapid.T, rest bool) []byMass {
	substances := rapid.Permutation(Substances()).Draw(t, "substances")
	n := rapid.IntRange(2, 4).Draw(t, "n")
	raw, sum := make([]float64, n), 0.0
	for i := range raw {
		raw[i] = rapid.Float64Range(0.05, 1).Draw(t, "share")
		sum += raw[i]
	}
	parts := make([]byMass, n)
	for i := range parts {
		share := quantity.MassFraction(raw[i] / sum)
		parts[i] = byMass{Substance: substances[i], Share: share, HalfWidth: share / 20}
	}
	if rest {
		parts[n-1] = Rest[quantity.MassFraction](substances[n-1])
	}
	return parts
}

func TestBlendStaysBetweenItsParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := drawMass(t, rapid.Bool().Draw(t, "rest"))
		b, err := ByMass(parts...)
		if err != nil {
			t.Fatal(err)
		}
		low, high, lightest := math.Inf(1), math.Inf(-1), math.Inf(1)
		var sum, moles float64
		for _, share := range b.Shares() {
			low, high = min(low, float64(share.Substance.LHV())), max(high, float64(share.Substance.LHV()))
			lightest = min(lightest, share.Substance.density(20))
			sum += float64(share.Mass)
			moles += float64(share.Moles)
		}
		lhv, u := b.LHV()
		hhv, _ := b.HHV()
		if !(float64(lhv) >= low && float64(lhv) <= high && hhv > lhv && u > 0) {
			t.Fatalf("LHV %v ± %v outside %v to %v or HHV %v below it", lhv, u, low, high, hhv)
		}
		if math.Abs(sum-1) > 1e-12 || math.Abs(moles-1) > 1e-12 {
			t.Fatalf("mass fractions sum to %v, mole fractions to %v", sum, moles)
		}
		rho, uRho, err := b.Density(quantity.Celsius(20))
		if err != nil || !(float64(rho) >= lightest && float64(rho) < 1000 && uRho > 0) {
			t.Fatalf("density %v ± %v, lightest part %v, %v", rho, uRho, lightest, err)
		}
	})
}

// TestUncertaintyAgainstRebuiltBlends rebuilds the blend with each share moved by
// one standard uncertainty and adds the changes in quadrature.
func TestUncertaintyAgainstRebuiltBlends(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := drawMass(t, rapid.Bool().Draw(t, "rest"))
		b, err := ByMass(parts...)
		if err != nil {
			t.Fatal(err)
		}
		value, u := b.LHV()
		var square float64
		for i, p := range parts {
			move := p.HalfWidth / quantity.MassFraction(math.Sqrt(3))
			change := 0.0
			for _, sign := range []quantity.MassFraction{1, -1} {
				moved := append([]byMass(nil), parts...)
				moved[i].Share += sign * move
				other, err := ByMass(moved...)
				if err != nil {
					t.Fatal(err)
				}
				h, _ := other.LHV()
				change += float64(sign) * float64(h) / 2
			}
			square += change * change
		}
		want := math.Hypot(math.Sqrt(square), 0.003*float64(value))
		if math.Abs(float64(u)-want) > 2e-3*want {
			t.Fatalf("u(LHV) %v, rebuilt blends %v", u, want)
		}
	})
}

func TestMassAndVolumeBasisAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := drawMass(t, false)
		b, err := ByMass(parts...)
		if err != nil {
			t.Fatal(err)
		}
		var volume float64
		for _, p := range parts {
			volume += float64(p.Share) / float64(p.Substance.row().Density20)
		}
		volumes := make([]byVol, len(parts))
		for i, p := range parts {
			volumes[i] = byVol{Substance: p.Substance, Share: quantity.VolumeFraction(float64(p.Share) / float64(p.Substance.row().Density20) / volume)}
		}
		v, err := ByVolume(volumes...)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range parts {
			if math.Abs(float64(b.MassFraction(p.Substance)-v.MassFraction(p.Substance))) > 1e-12 {
				t.Fatalf("%s: %v by mass, %v by volume", p.Substance, b.MassFraction(p.Substance), v.MassFraction(p.Substance))
			}
		}
	})
}

func TestBubblePointInvertsVapourPressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(0, 1).Draw(t, "w")
		s := rapid.SampledFrom([]Substance{Ethanol, Methanol, Propanol2, Propanol1}).Draw(t, "alcohol")
		c := rapid.Float64Range(30, 80).Draw(t, "celsius")
		b, err := ByMass(byMass{Substance: s, Share: quantity.MassFraction(w)}, Rest[quantity.MassFraction](Water))
		if err != nil {
			t.Fatal(err)
		}
		p, err := b.VapourPressure(quantity.Celsius(c))
		if err != nil {
			t.Fatal(err)
		}
		bubble, err := b.BubblePoint(p)
		if err != nil || math.Abs(bubble.Temperature.Celsius()-c) > 1e-6 {
			t.Fatalf("%v Pa at %v °C boils at %v, %v", p, c, bubble.Temperature.Celsius(), err)
		}
	})
}

// TestActivitiesObeyGibbsDuhem: Σ x_i d ln γ_i = 0 along any change of composition at constant temperature.
func TestActivitiesObeyGibbsDuhem(t *testing.T) {
	b := Blend{substances: []Substance{Ethanol, Methanol, Water, MEK}}
	x, step := []float64{0.5, 0.2, 0.25, 0.05}, []float64{0.4, -0.3, 0.2, -0.3}
	const h = 1e-5
	at := func(sign float64) []float64 {
		moved := make([]float64, len(x))
		for i := range x {
			moved[i] = x[i] + sign*h*step[i]
		}
		return b.activities(moved, 340)
	}
	up, down := at(1), at(-1)
	var sum float64
	for i := range x {
		sum += x[i] * (math.Log(up[i]) - math.Log(down[i])) / (2 * h)
	}
	if math.Abs(sum) > 1e-6 {
		t.Errorf("Σ x d ln γ = %v", sum)
	}
}

func TestMassOfAVolume(t *testing.T) {
	b, err := FromStrength(0.95, 0.01)
	if err != nil {
		t.Fatal(err)
	}
	m, u, err := b.MassOf(quantity.USFluidOunce, quantity.Celsius(20))
	if err != nil {
		t.Fatal(err)
	}
	// 29.57 mL at 811.4 kg/m³; one per cent by volume is 3.88 kg/m³.
	near(t, "grams", float64(m)*1e3, 23.995, 0.002)
	near(t, "u, grams", float64(u)*1e3, 29.5735e-3*3.88, 0.003)
}

func TestWaterLowersHeatAndRaisesDensity(t *testing.T) {
	for _, s := range []Substance{Ethanol, Methanol, Propanol2, Propanol1} {
		heat, weight := math.Inf(-1), math.Inf(1)
		for i := range 201 {
			b := wet(t, s, float64(i)/200)
			lhv, _ := b.LHV()
			rho, _, err := b.Density(quantity.Celsius(20))
			if err != nil || !(float64(lhv) > heat && float64(rho) < weight) {
				t.Fatalf("%s %v: LHV %v after %v, density %v after %v, %v", s, float64(i)/200, lhv, heat, rho, weight, err)
			}
			heat, weight = float64(lhv), float64(rho)
		}
	}
}

func TestKnownRecipes(t *testing.T) {
	for _, r := range Known() {
		b, err := r.Blend()
		if err != nil {
			t.Errorf("%s: %v", r.Name, err)
			continue
		}
		if r.Source == "" || r.Composition == "" {
			t.Errorf("%s has no source or composition", r.Name)
		}
		if lhv, u := b.LHV(); !(lhv > 20e6 && lhv < 28e6 && u < 2e6) {
			t.Errorf("%s: LHV %v ± %v", r.Name, lhv, u)
		}
	}
}

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

func BenchmarkLHV(b *testing.B) {
	blend, err := Known()[5].Blend()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		blend.LHV()
	}
}

func BenchmarkDensity(b *testing.B) {
	blend, err := Known()[5].Blend()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, _, err := blend.Density(quantity.Celsius(15)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBubblePoint(b *testing.B) {
	blend, err := Known()[5].Blend()
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := blend.BubblePoint(90000); err != nil {
			b.Fatal(err)
		}
	}
}
