package reduce

import (
	"time"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
)

// Setup is all that a burn does not say itself: the gear it used, where it
// stood, what the trial corrects to and the rules it follows. Zero-valued
// gear is gear that nobody named.
type Setup struct {
	Pot   gear.Pot
	Lid   gear.Lid
	Batch gear.FuelBatch
	Tools gear.Tools
	Site  burn.Site // the trial's site; what the burn gives itself leads

	Reference Reference
	Rules     Rules

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
type Rules struct {
	Grace           time.Duration        // a boil this long after the flame's end still counts (R2)
	Proration       quantity.Ratio       // half-width of fuel to boil prorated from the total (R9)
	Range           quantity.Ratio       // corrections hold for rise and water within this share of the reference
	FuelRange       quantity.Ratio       // a heating value further from the reference than this is flagged
	LowestBoil      quantity.Temperature // corrections hold down to this boiling point
	HighEvaporation quantity.Ratio       // steam before the boil above this share of the water is flagged (R8)
	BoilCall        quantity.TempDiff    // half-width of the water temperature at which a boil is called
	BoilMark        time.Duration        // half-width of the boil mark by eye
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
