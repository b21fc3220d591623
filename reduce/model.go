package reduce

import (
	"fairburn/burn"
)

// model is one burn as a plain function of numbers: readings and errors in,
// metrics out. Properties are looked up before and enter as constants with
// their slopes, which is exact to second order over the width of an error.
type model struct {
	*inputs
	b *bench
}

// run writes every metric that the burn has; the rest stays NaN.
func (m model) run(x, y []float64) {
	s := m.state(x)
	y[HeatingValue] = s.lhv
	y[BoilingPoint] = s.tb
	m.times(x, s, y)
	m.heats(s, y)
	m.fuelFigures(x, s, y)
	if m.b.outcome.status == Invalid {
		return
	}
	m.corrected(x, s, y)
	m.withoutBoil(x, s, y)
}

// state is what several metrics need. NaN is unknown.
type state struct {
	tb, t0, t1, rise           float64 // °C, K
	water, capacity            float64 // kg, J/K of water and pot
	potOn, boil, heat, end     float64 // s from light; heat from pot-on to boil
	lhv                        float64
	total, toBoil, prime, used float64 // kg; used is what the heating took: to the boil, else all
	pot                        float64 // J/K
	steam                      float64 // kg
}

func (m model) state(x []float64) state {
	b := m.b
	var s state
	s.lhv = m.heatingValue.of(x, nan)
	s.tb = b.tb + b.tbSlope*(m.pressure.of(x, float64(b.pressure.value))-float64(b.pressure.value))
	probe := m.probe.of(x, 0)
	if m.boiling != 0 {
		s.tb = m.boiling.of(x, nan) + probe
	}
	s.t0 = m.start.of(x, nan) + probe
	s.t1 = nan
	switch {
	case b.outcome.status.HasBoil():
		s.t1 = s.tb + m.boilCall.of(x, 0)
	case m.peak != 0:
		s.t1 = m.peak.of(x, nan) + probe
	}
	s.rise = s.t1 - s.t0
	s.water = (m.water.of(x, nan) + m.waterScale.of(x, 0)) * m.waterMeasure.of(x, 1)
	s.pot = m.pot.of(x, nan)
	s.steam = nan
	if m.waterEnd != 0 {
		s.steam = m.water.of(x, nan) - m.waterEnd.of(x, nan)
	}
	s.potOn = m.potOn.of(x, 0)
	s.boil, s.heat, s.end = nan, nan, m.end.of(x, nan)
	if b.outcome.status.HasBoil() {
		s.boil = b.boilAt + m.boilMark.of(x, 0)
		s.heat = s.boil - s.potOn
	} else if m.peak != 0 {
		s.heat = s.end - s.potOn
	}
	m.fuelMasses(x, &s)
	return s
}

// fuelMasses splits the fuel into what burned before pot-on, to the boil and
// in all. A mark that is late by a second has let a second's fuel more burn.
func (m model) fuelMasses(x []float64, s *state) {
	f := m.b.fuel
	late := m.boilMark.of(x, 0) * m.b.rate
	s.total, s.toBoil, s.prime = nan, nan, nan
	if m.total != 0 {
		s.total = m.total.of(x, nan) + m.fuelScale.of(x, 0)
	}
	switch {
	case !m.b.outcome.status.HasBoil():
	case m.b.outcome.status == BoiledPostFlame && f.total.known:
		s.toBoil = s.total // R2: all of it
	case f.by == burn.SnuffedAtBoil:
		s.toBoil = s.total + late
	case f.by == burn.Prorated:
		s.toBoil = s.total * s.boil / s.end * m.prorated.of(x, 1) // R9
	case m.boil != 0:
		s.toBoil = m.boil.of(x, nan) + m.fuelScale.of(x, 0) + late
	}
	s.used = s.toBoil
	if !m.b.outcome.status.HasBoil() {
		s.used = s.total
	}
	switch {
	case m.prime != 0:
		s.prime = m.prime.of(x, nan) + m.fuelScale.of(x, 0)
	case s.potOn == 0:
		s.prime = 0
	default: // not weighed: as if it burned evenly, give or take all of it
		s.prime = s.used * s.potOn / (s.potOn + s.heat) * m.noPrime.of(x, 1)
	}
}

func (m model) times(x []float64, s state, y []float64) {
	y[BloomTime] = m.bloom.of(x, nan)
	y[BurnTime] = s.end
	y[FuelTotal] = s.total
	y[MeanPower] = s.total * s.lhv / s.end
	if m.prime != 0 {
		y[FuelPrime] = s.prime
	}
	if m.b.outcome.status.HasBoil() {
		y[BoilTime] = s.boil
		y[HeatTime] = s.heat
	}
	if m.simmerFuel != 0 && m.b.simmer > 0 {
		y[SimmerPower] = m.simmerFuel.of(x, nan) * s.lhv / m.b.simmer
	}
}

// heats writes what the heat went into: h is the enthalpy of water, L its
// latent heat at the boiling point.
//
//	Q_w = m_w0 [h(T_1) − h(T_0)],  Q_pot = C_pot (T_1 − T_0),  Q_ev = m_ev L(T_b)
func (m model) heats(s state, y []float64) {
	if m.b.outcome.status == Invalid {
		return
	}
	y[HeatWater] = s.water * m.b.heatOfRise(s.t0, s.t1)
	y[HeatPot] = s.pot * s.rise
	if m.b.outcome.status.HasBoil() {
		y[HeatSteam] = s.steam * m.b.latent
	}
}

// fuelFigures writes what the heat cost. Efficiencies are net, to the boil or
// to the highest temperature reached.
func (m model) fuelFigures(x []float64, s state, y []float64) {
	if m.b.outcome.status == Invalid {
		return
	}
	water := y[HeatWater] * (1 + m.tables.of(x, 0))
	y[HeatWater] = water
	in := s.used * s.lhv
	y[EnergyIn] = in
	y[EtaWater] = water / in
	y[EtaWaterEvap] = (water + y[HeatSteam]) / in
	y[EtaWaterPot] = (water + y[HeatPot]) / in
	y[EtaAll] = (water + y[HeatPot] + y[HeatSteam]) / in
	if !m.b.outcome.status.HasBoil() {
		return
	}
	y[FuelToBoil] = s.toBoil
	y[FuelPerWater] = s.toBoil / s.water
	y[EnergyPerWater] = in / s.water
	y[HeatingPower] = (s.toBoil - s.prime) * s.lhv / s.heat
	y[BurnRate] = (s.toBoil - s.prime) / s.heat
	y[CookingPower] = (water + y[HeatSteam]) / s.heat
	if s.heat >= steady {
		y[TurnDown] = y[HeatingPower] / y[SimmerPower]
	}
}

// steady is the shortest phase whose power counts for a turn-down ratio, s
// (low-power phase of five minutes or more; common practice, no source).
const steady = 300

// corrected moves a boil to reference conditions: the burn's own useful power,
// asked for the reference rise in the same air. Time and fuel before pot-on
// are never scaled.
func (m model) corrected(x []float64, s state, y []float64) {
	if !m.b.outcome.status.HasBoil() {
		return
	}
	k := m.factor(x, s)
	y[Correction] = k
	y[RefTime] = s.potOn + s.heat*k
	y[WBTTime] = s.heat * 75 / s.rise
	m.reference(x, s, k, y)
}

// reference writes fuel to boil at reference conditions for the factor k.
func (m model) reference(x []float64, s state, k float64, y []float64) {
	energy := (s.prime + (s.used-s.prime)*k) * s.lhv
	y[RefFuel] = energy / m.b.referenceLHV
	y[RefFuelBatch] = energy / s.lhv
	y[RefFuelVolume] = energy / s.lhv / m.density.of(x, nan)
}

// factor is K: the time of the reference boil over the time of this heating.
func (m model) factor(x []float64, s state) float64 {
	own := m.heating(x, s, s.t1)
	ref := m.b.referenceHeating(own, m.pot.of(x, 0))
	if m.noAir != 0 {
		// The plain ratio, with the half-width of what a usual loss to air of
		// the reference start would have made of it.
		plain := ref.seconds(own.power(s.heat)) / s.heat
		own.loss, ref.loss = float64(m.b.setup.Rules.Loss), float64(m.b.setup.Rules.Loss)
		own.surrounded, ref.surrounded = ref.from, ref.from
		lossy := ref.seconds(own.power(s.heat)) / s.heat
		return plain + (lossy-plain)*m.noAir.of(x, 0)
	}
	return ref.seconds(own.power(s.heat)) / s.heat
}

// heating is this burn's heating from its start to the temperature to.
func (m model) heating(x []float64, s state, to float64) heating {
	return heating{
		capacity:   s.water*m.b.heatOfRise(s.t0, s.t1)/s.rise + m.pot.of(x, 0), // a pot of unknown mass changes the ratio of two boils by under 2 %
		loss:       m.loss.of(x, 0),
		from:       s.t0,
		to:         to,
		surrounded: m.air.of(x, 0),
	}
}

// withoutBoil writes what a burn that did not boil still shows: how far it
// came, what fuel to boil is above, and where the closed form would take it
// with the power it had. The part beyond what was seen carries a half-width of
// half of itself.
func (m model) withoutBoil(x []float64, s state, y []float64) {
	if m.b.outcome.status.HasBoil() {
		return
	}
	phi := s.rise / (s.tb - s.t0)
	y[RiseFraction] = phi
	if m.b.outcome.status == NoBoil {
		y[FuelToBoilLow] = s.total / s.water
	}
	if m.peak == 0 || s.total <= 0 {
		return
	}
	y[FuelExtrapolated] = s.total / phi
	own := m.heating(x, s, s.t1)
	power := own.power(s.heat)
	k := m.b.referenceHeating(own, m.pot.of(x, 0)).seconds(power) / s.heat
	m.reference(x, s, m.stretch(x, k), y)
	own.to = s.tb
	here := own.seconds(power) / s.heat
	y[FuelToBoil] = s.prime + (s.total-s.prime)*m.stretch(x, here)
}

// stretch applies the doubt of an extrapolation to the part beyond 1.
func (m model) stretch(x []float64, k float64) float64 {
	if k <= 1 {
		return k
	}
	return 1 + (k-1)*m.extrapolated.of(x, 1)
}
