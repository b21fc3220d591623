package fuel

import (
	"fmt"
	"strings"

	"fairburn/finding"
	"fairburn/quantity"
)

// Bounds of the density of fuel-strength spirit at 20 °C, kg/m³: nothing in the
// table is lighter than 2-propanol, and ethanol of 92.5 % by volume weighs 821.
const (
	lightestSpirit = 785.0
	heaviestSpirit = 820.0
	spiritSlope    = 1.1e-3 // 1/K, mean of ethanol and methanol
)

// CheckDensity says what a density measured at t, or a mass divided by a
// volume, tells about a spirit. It always says that density finds the water and
// not the methanol. A fluid ounce "of 21 g" is 710 kg/m³: no alcohol.
// Error outside −10 to 40 °C.
func CheckDensity(rho quantity.Density, t quantity.Temperature) ([]finding.Finding, error) {
	if c := t.Celsius(); !(c >= -10 && c <= 40) {
		return nil, outOfRange("density of a spirit: temperature in °C", c, -10, 40, "linear expansion about 20 °C")
	}
	at20 := float64(rho) / (1 - spiritSlope*(t.Celsius()-20))
	found := []finding.Finding{densityFindsWater}
	read := fmt.Sprintf("density %.3f g/mL at 20 °C (%.1f g in a US fluid ounce)", at20/1000, at20*1000*float64(quantity.USFluidOunce))
	expected := fmt.Sprintf("expected %.3f to %.3f g/mL for fuel-strength spirit", lightestSpirit/1000, heaviestSpirit/1000)
	switch {
	case !(at20 >= lightestSpirit) || at20 > float64(Water.row().Density20):
		found = append(found, finding.Finding{
			Code: "implausible_fuel_density", Severity: finding.Caution,
			Sentence: read + ", " + expected + ": this is no alcohol",
			Remedy:   "weigh a known volume again; ask whether an ounce of mass and a fluid ounce were mixed up",
		})
	case at20 > heaviestSpirit:
		q := byVolume(bisect(func(p float64) float64 { return at20 - ethanolWater(p, 20) }, 0, 1), 20)
		found = append(found, finding.Finding{
			Code: "watery_fuel_density", Severity: finding.Caution,
			Sentence: fmt.Sprintf("%s, %s: ethanol and water alone would be %.1f %% vol", read, expected, 100*q),
			Remedy:   "state the strength of the fuel, since its water lowers the heating value",
		})
	}
	return found, nil
}

var densityFindsWater = finding.Finding{
	Code: "density_finds_water", Severity: finding.Note,
	Sentence: "density finds water, not methanol: ethanol and methanol differ by 0.3 % in density and by 26 % in net heating value",
	Remedy:   "take the share of methanol from the label or the safety data sheet",
}

// Findings says what a reader of figures from this blend must know: a
// composition without a range, one whose range matters, methanol, and gaps in
// the data behind its density and boiling point.
func (b Blend) Findings() []finding.Finding {
	var found []finding.Finding
	found = append(found, b.rangeFindings()...)
	if b.MassFraction(Methanol) > 0 {
		found = append(found, densityFindsWater, finding.Finding{
			Code: "methanol_poison", Severity: finding.Note,
			Sentence: "the fuel holds methanol, poisonous by mouth, through the skin and as vapour; its smell does not warn",
			Remedy:   "follow the safety data sheet of the bottle",
		})
	}
	if b.looseWater() {
		found = append(found, finding.Finding{
			Code: "no_contraction_data", Severity: finding.Caution,
			Sentence: "no data for the contraction of water with " + b.others(Water) + ": density may err by some 3 %",
			Remedy:   "weigh the fuel instead of measuring its volume",
		})
	}
	if missing := b.missingPairs(); len(missing) > 0 {
		found = append(found, finding.Finding{
			Code: "wilson_pair_missing", Severity: finding.Caution,
			Sentence: "no activity data for " + strings.Join(missing, ", ") + ": taken as ideal, vapour pressure and boiling point are rough",
		})
	}
	return found
}

// rangeFindings are about what is not known of the composition.
func (b Blend) rangeFindings() []finding.Finding {
	if len(b.shifts) == 0 {
		if len(b.substances) < 2 {
			return nil
		}
		return []finding.Finding{{
			Code: "composition_without_range", Severity: finding.Caution,
			Sentence: "the composition is given as exact, expected a range: what is sold as one fuel differs from batch to batch",
			Remedy:   "give each component the range that the label or the safety data sheet prints",
		}}
	}
	value, _ := b.LHV()
	u := b.spread(func(mass []float64) float64 {
		return b.mean(mass, func(s Substance) float64 { return float64(s.LHV()) })
	})
	if share := u / float64(value); share > heatDataUncertainty {
		return []finding.Finding{{
			Code: "composition_is_range", Severity: finding.Note,
			Sentence: fmt.Sprintf("the stated ranges of the composition bring %.1f %% standard uncertainty to the net heating value of %.2f MJ/kg", 100*share, float64(value)/1e6),
			Remedy:   "compare burners on one bottle, where this cancels",
		}}
	}
	return nil
}

// looseWater tells water with liquids but no alcohol to take it up.
func (b Blend) looseWater() bool {
	if b.MassFraction(Water) == 0 || b.MassFraction(Water) == 1 {
		return false
	}
	for i, s := range b.substances {
		if s.isAlcohol() && b.mass[i] > 0 {
			return false
		}
	}
	return true
}

// others names all substances but one.
func (b Blend) others(but Substance) string {
	var names []string
	for _, s := range b.substances {
		if s != but {
			names = append(names, s.String())
		}
	}
	return strings.Join(names, ", ")
}

// missingPairs names the pairs present for which no source has Wilson parameters.
func (b Blend) missingPairs() []string {
	var missing []string
	for i, s := range b.substances {
		for j := range i {
			if _, ok := wilson(b.substances[j], s, 300); !ok && b.mass[i] > 0 && b.mass[j] > 0 {
				missing = append(missing, b.substances[j].String()+" with "+s.String())
			}
		}
	}
	return missing
}

// Cautions are the usual words to print beside a fuel. They claim no safety;
// local rules and the maker's instructions come first. Methanol adds one.
// Source: common practice; methanol: National Research Council, Prudent
// Practices in the Laboratory, chemical safety summary.
func (b Blend) Cautions() []string {
	words := []string{
		"burn outdoors or with strong ventilation; carbon monoxide cannot be smelled",
		"never refuel a hot or burning cup; the flame can be invisible in daylight",
		"a closed, part-full bottle at room temperature can hold an explosive mixture; keep flames away from it",
		"local rules and the maker's instructions come first",
	}
	if b.MassFraction(Methanol) > 0 {
		words = append(words, "holds methanol: poisonous by mouth, through the skin and as vapour; its smell does not warn")
	}
	return words
}
