package reduce

import (
	"fmt"
	"math"

	"fairburn/finding"
	"fairburn/quantity"
)

// Mean specific heat of water from 20 to 100 °C and its latent heat at 100 °C,
// for claims that give a rise and not its ends.
//
// Source: IAPWS R7-97, enthalpy differences (matter/water).
const (
	claimedHeat  = 4188.6   // J/(kg·K)
	claimedSteam = 2256.5e3 // J/kg
)

// ClaimedHeat is the heat that a claim puts into water by its rise, and into
// the steam if it counts any. Mean specific heat depends on the ends of the rise,
// which are unknown: within 0.1 % for one that ends at 90 °C or more, 0.25 % for any.
func ClaimedHeat(water quantity.Mass, rise quantity.TempDiff, steam quantity.Mass) quantity.Energy {
	return quantity.Energy(float64(water)*claimedHeat*float64(rise) + float64(steam)*claimedSteam)
}

// Claim is a published or recalled heating test with its inputs: what was
// heated, what was burned, and the efficiency that was stated, if any. It is
// the arithmetic of a school calorimeter with the heats named, for checking
// figures against their own inputs.
type Claim struct {
	Heat         quantity.Energy // into the water, pot and steam, as the claim counts it
	Fuel         quantity.Mass
	HeatingValue quantity.SpecificEnergy // the one the claim uses, net or gross
	Stated       quantity.Ratio          // 0: none
}

// Efficiency returns heat over fuel energy with what looks wrong about it: an
// efficiency above 1 cannot be, one above 0.75 or below 0.02 is most often a
// unit, and a stated one must agree with its own inputs within 1 %.
func (c Claim) Efficiency() (quantity.Ratio, []finding.Finding) {
	eta := float64(c.Heat) / (float64(c.Fuel) * float64(c.HeatingValue))
	if !(eta >= 0) || math.IsInf(eta, 0) {
		return quantity.Ratio(math.NaN()), []finding.Finding{{
			Code: "claim_incomplete", Severity: finding.Fault, Sentence: "the claim gives no efficiency: heat, fuel and heating value must be above zero",
			Remedy: "write all three",
		}}
	}
	fs := checkEfficiency(eta)
	if c.Stated > 0 && math.Abs(eta/float64(c.Stated)-1) > 0.01 {
		fs = append(fs, finding.Finding{
			Code: "published_eta_inconsistent", Severity: finding.Caution,
			Sentence: fmt.Sprintf("the stated efficiency is %.1f %% and its own inputs give %.1f %%", float64(c.Stated)*100, eta*100),
			Remedy:   "check the inputs and their units before using the figure",
		})
	}
	return quantity.Ratio(eta), fs
}

// checkEfficiency is the sanity of any efficiency (common practice, no source,
// but for the first: no burner gives more heat than its fuel holds).
func checkEfficiency(eta float64) []finding.Finding {
	say := func(code string, sev finding.Severity, expected, remedy string) []finding.Finding {
		return []finding.Finding{{Code: code, Severity: sev, Sentence: fmt.Sprintf("efficiency %.3g: expected %s", eta, expected), Remedy: remedy}}
	}
	switch {
	case eta > 1:
		return say("eta_above_1", finding.Fault, "at most 1", "check the masses, their units and the fuel's strength")
	case eta > 0.75:
		return say("eta_above_0.75", finding.Caution, "0.2 to 0.75 for a small spirit burner", "check the masses and the fuel's strength")
	case eta < 0.02:
		return say("eta_below_0.02", finding.Caution, "0.2 to 0.75 for a small spirit burner", "check the units")
	}
	return nil
}
