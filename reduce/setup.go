package reduce

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/matter/material"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// Setup is all that a burn does not say itself: the gear it used, where it
// stood, what the trial corrects to and the rules it follows. Zero-valued
// gear is gear that nobody named.
type Setup struct {
	Family gear.Family // of the burner, "" where nobody says
	Pot    gear.Pot
	Lid    gear.Lid
	Batch  gear.FuelBatch
	Tools  gear.Tools
	Site   burn.Site // the trial's site; what the burn gives itself leads

	Reference Reference
	Rules     Rules
	Units     quantity.System // of what is said; what was read keeps its own

	looked *lookedUp
}

// Reference is the boil that every burn is corrected to.
type Reference struct {
	Water    quantity.Mass
	From, To quantity.Temperature
}

// DefaultReference is 500 g of water from 20 °C to 100 °C (common practice, no source).
func DefaultReference() Reference {
	return Reference{Water: 500 * quantity.Gram, From: quantity.Celsius(20), To: quantity.Celsius(100)}
}

// Rules are the settings of the reduction. All are choices of this trade
// (common practice, no source) and stand in the trial's sheet when changed.
//
// BoilCall and BoilMark stand for two judgements and both count. Where one
// tester's eye makes both at once they overlap, and an uncertainty is rather
// too wide than too narrow; set one to 0 to count it once.
type Rules struct {
	Grace           time.Duration        // a boil this long after the flame's end still counts
	Proration       quantity.Ratio       // half-width of fuel to boil prorated from the total
	Range           quantity.Ratio       // corrections hold for rise and water within this share of the reference
	FuelRange       quantity.Ratio       // a heating value further from the reference than this is flagged
	LowestBoil      quantity.Temperature // corrections hold down to this boiling point
	HighEvaporation quantity.Ratio       // steam before the boil above this share of the water is flagged
	BoilCall        quantity.TempDiff    // half-width of the water temperature at which a boil is called: what "boiling" looks like
	BoilMark        time.Duration        // half-width of the boil mark by eye: when the eye saw it and the hand marked it
	Stratification  quantity.TempDiff    // half-width of start temperature for water not quite stirred
	Pressure        quantity.Pressure    // half-width of a station pressure that states none and whose barometer is not named
	Loss            quantity.Conductance // heat loss of a pot whose cooling was not measured
	LossHalf        quantity.Conductance // its half-width
}

// DefaultRules returns the rules a sheet starts from.
func DefaultRules() Rules {
	return Rules{
		Grace:           60 * time.Second,
		Proration:       0.15,
		Range:           0.20,
		FuelRange:       0.15,
		LowestBoil:      quantity.Celsius(93),
		HighEvaporation: 0.10,
		BoilCall:        0.5,
		BoilMark:        3 * time.Second,
		Stratification:  0.3,
		Pressure:        2 * quantity.Hectopascal,
		Loss:            1.0,
		LossHalf:        0.5,
	}
}

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
	var capacity, u float64
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
		u = math.Hypot(u, heat*float64(metal.Uncertainty))
	}
	l.pot = vessel{capacity, u}
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

// given reports a reading that was made and is a number in all its parts.
func given[T ~float64](r quantity.Reading[T]) bool {
	return r.Given && finite(float64(r.Value)) && finite(r.Step) && finite(r.Tolerance)
}

func finite(x float64) bool { return x-x == 0 }
