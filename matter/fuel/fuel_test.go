package fuel

import (
	"math"
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

// TestAirNeedOfTheMeanMolecule burns the mean molecule instead of the parts.
func TestAirNeedOfTheMeanMolecule(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, err := ByMass(drawMass(t, true)...)
		if err != nil {
			t.Fatal(err)
		}
		m, molarMass := b.MeanMolecule()
		want := (m.C + m.H/4 - m.O/2) * airMolarMass / (airOxygen * molarMass)
		if got := float64(b.AirFuelRatio()); math.Abs(got-want) > 1e-9 {
			t.Fatalf("air need %v, of the mean molecule %v", got, want)
		}
	})
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
