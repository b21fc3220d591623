package fuel

import (
	"fmt"
	"math"

	"fairburn/quantity"
)

// What a heating value counts; print it beside every one.
const (
	LHVBasis = "net heating value (LHV): liquid fuel at 25 °C, water formed leaves as vapour"
	HHVBasis = "gross heating value (HHV): liquid fuel at 25 °C, water formed is liquid"
)

// heatDataUncertainty is the relative standard uncertainty of the heating value
// of a named pure fuel, from the spread of sources (formation enthalpies of two
// compilations 0.05 to 0.13 %, fuel averages 0.5 to 0.9 % higher). It also
// covers the heat of mixing left out, under 0.2 %.
const heatDataUncertainty = 0.003

// Formation enthalpies of the products at 25 °C, J/mol.
// Source: NASA CEA thermo.inp (CO2, H2O gas); CODATA Key Values (H2O liquid, from memory).
const (
	formationCO2         = -393.51e3
	formationWaterGas    = -241.826e3
	formationWaterLiquid = -285.830e3
)

// Dry air for the air need. Source: from memory, as in the US Standard Atmosphere, 1976, Table 3.
const (
	airMolarMass = 28.9647e-3 // kg/mol
	airOxygen    = 0.20946    // mole fraction
)

// LHV is the net heating value of the pure liquid (LHVBasis); water itself is
// negative, since it must be evaporated: LHV = −[C·ΔfH(CO2) + H/2·ΔfH(H2O,g) − ΔfH(l)]/M.
// Source: formation enthalpies of the table.
func (s Substance) LHV() quantity.SpecificEnergy { return s.heat(formationWaterGas) }

// HHV is the gross heating value of the pure liquid (HHVBasis): as LHV with
// liquid water formed; 0 for water.
func (s Substance) HHV() quantity.SpecificEnergy { return s.heat(formationWaterLiquid) }

func (s Substance) heat(formationWater float64) quantity.SpecificEnergy {
	d := s.row()
	released := d.Formation - d.Atoms.C*formationCO2 - d.Atoms.H/2*formationWater
	return quantity.SpecificEnergy(released / d.MolarMass)
}

// LHV is the net heating value of the blend (LHVBasis), Σ w_i·LHV_i with water
// counted at −2.44 MJ/kg, and its standard uncertainty: stated ranges with the
// sum kept at 1, and 0.3 % for the data.
func (b Blend) LHV() (value, u quantity.SpecificEnergy) { return b.heat(Substance.LHV) }

// HHV is the gross heating value of the blend (HHVBasis), with its standard
// uncertainty as for LHV.
func (b Blend) HHV() (value, u quantity.SpecificEnergy) { return b.heat(Substance.HHV) }

func (b Blend) heat(of func(Substance) quantity.SpecificEnergy) (value, u quantity.SpecificEnergy) {
	mean := func(mass []float64) float64 { return b.mean(mass, func(s Substance) float64 { return float64(of(s)) }) }
	h := mean(b.mass)
	return quantity.SpecificEnergy(h), quantity.SpecificEnergy(math.Hypot(b.spread(mean), heatDataUncertainty*h))
}

// mean is the mean of a property of the substances weighted by mass.
func (b Blend) mean(mass []float64, of func(Substance) float64) float64 {
	var sum float64
	for i, w := range mass {
		sum += w * of(b.substances[i])
	}
	return sum
}

// AirFuelRatio is the mass of dry air that burns 1 kg of the blend completely:
// Σ w_i·(C + H/4 − O/2)·28.9647/(0.20946·M_i); water counts 0.
func (b Blend) AirFuelRatio() quantity.Ratio {
	return quantity.Ratio(b.mean(b.mass, func(s Substance) float64 {
		d := s.row()
		oxygen := d.Atoms.C + d.Atoms.H/4 - d.Atoms.O/2
		return oxygen * airMolarMass / (airOxygen * d.MolarMass)
	}))
}

// EquivalentMass is the mass of another fuel with the net heat of m of this
// one: m·LHV/LHV(other). Both must have a positive LHV.
func (b Blend) EquivalentMass(m quantity.Mass, other Blend) (quantity.Mass, error) {
	mine, _ := b.LHV()
	theirs, _ := other.LHV()
	if !(mine > 0 && theirs > 0) {
		return 0, fmt.Errorf("equivalent mass: net heating values %.4g and %.4g MJ/kg, expected both above 0", float64(mine)/1e6, float64(theirs)/1e6)
	}
	return m * quantity.Mass(mine/theirs), nil
}
