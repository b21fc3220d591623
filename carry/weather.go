package carry

import "fairburn/quantity"

// Wind is how hard it blows where the pot stands, in words.
type Wind string

// The classes; the zero value is Still.
const (
	Still  Wind = "still"
	Breeze Wind = "breeze"
	Windy  Wind = "wind"
	Gale   Wind = "gale"
)

// Winds lists them.
func Winds() []Wind { return []Wind{Still, Breeze, Windy, Gale} }

// Range is a factor or a figure that is known to lie between two ends and no
// better, with the reason for them. Draws take it as uniform.
type Range struct {
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Reason string  `json:"reason"`
}

// at is the value at share u of the way.
func (r Range) at(u float64) float64 { return r.Low + u*(r.High-r.Low) }

// Factor is what wind does to the fuel (and the time) of a boil, against still
// air. Nobody has published a measured series; the ends are hikers' single
// reports, filled up by ours where there are none, and Reason says which.
//
// Source: builders' logs and hikers' guides (single reports): two cups in 8 min
// became 10 in a steady breeze; almost 40 mL in place of 30 in a breeze without a
// screen; "three times the fuel" in strong wind; "3 to 4 times standard" at worst.
func (w Wind) Factor(screened bool) Range {
	switch {
	case w == Breeze && screened:
		return Range{1, 1.25, "a steady breeze made 8 minutes 10 in one builder's report"}
	case w == Breeze:
		return Range{1, 1.35, "almost 40 mL in place of 30 in one report of a breeze without a screen"}
	case w == Windy && screened:
		return Range{1.1, 1.6, "a test of burners inside close-fitting cones still found wind to count; the ends are a planner's choice (common practice, no source)"}
	case w == Windy:
		return Range{1.25, 3, "three times the fuel in strong wind, by one builder's log; the lower end is a planner's choice"}
	case w == Gale && screened:
		return Range{1.5, 3, "three times the fuel in strong wind, by one builder's log; the lower end is a planner's choice"}
	case w == Gale:
		return Range{2, 4, "three to four times standard at worst, by published guides; the lower end is a planner's choice"}
	}
	return Range{1, 1, "still air, as on the bench"}
}

// coldAir is the air temperature below which a spirit burner is primed.
var coldAir = quantity.Celsius(0)

// Priming is the fuel, in m³, that each boil on a spirit burner takes more in
// freezing air: a primer dish of 1 to 3 mL. That cold troubles the lighting and
// not the burning is what most say; heat lost by the pot is reckoned apart.
//
// Source: hikers' reports of use at −6, −8 and −14 °C; the limit of 0 °C is common
// practice, no source.
func Priming(air quantity.Reading[quantity.Temperature]) Range {
	if !air.Given || air.Value.Sub(coldAir) >= 0 {
		return Range{Reason: "no priming above 0 °C"}
	}
	return Range{1e-6, 3e-6, "a primer dish of 1 to 3 mL at each lighting in freezing air, by hikers' reports"}
}

// PlanningFuel is the published range of fuel, in kg a kg of water brought from 20
// to 100 °C, for a kind without own burns. It is no measurement of anything on the
// shelf.
//
// Source: planning figures in circulation in hikers' guides and builders' logs:
// spirit 22 to 60 g/L (59 to 22 % efficiency); gas 12 to 16 g/L; tablets about
// 13 g for 473 mL inside a cone, one report, its half-width of a fifth ours.
func PlanningFuel(k Kind) Range {
	switch k {
	case Spirit:
		return Range{22e-3, 60e-3, "published planning figures, 22 to 60 g a litre (hikers' guides and builders' logs)"}
	case Gas:
		return Range{12e-3, 16e-3, "published planning figures, 12 to 16 g a litre (hikers' guides)"}
	case Tablets:
		return Range{22e-3, 33e-3, "one report of 13 g for 473 mL inside a cone, give or take a fifth"}
	}
	return Range{Reason: "no fuel"}
}

// PlanningPower is the useful power, in W, by which waiting is reckoned without
// own burns.
//
// Source: useful powers worked back from published boil times of spirit burners,
// 0.40 to 0.62 kW, and of tablets (473 mL in 442 to 485 s); gas common practice, no
// source.
func PlanningPower(k Kind) Range {
	switch k {
	case Gas:
		return Range{800, 1600, "common practice, no source"}
	case Tablets:
		return Range{320, 360, "473 mL in 442 to 485 s in two published boils"}
	}
	return Range{400, 620, "0.40 to 0.62 kW, worked back from published boil times"}
}

// PlanningSimmer is the heat, in W of fuel burned, of a burner turned down, where
// none was measured: 10 mL of ethanol in 10 minutes to 40 mL in 50, taken for every
// kind.
//
// Source: a published guide to a closed burner with a simmer ring and hikers'
// reports: 10 mL 10 min, 20 mL 18 to 20 min, 40 mL 40 to 50 min.
func PlanningSimmer() Range {
	return Range{260, 350, "0.8 to 1 mL of spirit a minute under a simmer ring, by published guides"}
}

// notAsTested is the factor on fuel where pot, lid, screen or stand are not those
// that the burns were made with: efficiency belongs to the whole system.
var notAsTested = Range{0.9, 1.3, "the burns were made with other parts; the ends are common practice, no source"}

// Planning scatter, where burns are too few to show their own: the standard
// deviation of the log of fuel from burn to burn (common practice, no source).
const planningScatter = 0.10

// Defaults of a leg that says nothing (common practice, no source).
const (
	defaultStart     = 10.0 // °C
	defaultStartHalf = 5.0  // K
)
