package reduce

import "fairburn/quantity"

// Metric names one figure of a burn. Its key is the same in JSON, tables,
// captions and data files, and carries the unit.
type Metric int

// The metrics. Times without a word are from light; heating metrics run from
// pot-on. Symbols follow the equations beside them in heat.go.
const (
	BloomTime        Metric = iota // t_bloom: light to bloom
	BoilTime                       // t_raw: light to boil
	HeatTime                       // pot-on to boil
	BurnTime                       // light to flame-out, or to snuffing (then a lower bound)
	Correction                     // K: time of the reference boil over time of this one
	RefTime                        // t_ref: light to boil at reference conditions
	WBTTime                        // t75: pot-on to boil for a rise of 75 K, only to compare with such figures
	FuelToBoil                     // m_f,boil
	FuelTotal                      // m_f
	FuelPrime                      // m_prime
	RefFuel                        // f_ref: ethanol that holds the energy to boil at reference conditions
	RefFuelBatch                   // the same energy in the fuel burned
	RefFuelVolume                  // the same in millilitres of it at 20 °C
	FuelPerWater                   // f_L
	EnergyPerWater                 // E_spec
	HeatingValue                   // LHV of the fuel as burned
	BoilingPoint                   // T_b at the bench
	HeatWater                      // Q_w
	HeatPot                        // Q_pot
	HeatSteam                      // Q_ev
	EnergyIn                       // E_in: net energy of the fuel burned from light, prime and all, to the boil
	EtaWater                       // Q_w/E_in
	EtaWaterEvap                   // (Q_w+Q_ev)/E_in
	EtaWaterPot                    // (Q_w+Q_pot)/E_in
	EtaAll                         // (Q_w+Q_pot+Q_ev)/E_in
	MeanPower                      // P_mean over the whole burn
	HeatingPower                   // P_heat from pot-on to boil
	BurnRate                       // fuel a time from pot-on to boil
	CookingPower                   // P_cook = (Q_w+Q_ev)/(t_boil−t_pot)
	RiseFraction                   // phi: share of the rise that a burn without boil reached
	FuelToBoilLow                  // fuel to boil of such a burn is above this, a kilogram of water
	FuelExtrapolated               // m_f/phi, always marked extrapolated
	SimmerPower                    // P_low
	TurnDown                       // TDR = P_heat/P_low
	metricCount
)

// Kind is the quantity that a metric measures; printers choose units by it.
type Kind int

// The kinds.
const (
	Time Kind = iota
	Mass
	Volume
	MassPerMass
	EnergyPerMass
	Energy
	Power
	MassPerTime
	Share
	Number
	Temperature
)

// WBTRise is the rise that WBTTime is for: that of water boiling tests of cook
// stoves, from 25 °C to 100 °C.
const WBTRise quantity.TempDiff = 75

// Info describes a metric to printers. SI value = Scale × figure in the key's unit.
type Info struct {
	Key   string
	Name  string
	Kind  Kind
	Scale float64
	// LowerIsBetter is +1 where less is better, −1 where more is, 0 where neither.
	LowerIsBetter int
}

var infos = [metricCount]Info{
	BloomTime:        {"t_bloom_from_light_s", "light to bloom", Time, 1, +1},
	BoilTime:         {"t_raw_s", "light to boil", Time, 1, +1},
	HeatTime:         {"t_heat_from_pot_s", "pot-on to boil", Time, 1, +1},
	BurnTime:         {"t_burn_from_light_s", "burn time", Time, 1, 0},
	Correction:       {"K", "correction to reference", Number, 1, 0},
	RefTime:          {"t_ref_s", "boil time at reference", Time, 1, +1},
	WBTTime:          {"t75_s", "pot-on to boil for a set rise", Time, 1, +1},
	FuelToBoil:       {"m_f_boil_g", "fuel to boil", Mass, 1e-3, +1},
	FuelTotal:        {"m_f_total_g", "fuel burned", Mass, 1e-3, 0},
	FuelPrime:        {"m_f_prime_g", "fuel before pot-on", Mass, 1e-3, +1},
	RefFuel:          {"f_ref_g", "fuel to boil at reference, as ethanol", Mass, 1e-3, +1},
	RefFuelBatch:     {"f_ref_own_g", "fuel to boil at reference, of the fuel burned", Mass, 1e-3, +1},
	RefFuelVolume:    {"f_ref_own_mL", "the same by volume", Volume, 1e-6, +1},
	FuelPerWater:     {"f_L_g", "fuel to boil, per mass of water", MassPerMass, 1e-3, +1},
	EnergyPerWater:   {"E_spec_kJ_kg", "energy to boil, per mass of water", EnergyPerMass, 1e3, +1},
	HeatingValue:     {"LHV_MJ_kg", "net heating value of the fuel", EnergyPerMass, 1e6, 0},
	BoilingPoint:     {"T_b_C", "boiling point here", Temperature, 1, 0},
	HeatWater:        {"Q_w_kJ", "heat in the water", Energy, 1e3, 0},
	HeatPot:          {"Q_pot_kJ", "heat in pot and lid", Energy, 1e3, 0},
	HeatSteam:        {"Q_ev_kJ", "heat in the steam", Energy, 1e3, 0},
	EnergyIn:         {"E_in_kJ", "fuel energy to boil", Energy, 1e3, +1},
	EtaWater:         {"eta_water", "efficiency, water", Share, 1, -1},
	EtaWaterEvap:     {"eta_water_evap", "efficiency, water and steam", Share, 1, -1},
	EtaWaterPot:      {"eta_water_pot", "efficiency, water and pot", Share, 1, -1},
	EtaAll:           {"eta_all", "efficiency, all heat that reached the pot", Share, 1, -1},
	MeanPower:        {"P_mean_W", "mean firepower", Power, 1, 0},
	HeatingPower:     {"P_heat_W", "firepower while heating", Power, 1, 0},
	BurnRate:         {"burn_rate_g_min", "burn rate while heating", MassPerTime, 1e-3 / 60, 0},
	CookingPower:     {"P_cook_W", "cooking power", Power, 1, -1},
	RiseFraction:     {"rise_fraction", "share of the rise reached", Share, 1, -1},
	FuelToBoilLow:    {"fuel_to_boil_g_per_L_lower", "fuel to boil a kilogram, above", MassPerMass, 1e-3, 0},
	FuelExtrapolated: {"extrapolated_fuel_g", "fuel to boil, extrapolated", Mass, 1e-3, 0},
	SimmerPower:      {"P_low_W", "firepower while simmering", Power, 1, 0},
	TurnDown:         {"TDR", "turn-down ratio", Number, 1, 0},
}

// Info returns the description of the metric.
func (m Metric) Info() Info { return infos[m] }

// Metrics lists every metric.
func Metrics() []Metric {
	ms := make([]Metric, metricCount)
	for i := range ms {
		ms[i] = Metric(i)
	}
	return ms
}

// Bound says on which side of the true value a figure lies when the reading
// that it needs was not made.
type Bound string

// The bounds.
const (
	Exact   Bound = ""
	AtMost  Bound = "at_most"
	AtLeast Bound = "at_least"
)

// Figure is one value of one metric, in SI (temperatures in °C).
type Figure struct {
	Value float64
	U     float64 // standard uncertainty
	Bound Bound
	// Estimated marks a figure of a burn that did not boil, carried to the
	// boil by the closed form: never averaged with measured ones unmarked.
	Estimated bool
	// OutOfRange marks a corrected figure whose burn lies outside the range in
	// which the correction holds; it is left out of comparisons.
	OutOfRange bool
}
