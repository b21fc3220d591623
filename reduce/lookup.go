package reduce

import (
	"cmp"
	"fmt"
	"math"

	"fairburn/finding"
	"fairburn/matter/fuel"
	"fairburn/matter/material"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// lookedUp holds the properties that all burns of a setup have in common.
type lookedUp struct {
	batch     batch
	pot       vessel
	reference float64 // J/kg, enthalpy over the reference rise; NaN when it cannot be
	found     []finding.Finding
}

// batch is a fuel with its properties; what is unknown is NaN.
type batch struct {
	blend       fuel.Blend
	known       bool // the composition
	lhv, lhvU   float64
	density     float64 // at 20 °C
	densityU    float64
	equivalence float64 // LHV over that of the reference fuel, ethanol
}

// vessel is the heat capacity of pot and lid, J/K; NaN when it is unknown.
type vessel struct{ capacity, u float64 }

// Prepared returns the setup with the properties of its fuel, pot and reference
// looked up, so that many burns of one entry need not do it again. Change
// gear or reference before, not after.
func (s Setup) Prepared() Setup {
	l := &lookedUp{reference: nan}
	l.lookUpFuel(s)
	l.lookUpPot(s)
	l.lookUpReference(s.Reference)
	s.looked = l
	return s
}

func (l *lookedUp) say(code string, sev finding.Severity, field, sentence, remedy string) {
	l.found = append(l.found, finding.Finding{Code: code, Severity: sev, Where: finding.Place{Field: field}, Sentence: sentence, Remedy: remedy})
}

// referenceFuel is the fuel in whose grams energies to boil are said.
const referenceFuel = fuel.Ethanol

func (l *lookedUp) lookUpFuel(s Setup) {
	l.batch = batch{lhv: nan, lhvU: nan, density: nan, densityU: nan, equivalence: nan}
	blend, err := s.Batch.Blend()
	if err != nil {
		sentence := err.Error()
		if s.Batch.Name == "" {
			sentence = "no fuel is named, so nothing is known of its heat"
		}
		l.say("fuel_unknown", finding.Caution, "fuel", sentence, "write its strength, such as 95 % vol, or its components")
		return
	}
	f := &l.batch
	f.blend, f.known = blend, true
	if rho, u, err := blend.Density(quantity.Celsius(20)); err == nil {
		f.density, f.densityU = float64(rho), float64(u)
	}
	lhv, u := blend.LHV()
	if lhv <= 0 {
		l.say("fuel_without_heat", finding.Fault, "fuel", fmt.Sprintf("fuel %q holds %.1f MJ/kg: it does not burn", s.Batch.Name, float64(lhv)/1e6), "check its strength")
		return
	}
	f.lhv, f.lhvU, f.equivalence = float64(lhv), float64(u), float64(lhv/referenceFuel.LHV())
	if math.Abs(f.equivalence-1) > float64(s.Rules.FuelRange) {
		l.say("fuel_far_from_reference", finding.Note, "fuel",
			fmt.Sprintf("this fuel holds %.1f MJ/kg where the reference, ethanol, holds %.1f: fuel as ethanol is energy said in grams, and a burner may run differently on another fuel",
				f.lhv/1e6, float64(referenceFuel.LHV())/1e6), "carry by the fuel burned; compare burners on one fuel")
	}
}

// midRise is the temperature at which a pot's specific heat is taken: the
// middle of a rise from 20 to 100 °C.
var midRise = quantity.Celsius(60)

// lookUpPot adds the heat capacities of pot and lid.
func (l *lookedUp) lookUpPot(s Setup) {
	l.pot = vessel{nan, nan}
	if s.Pot.Name == "" {
		l.say("pot_heat_unknown", finding.Note, "pot", "no pot is named, so the heat that it takes up is unknown", "name the pot, weigh it and name its material")
		return
	}
	var capacity, square float64
	for _, part := range [...]struct {
		name, material string
		mass           quantity.Reading[quantity.Mass]
	}{{s.Pot.Name, s.Pot.Material, s.Pot.Mass}, {s.Lid.Name, s.Lid.Material, s.Lid.Mass}} {
		if part.name == "" {
			continue
		}
		if !(given(part.mass) && part.mass.Value >= 0) {
			l.say("pot_heat_unknown", finding.Note, "pot", fmt.Sprintf("the heat that %s takes up is unknown: it was not weighed", part.name), "weigh it")
			return
		}
		metal, err := material.Find(part.material)
		if err != nil {
			l.say("pot_heat_unknown", finding.Note, "pot", fmt.Sprintf("the heat that %s takes up is unknown: %v", part.name, err), "name its material")
			return
		}
		c, _ := metal.SpecificHeat(midRise) // every material has it there
		heat := float64(part.mass.Value) * float64(c)
		capacity += heat
		square += math.Pow(heat*float64(metal.Uncertainty), 2)
	}
	l.pot = vessel{capacity, math.Sqrt(square)}
}

func (l *lookedUp) lookUpReference(ref Reference) {
	from, errFrom := water.Enthalpy(ref.From, quantity.StandardAtmosphere)
	to, errTo := water.Enthalpy(ref.To, quantity.StandardAtmosphere)
	if cmp.Or(errFrom, errTo) != nil || !(ref.Water > 0) || math.IsInf(float64(ref.Water), 1) || ref.To.Sub(ref.From) <= 0 {
		l.say("reference_impossible", finding.Fault, "reference", "the reference conditions do not describe heating liquid water", "write water, from and to such as 500 g, 20 °C and 100 °C")
		return
	}
	l.reference = float64(to - from)
}

// given reports a reading that was made and is a number.
func given[T ~float64](r quantity.Reading[T]) bool {
	return r.Given && finite(float64(r.Value))
}

func finite(x float64) bool { return x-x == 0 }
