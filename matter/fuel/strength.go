package fuel

import (
	"fmt"

	"fairburn/quantity"
)

// Strength is alcohol by volume as labels print it: the volume of ethanol in
// the volume of the mixture after mixing, both at 20 °C, from 0 to 1. It is not
// a quantity.VolumeFraction, which counts volumes before mixing: "95 % vol" is
// 93.9 % of the volumes poured together, since ethanol and water contract.
type Strength float64

// Proof is US proof, from 0 to 200: twice the per cent of ethanol by volume of
// the mixture, both at 60 °F (15.56 °C).
type Proof float64

var proofTemperature = quantity.Fahrenheit(60)

// EthanolWaterDensity is the density of ethanol and water with mass fraction p
// of ethanol, 0 to 1, at t from −20 to 40 °C, liquid:
//
//	ρ = Σ A_k p^(k−1) + Σ B_k τ^k + Σ_i Σ_k C_ik p^k τ^i,  τ = t/°C − 20
//
// Temperatures are IPTS-68, under 0.01 K from today's scale here. Below 0 °C a
// mixture poor in ethanol freezes; the formula does not know.
// Source: OIML R 22, 1975, International Alcoholometric Tables, general formula and its coefficients.
func EthanolWaterDensity(p quantity.MassFraction, t quantity.Temperature) (quantity.Density, error) {
	if !(p >= 0 && p <= 1) {
		return 0, outOfRange("ethanol mass fraction", float64(p), 0, 1, "OIML R 22")
	}
	if err := alcoholometricRange(t); err != nil {
		return 0, err
	}
	return quantity.Density(ethanolWater(float64(p), t.Celsius())), nil
}

func alcoholometricRange(t quantity.Temperature) error {
	if c := t.Celsius(); !(c >= -20 && c <= 40) {
		return outOfRange("density of ethanol and water: temperature in °C", c, -20, 40, "OIML R 22")
	}
	return nil
}

// ethanolWater is EthanolWaterDensity in plain numbers, unchecked.
func ethanolWater(p, celsius float64) float64 {
	tau := celsius - 20
	var cross [5]float64 // Σ_k C_ik p^k for each power of τ
	for i, c := range r22C {
		cross[i] = p * horner(c, p)
	}
	return horner(r22A, p) + tau*horner(r22B, tau) + tau*horner(cross[:], tau)
}

// horner evaluates c[0] + c[1]·x + c[2]·x² + ...
func horner(c []float64, x float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// MassFraction converts alcohol by volume to mass fraction of ethanol, by
// bisection of q = p·ρ(p, 20 °C)/ρ(1, 20 °C). Source: OIML R 22.
func (q Strength) MassFraction() (quantity.MassFraction, error) {
	if !(q >= 0 && q <= 1) {
		return 0, outOfRange("alcohol by volume in %", 100*float64(q), 0, 100, "OIML R 22")
	}
	return massFraction(float64(q), 20), nil
}

// MassFraction converts US proof to mass fraction of ethanol, as Strength does
// but at 60 °F. Source: OIML R 22; definition of proof 27 CFR 30.11.
func (p Proof) MassFraction() (quantity.MassFraction, error) {
	if !(p >= 0 && p <= 200) {
		return 0, outOfRange("US proof", float64(p), 0, 200, "27 CFR 30.11")
	}
	return massFraction(float64(p)/200, proofTemperature.Celsius()), nil
}

// massFraction inverts byVolume, which rises with p throughout.
func massFraction(q, celsius float64) quantity.MassFraction {
	return quantity.MassFraction(bisect(func(p float64) float64 { return byVolume(p, celsius) - q }, 0, 1))
}

// byVolume is the volume of ethanol in the volume of the mixture, both at one temperature.
func byVolume(p, celsius float64) float64 {
	return p * ethanolWater(p, celsius) / ethanolWater(1, celsius)
}

// StrengthOf is the alcohol by volume of a mass fraction of ethanol in water.
// Source: OIML R 22.
func StrengthOf(p quantity.MassFraction) (Strength, error) {
	if !(p >= 0 && p <= 1) {
		return 0, outOfRange("ethanol mass fraction", float64(p), 0, 1, "OIML R 22")
	}
	return Strength(byVolume(float64(p), 20)), nil
}

// ProofOf is the US proof of a mass fraction of ethanol in water. Source: as Proof.MassFraction.
func ProofOf(p quantity.MassFraction) (Proof, error) {
	if !(p >= 0 && p <= 1) {
		return 0, outOfRange("ethanol mass fraction", float64(p), 0, 1, "OIML R 22")
	}
	return Proof(200 * byVolume(float64(p), proofTemperature.Celsius())), nil
}

// MassFractionOfDensity reads the mass fraction of ethanol from a density
// measured at t, for ethanol and water and nothing else: a density finds the
// water, never the methanol (see CheckDensity). One kelvin misread is 0.22 %
// by volume near 95 %. The error names the densities possible at t.
// Source: OIML R 22, inverted by bisection; it falls with p throughout.
func MassFractionOfDensity(rho quantity.Density, t quantity.Temperature) (quantity.MassFraction, error) {
	if err := alcoholometricRange(t); err != nil {
		return 0, err
	}
	c := t.Celsius()
	low, high := ethanolWater(1, c), ethanolWater(0, c)
	if !(float64(rho) >= low && float64(rho) <= high) {
		return 0, outOfRange(fmt.Sprintf("ethanol and water at %.4g °C: density in kg/m³", c), float64(rho), low, high, "OIML R 22")
	}
	return quantity.MassFraction(bisect(func(p float64) float64 { return float64(rho) - ethanolWater(p, c) }, 0, 1)), nil
}

// Coefficients of OIML R 22 (1975), kg/m³, as printed there and in the annex of Directive 76/766/EEC.
var (
	r22A = []float64{9.982012300e2, -1.929769495e2, 3.891238958e2, -1.668103923e3, 1.352215441e4, -8.829278388e4,
		3.062874042e5, -6.138381234e5, 7.470172998e5, -5.478461354e5, 2.234460334e5, -3.903285426e4}
	r22B = []float64{-2.0618513e-1, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11}
	r22C = [5][]float64{
		{1.693443461530087e-1, -1.046914743455169e1, 7.196353469546523e1, -7.047478054272792e2, 3.924090430035045e3,
			-1.210164659068747e4, 2.248646550400788e4, -2.605562982188164e4, 1.852373922069467e4, -7.420201433430137e3,
			1.285617841998974e3},
		{-1.193013005057010e-2, 2.517399633803461e-1, -2.170575700536993, 1.353034988843029e1, -5.029988758547014e1,
			1.096355666577570e2, -1.422753946421155e2, 1.080435942856230e2, -4.414153236817392e1, 7.442971530188783},
		{-6.802995733503803e-4, 1.876837790289664e-2, -2.002561813734156e-1, 1.022992966719220, -2.895696483903638,
			4.810060584300675, -4.672147440794683, 2.458043105903461, -5.411227621436812e-1},
		{4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6},
		{-2.788074354782409e-8, 1.345612883493354e-8},
	}
)
