package fuel

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fairburn/quantity"
)

// Part is one component of a blend as a label or a safety data sheet states
// it, by mass (Part[quantity.MassFraction]) or by volume before mixing at
// 20 °C (Part[quantity.VolumeFraction]); a blend is stated in one of the two.
type Part[F quantity.MassFraction | quantity.VolumeFraction] struct {
	Substance Substance
	Share     F // the value, or the middle of the range
	// HalfWidth of a stated range, any value in it equally likely: standard
	// uncertainty HalfWidth/√3 (JCGM 100:2008, 4.3.7).
	HalfWidth F
	// Uncertainty is a standard uncertainty, added to the range in quadrature.
	Uncertainty F
	// Rest marks the one component that fills up to 1. It has no share of its own.
	Rest bool
}

// Between is the part of a data sheet that says "low to high".
func Between[F quantity.MassFraction | quantity.VolumeFraction](s Substance, low, high F) Part[F] {
	return Part[F]{Substance: s, Share: (low + high) / 2, HalfWidth: (high - low) / 2}
}

// Rest is the part that fills up to 1.
func Rest[F quantity.MassFraction | quantity.VolumeFraction](s Substance) Part[F] {
	return Part[F]{Substance: s, Rest: true}
}

// sumTolerance is how far stated fractions may miss 1 by rounding alone before
// they are refused (common practice, no source: labels round to whole per cents).
const sumTolerance = 0.005

// ByMass makes a blend from mass fractions. Without a Rest the fractions are
// scaled to sum 1, which the stated ranges (share ± half-width ± 2 standard
// uncertainties) must allow within 0.5 %. With a Rest the others must not pass 1.
func ByMass(parts ...Part[quantity.MassFraction]) (Blend, error) {
	return assemble(parts, "mass", func(Substance) float64 { return 1 })
}

// ByVolume makes a blend from volumes before mixing at 20 °C, turned to mass by
// the densities of the pure liquids. The same rules as ByMass. For a spirit
// labelled "% vol" use FromStrength: that volume is counted after mixing.
func ByVolume(parts ...Part[quantity.VolumeFraction]) (Blend, error) {
	return assemble(parts, "volume", func(s Substance) float64 { return float64(s.row().Density20) })
}

// Pure is a blend of one substance, exactly known.
func Pure(s Substance) (Blend, error) {
	return ByMass(Part[quantity.MassFraction]{Substance: s, Share: 1})
}

// FromStrength is ethanol and water of the alcohol by volume q with standard uncertainty u.
func FromStrength(q, u Strength) (Blend, error) {
	p, err := q.MassFraction()
	if err != nil {
		return Blend{}, err
	}
	return ethanolAndWater(p, float64(u), func(p float64) float64 { return byVolume(p, 20) })
}

// FromProof is ethanol and water of the US proof p with standard uncertainty u.
func FromProof(p, u Proof) (Blend, error) {
	w, err := p.MassFraction()
	if err != nil {
		return Blend{}, err
	}
	celsius := proofTemperature.Celsius()
	return ethanolAndWater(w, float64(u), func(p float64) float64 { return 200 * byVolume(p, celsius) })
}

// ethanolAndWater moves the uncertainty u of a strength to the mass fraction by the slope of strength over p.
func ethanolAndWater(p quantity.MassFraction, u float64, strength func(float64) float64) (Blend, error) {
	const h = 1e-4
	low, high := max(float64(p)-h, 0), min(float64(p)+h, 1)
	slope := (strength(high) - strength(low)) / (high - low)
	return ByMass(
		Part[quantity.MassFraction]{Substance: Ethanol, Share: p, Uncertainty: quantity.MassFraction(u / slope)},
		Rest[quantity.MassFraction](Water))
}

// Blend is a composition by mass with what is not known about it. Make one with
// ByMass, ByVolume, FromStrength, FromProof or Pure; the zero Blend is empty.
type Blend struct {
	substances []Substance
	mass       []float64   // mass fractions, sum 1
	shifts     [][]float64 // per uncertain statement: change of mass for one standard uncertainty, sum 0
}

// Share is the part of one substance in a blend.
type Share struct {
	Substance   Substance
	Mass        quantity.MassFraction
	Uncertainty quantity.MassFraction // standard, from the stated ranges, sum kept at 1
	Moles       quantity.Ratio        // mole fraction
}

// Shares lists the composition in the order stated.
func (b Blend) Shares() []Share {
	moles := b.moleFractions()
	shares := make([]Share, len(b.substances))
	for i, s := range b.substances {
		var square float64
		for _, d := range b.shifts {
			square += d[i] * d[i]
		}
		shares[i] = Share{s, quantity.MassFraction(b.mass[i]), quantity.MassFraction(math.Sqrt(square)), quantity.Ratio(moles[i])}
	}
	return shares
}

// MassFraction is the mass fraction of s, 0 when the blend has none.
func (b Blend) MassFraction(s Substance) quantity.MassFraction {
	if i := slices.Index(b.substances, s); i >= 0 {
		return quantity.MassFraction(b.mass[i])
	}
	return 0
}

// MeanMolecule is the mole-weighted mean of the atoms and of the molar mass in kg/mol.
func (b Blend) MeanMolecule() (Atoms, float64) {
	var mean Atoms
	var molarMass float64
	for i, x := range b.moleFractions() {
		d := b.substances[i].row()
		mean.C += x * d.Atoms.C
		mean.H += x * d.Atoms.H
		mean.O += x * d.Atoms.O
		molarMass += x * d.MolarMass
	}
	return mean, molarMass
}

func (b Blend) moleFractions() []float64 {
	moles := make([]float64, len(b.mass))
	var total float64
	for i, w := range b.mass {
		moles[i] = w / b.substances[i].row().MolarMass
		total += moles[i]
	}
	for i := range moles {
		moles[i] /= total
	}
	return moles
}

// spread is the standard uncertainty that the stated ranges give to f, to first
// order: each statement is moved by a thousandth of its standard uncertainty
// either way with the sum kept at 1, and the slopes add in quadrature
// (JCGM 100:2008, 5.1.2; statements taken as independent).
func (b Blend) spread(f func(mass []float64) float64) float64 {
	const step = 1e-3
	var square float64
	moved := make([]float64, len(b.mass))
	at := func(shift []float64, h float64) float64 {
		for i, w := range b.mass {
			moved[i] = w + h*shift[i]
		}
		return f(moved)
	}
	for _, d := range b.shifts {
		slope := (at(d, step) - at(d, -step)) / (2 * step)
		square += slope * slope
	}
	return math.Sqrt(square)
}

// assemble checks the parts and turns them to mass fractions; weight is the mass of one unit of share.
func assemble[F quantity.MassFraction | quantity.VolumeFraction](parts []Part[F], basis string, weight func(Substance) float64) (Blend, error) {
	rest, err := checkParts(parts)
	if err != nil {
		return Blend{}, err
	}
	if err := checkSum(parts, rest, basis); err != nil {
		return Blend{}, err
	}
	b := Blend{substances: make([]Substance, len(parts)), mass: make([]float64, len(parts))}
	weights := make([]float64, len(parts))
	var stated, total float64
	for i, p := range parts {
		b.substances[i] = p.Substance
		weights[i] = weight(p.Substance)
		b.mass[i] = weights[i] * float64(p.Share)
		stated += float64(p.Share)
	}
	if rest >= 0 {
		b.mass[rest] = weights[rest] * max(0, 1-stated)
	}
	for _, m := range b.mass {
		total += m
	}
	for i := range b.mass {
		b.mass[i] /= total
	}
	for i, p := range parts {
		if u := math.Hypot(float64(p.Uncertainty), float64(p.HalfWidth)/math.Sqrt(3)); u > 0 {
			b.shifts = append(b.shifts, shift(b.mass, weights, i, rest, u/total))
		}
	}
	return b, nil
}

// shift is the change of all mass fractions when share i grows by u (in units
// of the total mass) and the rest, if any, gives way; else all are rescaled.
func shift(mass, weights []float64, i, rest int, u float64) []float64 {
	d := make([]float64, len(mass))
	d[i] = weights[i] * u
	if rest >= 0 {
		d[rest] -= weights[rest] * u
	}
	var grown float64
	for _, x := range d {
		grown += x
	}
	for j, w := range mass {
		d[j] -= w * grown
	}
	return d
}

// checkParts checks each part alone and returns the index of the rest, or −1.
func checkParts[F quantity.MassFraction | quantity.VolumeFraction](parts []Part[F]) (rest int, err error) {
	if len(parts) == 0 {
		return -1, errors.New("blend has no component, expected at least one")
	}
	rest = -1
	seen := map[Substance]bool{}
	for i, p := range parts {
		switch {
		case !p.Substance.Valid():
			return -1, fmt.Errorf("component %d names no substance", i+1)
		case seen[p.Substance]:
			return -1, fmt.Errorf("component %d: %s is named twice, give it once with its whole share", i+1, p.Substance)
		case p.Rest && rest >= 0:
			return -1, fmt.Errorf("%s and %s are both marked as the rest, mark one", parts[rest].Substance, p.Substance)
		case p.Rest && (p.Share != 0 || p.HalfWidth != 0 || p.Uncertainty != 0):
			return -1, fmt.Errorf("%s is marked as the rest and has a share of its own, give one of the two", p.Substance)
		case !(p.Share >= 0 && p.Share <= 1):
			return -1, fmt.Errorf("%s: share %.6g, expected 0 to 1", p.Substance, float64(p.Share))
		case !(p.HalfWidth >= 0 && p.HalfWidth <= 1) || !(p.Uncertainty >= 0 && p.Uncertainty <= 1):
			return -1, fmt.Errorf("%s: half-width %.6g and standard uncertainty %.6g, expected 0 to 1", p.Substance, float64(p.HalfWidth), float64(p.Uncertainty))
		}
		seen[p.Substance] = true
		if p.Rest {
			rest = i
		}
	}
	return rest, nil
}

// checkSum refuses shares that cannot sum to 1.
func checkSum[F quantity.MassFraction | quantity.VolumeFraction](parts []Part[F], rest int, basis string) error {
	var sum, low, high float64
	for _, p := range parts {
		reach := float64(p.HalfWidth) + 2*float64(p.Uncertainty)
		sum += float64(p.Share)
		low += max(0, float64(p.Share)-reach)
		high += min(1, float64(p.Share)+reach)
	}
	switch {
	case rest >= 0 && sum > 1+sumTolerance:
		return fmt.Errorf("components other than %s sum to %.4g %% by %s, expected at most 100 %% so that %s can be the rest", parts[rest].Substance, 100*sum, basis, parts[rest].Substance)
	case rest < 0 && low > 1+sumTolerance:
		return fmt.Errorf("components sum to %.4g %% by %s (%.4g %% at the low ends), expected 100 %%", 100*sum, basis, 100*low)
	case rest < 0 && high < 1-sumTolerance:
		return fmt.Errorf("components sum to %.4g %% by %s (%.4g %% at the high ends), expected 100 %%: name what is missing or mark one component as the rest", 100*sum, basis, 100*high)
	}
	return nil
}
