package fuel

import (
	"fmt"
	"math"

	"fairburn/quantity"
)

// Bubble is the first boiling of a blend: the temperature where it boils and
// what the first vapour is made of. Light parts leave first and the rest boils
// hotter, so a cup's last drops are not at this temperature.
type Bubble struct {
	Temperature quantity.Temperature
	Pressure    quantity.Pressure
	Vapour      []Share // mole and mass fractions of the vapour, in the order of the blend; no uncertainty
}

// wilsonPair holds the Wilson parameters Λ_ij = exp(a_ij + b_ij/T) of a pair, both ways.
type wilsonPair struct {
	i, j               Substance
	aij, bij, aji, bji float64
}

// wilsonPairs. Source: ChemSep Wilson parameter file (as in the open thermo
// library); ethanol and water fitted to the x-y-T rows of Perry's Chemical
// Engineers' Handbook, 4th ed., p. 13-5, with the azeotrope weighted, since the
// ChemSep row puts it at 94.7 instead of 95.6 % by mass. Over 15 of those rows
// the fit leaves 0.005 in y and 0.14 K on average, at worst 0.012 and 0.65 K.
// Methanol and water: within 0.005 and 0.3 K above 55 % methanol by mass, up to
// 0.02 and 0.7 K off in the watery end.
// Not for telling whether MEK and water part into layers.
var wilsonPairs = []wilsonPair{
	{Ethanol, Water, -1.1769, -192.1, 1.1769, -467.2},
	{Methanol, Water, -0.81219, -103.311, 0.81219, -242.632},
	{Propanol2, Water, -1.44838, -220.400, 1.44838, -623.487},
	{Propanol1, Water, -1.42257, -390.238, 1.42257, -680.301},
	{Methanol, Ethanol, 0.36474, 33.063, -0.36474, -72.295},
	{Ethanol, Propanol2, 0.27145, 130.318, -0.27145, -240.110},
	{Ethanol, MEK, 0.43092, -349.276, -0.43092, 75.381},
	{EthylAcetate, Ethanol, -0.51997, -1.005, 0.51997, -337.942},
	{Acetone, Ethanol, -0.23084, -101.463, 0.23084, -126.588},
	{Acetone, Water, -1.40777, -221.235, 1.40777, -707.270},
	{MEK, Water, -1.60785, -3427.60, 1.60785, -950.507},
}

// wilson returns Λ_ij at T in kelvin, and false where no source has the pair (Λ = 1 then).
func wilson(i, j Substance, kelvin float64) (float64, bool) {
	if i == j {
		return 1, true
	}
	for _, p := range wilsonPairs {
		switch {
		case p.i == i && p.j == j:
			return math.Exp(p.aij + p.bij/kelvin), true
		case p.i == j && p.j == i:
			return math.Exp(p.aji + p.bji/kelvin), true
		}
	}
	return 1, false
}

// activities are the activity coefficients of the Wilson equation:
//
//	ln γ_k = 1 − ln(Σ_j x_j Λ_kj) − Σ_i x_i Λ_ik/Σ_j x_j Λ_ij
//
// Source: Wilson, 1964, J. Am. Chem. Soc. 86, 127 (from memory).
func (b Blend) activities(x []float64, kelvin float64) []float64 {
	n := len(x)
	lambda := make([][]float64, n)
	sums := make([]float64, n)
	for i := range lambda {
		lambda[i] = make([]float64, n)
		for j := range lambda[i] {
			lambda[i][j], _ = wilson(b.substances[i], b.substances[j], kelvin)
			sums[i] += x[j] * lambda[i][j]
		}
	}
	gamma := make([]float64, n)
	for k := range gamma {
		log := 1 - math.Log(sums[k])
		for i := range x {
			log -= x[i] * lambda[i][k] / sums[i]
		}
		gamma[k] = math.Exp(log)
	}
	return gamma
}

// partials are the partial pressures x·γ·Psat in Pa; their sum is the vapour pressure.
func (b Blend) partials(kelvin float64) (each []float64, total float64) {
	x := b.moleFractions()
	each = b.activities(x, kelvin)
	for i, s := range b.substances {
		each[i] *= x[i] * s.saturation(kelvin)
		total += each[i]
	}
	return each, total
}

// vapourRange is where all components have a vapour pressure.
func (b Blend) vapourRange() (low, high float64, err error) {
	if len(b.mass) == 0 {
		return 0, 0, fmt.Errorf("vapour pressure: blend has no component")
	}
	low, high = 0, math.Inf(1)
	for _, s := range b.substances {
		l, h := s.vapourRange()
		low, high = max(low, l), min(high, h)
	}
	return low, high, nil
}

// VapourPressure is the pressure of the vapour over the blend at t: Σ x·γ·Psat
// with Wilson activities and ideal vapour. Pairs without a source count as
// ideal (Λ = 1), which Findings says. Error outside the range that all
// components share. Source: as activities and Substance.VapourPressure.
func (b Blend) VapourPressure(t quantity.Temperature) (quantity.Pressure, error) {
	low, high, err := b.vapourRange()
	if err != nil {
		return 0, err
	}
	if k := t.Kelvin(); !(k >= low && k <= high) {
		return 0, outOfRange("vapour pressure of the blend: temperature in °C", t.Celsius(), low-273.15, high-273.15, "Poling 2001 and Perry 2008")
	}
	_, p := b.partials(t.Kelvin())
	return quantity.Pressure(p), nil
}

// BubblePoint is where the blend begins to boil at pressure p, by bisection on
// VapourPressure; the error names the pressures that can be asked.
func (b Blend) BubblePoint(p quantity.Pressure) (Bubble, error) {
	low, high, err := b.vapourRange()
	if err != nil {
		return Bubble{}, err
	}
	_, least := b.partials(low)
	_, most := b.partials(high)
	if !(float64(p) >= least && float64(p) <= most) {
		return Bubble{}, outOfRange("boiling point of the blend: pressure in Pa", float64(p), least, most, "Poling 2001 and Perry 2008")
	}
	kelvin := bisect(func(k float64) float64 { _, total := b.partials(k); return total - float64(p) }, low, high)
	partials, total := b.partials(kelvin)
	vapour := make([]Share, len(partials))
	var molarMass float64
	for i, part := range partials {
		molarMass += part / total * b.substances[i].row().MolarMass
	}
	for i, part := range partials {
		y := part / total
		vapour[i] = Share{
			Substance: b.substances[i],
			Mass:      quantity.MassFraction(y * b.substances[i].row().MolarMass / molarMass),
			Moles:     quantity.Ratio(y),
		}
	}
	return Bubble{quantity.Kelvin(kelvin), p, vapour}, nil
}
