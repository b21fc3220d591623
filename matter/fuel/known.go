package fuel

import "fairburn/quantity"

// Recipe is a named composition. What a shop sells under a name can differ:
// the label and the safety data sheet of the bottle come first.
type Recipe struct {
	Name        string
	Composition string // in words
	Source      string
	blend       func() (Blend, error)
}

// Blend makes the blend of the recipe. Bittering agents (a gram in 100 L) are left out.
func (r Recipe) Blend() (Blend, error) { return r.blend() }

// Known lists the named compositions this package can express. Formulas with
// petrol or kerosene (US completely denatured alcohol 18, 19, 20; fuel ethanol
// ASTM D4806) are not among them.
func Known() []Recipe {
	const specially = Proof(185) // 27 CFR 21.31(b): not less than 185 proof
	return []Recipe{
		{
			Name:        "EU common denaturant 2013",
			Composition: "per 100 L absolute ethanol: 3 L 2-propanol, 3 L MEK, 1 g denatonium benzoate",
			Source:      "Commission Implementing Regulation (EU) No 162/2013, annex",
			blend:       func() (Blend, error) { return denatured(200, added{Propanol2, 3}, added{MEK, 3}) },
		},
		{
			Name:        "EU common denaturant 2017",
			Composition: "per 100 L absolute ethanol: 1 L 2-propanol, 1 L MEK, 1 g denatonium benzoate",
			Source:      "trade notice of the change from 1 August 2017; number of the regulation, 2016/1867, from memory",
			blend:       func() (Blend, error) { return denatured(200, added{Propanol2, 1}, added{MEK, 1}) },
		},
		{
			Name:        "US specially denatured alcohol 1",
			Composition: "per 100 gal ethanol of 185 to 200 proof: 4 gal methanol, 1/8 oz denatonium benzoate",
			Source:      "27 CFR 21.31(b), 21.32",
			blend:       func() (Blend, error) { return denatured(specially, added{Methanol, 4}) },
		},
		{
			Name:        "US specially denatured alcohol 1 with MIBK",
			Composition: "per 100 gal ethanol of 185 to 200 proof: 4 gal methanol, 1 gal MIBK",
			Source:      "27 CFR 21.31(b), 21.32",
			blend:       func() (Blend, error) { return denatured(specially, added{Methanol, 4}, added{MIBK, 1}) },
		},
		{
			Name:        "US specially denatured alcohol 3-A",
			Composition: "per 100 gal ethanol of 185 to 200 proof: 5 gal methanol",
			Source:      "27 CFR 21.31(b); 21.35 from memory",
			blend:       func() (Blend, error) { return denatured(specially, added{Methanol, 5}) },
		},
		{
			Name:        "burning spirit, Europe",
			Composition: "ethanol with 3 to 10 % water, 1 to 3 % MEK and 1 to 3 % 2-propanol by volume before mixing",
			Source:      "common practice, no source",
			blend: func() (Blend, error) {
				return ByVolume(Rest[quantity.VolumeFraction](Ethanol), Between[quantity.VolumeFraction](Water, 0.03, 0.10),
					Between[quantity.VolumeFraction](MEK, 0.01, 0.03), Between[quantity.VolumeFraction](Propanol2, 0.01, 0.03))
			},
		},
		{
			Name:        "hardware-shop denatured alcohol, North America",
			Composition: "ethanol with 4 to 80 % methanol and up to 3 % MIBK by mass",
			Source:      "data sheets quoted second-hand, weak; the share of methanol changes between makers and years",
			blend: func() (Blend, error) {
				return ByMass(Rest[quantity.MassFraction](Ethanol), Between[quantity.MassFraction](Methanol, 0.04, 0.80),
					Between[quantity.MassFraction](MIBK, 0, 0.03))
			},
		},
	}
}

// added is a volume of denaturant put to 100 volumes of spirit, at 20 °C.
type added struct {
	substance Substance
	volume    float64
}

// denatured mixes 100 volumes of spirit, anywhere from the weakest proof up to
// 200, with what is added. Only the water of the spirit is a range: the shares
// of the denaturants move by under 2 % of themselves with it.
func denatured(weakest Proof, extra ...added) (Blend, error) {
	p, err := weakest.MassFraction()
	if err != nil {
		return Blend{}, err
	}
	driest, wettest := 100*ethanolWater(1, 20), 100*ethanolWater(float64(p), 20)
	var denaturant float64
	for _, a := range extra {
		denaturant += a.volume * a.substance.density(20)
	}
	parts := []Part[quantity.MassFraction]{Rest[quantity.MassFraction](Ethanol)}
	if p < 1 {
		most := float64(1-p) * wettest / (wettest + denaturant)
		parts = append(parts, Between(Water, 0, quantity.MassFraction(most)))
	}
	for _, a := range extra {
		share := a.volume * a.substance.density(20) / ((driest+wettest)/2 + denaturant)
		parts = append(parts, Part[quantity.MassFraction]{Substance: a.substance, Share: quantity.MassFraction(share)})
	}
	return ByMass(parts...)
}
