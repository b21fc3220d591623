package reduce

import (
	"math"

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
	var s state
	m.temperatures(x, &s)
	m.waters(x, &s)
	m.times(x, &s)
	m.fuels(x, &s)
	m.whole(x, s, y)
	if m.b.outcome.status == Invalid {
		return
	}
	m.heats(x, s, y)
	m.efficiencies(s, y)
	if m.b.outcome.status.HasBoil() {
		m.toBoil(s, y)
		m.corrected(x, s, y)
		return
	}
	m.withoutBoil(x, s, y)
}

// state is what several metrics need. NaN is unknown.
type state struct {
	tb, t0, t1, rise           float64 // °C, K
	water, steam               float64 // kg
	pot                        float64 // J/K
	potOn, boil, heat, end     float64 // s from light; heat from pot-on to the boil or the end
	lhv                        float64 // J/kg
	total, toBoil, prime, used float64 // kg; used is what the heating took
}

func (m model) temperatures(x []float64, s *state) {
	b := m.b
	s.tb = b.tb + b.tbSlope*(m.pressure.of(x, float64(b.pressure.value))-float64(b.pressure.value))
	if m.boiling.value != 0 {
		s.tb = m.boiling.of(x)
	}
	s.t0, s.t1 = m.start.of(x), m.peak.of(x)
	if b.outcome.status.HasBoil() {
		s.t1 = s.tb + m.boilCall.of(x, 0)
	}
	s.rise = s.t1 - s.t0
}

func (m model) waters(x []float64, s *state) {
	s.water = (m.water.of(x, nan) + m.waterScale.of(x, 0)) * m.waterMeasure.of(x, 1)
	s.steam = m.water.of(x, nan) - m.waterEnd.of(x, nan) // one scale: its error cancels
	s.pot = m.pot.of(x, nan)
}

func (m model) times(x []float64, s *state) {
	o := &m.b.outcome
	s.potOn = m.potOn.of(x, 0)
	s.boil, s.heat, s.end = nan, nan, m.end.of(x, nan)
	switch {
	case o.status.HasBoil():
		s.boil = o.boilAt() + m.boilMark.of(x, 0)
		s.heat = s.boil - s.potOn
	case o.endKnown && o.censor == o.end:
		s.heat = s.end - s.potOn
	}
}

// fuels splits the fuel into what burned before pot-on, to the boil and in
// all. Fuel weighed at another moment than the boil is carried there by the
// burn rate, so a boil marked a second late has let a second's fuel more burn.
func (m model) fuels(x []float64, s *state) {
	f := &m.b.fuel
	s.lhv = m.heatingValue.of(x, nan)
	s.total = m.mass(m.total, f.total.poured, x) + m.residue.of(x, 0)
	s.toBoil = nan
	switch {
	case !m.b.outcome.status.HasBoil():
	case f.by == burn.AllBurned:
		s.toBoil = s.total
	case f.by == burn.Prorated:
		s.toBoil = s.total * min(s.boil/s.end, 1) * m.prorated.of(x, 1)
	case f.by == burn.SnuffedAtBoil && m.end != 0:
		s.toBoil = s.total + (s.boil-s.end)*m.b.rate
	case f.by == burn.SnuffedAtBoil:
		s.toBoil = s.total + (s.boil-m.b.outcome.boil.Seconds())*m.b.rate
	default:
		s.toBoil = m.mass(m.boil, f.boil.poured, x) + (s.boil-m.b.outcome.boil.Seconds())*m.b.rate
		if f.by == burn.ScaleStack && !f.bound {
			s.toBoil -= s.steam
		}
	}
	s.used = s.toBoil
	if o := &m.b.outcome; !o.status.HasBoil() && o.endKnown && o.censor == o.end {
		s.used = s.total // the pot stood there to the end
	}
	switch {
	case m.prime.before != 0: // two readings a gram or so apart, where the scale errs alike
		s.prime = m.prime.of(x)
	case s.potOn == 0:
		s.prime = 0
	default: // not weighed: as if it burned evenly, give or take all of it
		s.prime = s.used * s.potOn / (s.potOn + s.heat) * m.noPrime.of(x, 1)
	}
}

// mass is a weighed difference with the error of its scale, or a dose with
// that of its measure and of the fuel's density.
func (m model) mass(w weight, poured bool, x []float64) float64 {
	if poured {
		rho := m.b.looked.batch.density
		return w.of(x) * m.fuelMeasure.of(x, 1) * m.density.of(x, rho) / rho
	}
	return w.of(x) + m.fuelScale.of(x, 0)
}

// whole writes what the burn has whether it boiled or not.
func (m model) whole(x []float64, s state, y []float64) {
	y[HeatingValue] = s.lhv
	y[BoilingPoint] = s.tb
	y[BloomTime] = m.bloom.of(x, nan)
	y[BurnTime] = s.end
	y[FuelTotal] = s.total
	y[MeanPower] = s.total * s.lhv / s.end
	if m.prime.before != 0 {
		y[FuelPrime] = s.prime
	}
	if m.simmer.before != 0 {
		y[SimmerPower] = (m.simmer.of(x) + m.fuelScale.of(x, 0)) * s.lhv / m.b.simmer
	}
}

// heats writes what the heat went into: h is the enthalpy of water, L its
// latent heat at the boiling point.
//
//	Q_w = m_w0 [h(T_1) − h(T_0)],  Q_pot = C_pot (T_1 − T_0),  Q_ev = m_ev L(T_b)
func (m model) heats(x []float64, s state, y []float64) {
	y[HeatWater] = s.water * m.b.heatOfRise(s.t0, s.t1) * (1 + m.tables.of(x, 0))
	y[HeatPot] = s.pot * s.rise
	y[HeatSteam] = s.steam * m.b.latent
}

// efficiencies writes what the heat cost. They are net, to the boil or to the
// highest temperature reached.
func (m model) efficiencies(s state, y []float64) {
	in := s.used * s.lhv
	water, pot, steam := y[HeatWater], y[HeatPot], y[HeatSteam]
	y[EnergyIn] = in
	y[EtaWater] = water / in
	y[EtaWaterEvap] = (water + steam) / in
	y[EtaWaterPot] = (water + pot) / in
	y[EtaAll] = (water + pot + steam) / in
}

// toBoil writes the times, fuel and powers of a boil as it was.
func (m model) toBoil(s state, y []float64) {
	y[BoilTime] = s.boil
	y[HeatTime] = s.heat
	y[FuelToBoil] = s.toBoil
	y[FuelPerWater] = s.toBoil / s.water
	y[EnergyPerWater] = s.toBoil * s.lhv / s.water
	y[BurnRate] = (s.toBoil - s.prime) / s.heat
	y[HeatingPower] = y[BurnRate] * s.lhv
	y[CookingPower] = (y[HeatWater] + y[HeatSteam]) / s.heat
	if s.heat >= steady {
		y[TurnDown] = y[HeatingPower] / y[SimmerPower]
	}
}

// steady is the shortest phase whose power counts for a turn-down ratio, s
// (common practice, no source).
const steady = 300

// corrected moves a boil to reference conditions: the burn's own useful power,
// asked for the reference rise in the same air. Time and fuel before pot-on
// are never scaled.
func (m model) corrected(x []float64, s state, y []float64) {
	k := m.factor(x, s)
	y[Correction] = k
	y[RefTime] = s.potOn + s.heat*k
	y[WBTTime] = s.heat * float64(WBTRise) / s.rise
	m.reference(x, s, k, y)
}

// reference writes fuel to boil at reference conditions for the factor k.
func (m model) reference(x []float64, s state, k float64, y []float64) {
	own := s.prime + (s.used-s.prime)*k
	y[RefFuel] = own * s.lhv / float64(referenceFuel.LHV())
	y[RefFuelBatch] = own
	y[RefFuelVolume] = own / m.density.of(x, nan)
}

// factor is K: the time of the reference boil over the time of this heating.
func (m model) factor(x []float64, s state) float64 {
	own, ref := m.heatings(x, s)
	return m.ratio(x, s.heat, own, ref)
}

// ratio is the time that another heating takes with the power of this one over
// the time that this one took. Without air temperature it is the plain ratio
// of heats, with the half-width of what the loss to air as warm as the
// reference start would have made of it.
func (m model) ratio(x []float64, seconds float64, own, other heating) float64 {
	k := other.seconds(own.power(seconds)) / seconds
	if m.noAir == 0 {
		return k
	}
	plain := other.heat() / own.heat()
	return plain + (k-plain)*m.noAir.of(x, 0)
}

// heatings are this burn's heating and that of the reference boil in its pot
// and its air.
func (m model) heatings(x []float64, s state) (own, ref heating) {
	pot := m.pot.of(x, m.noPot.of(x, 0))
	own = heating{
		capacity:   s.water*m.b.heatOfRise(s.t0, s.t1)/s.rise + pot,
		loss:       m.loss.of(x, 0),
		from:       s.t0,
		to:         s.t1,
		surrounded: m.air.of(x, m.b.setup.Reference.From.Celsius()),
	}
	return own, m.b.referenceHeating(own, pot)
}

// withoutBoil writes what a burn that did not boil still shows: how far it
// came, what fuel to boil is above, and where the closed form would take it
// with the power it had. The part beyond what was seen carries a half-width of
// half of itself.
func (m model) withoutBoil(x []float64, s state, y []float64) {
	phi := s.rise / (s.tb - s.t0)
	y[RiseFraction] = phi
	if m.b.outcome.status == NoBoil {
		y[FuelToBoilLow] = s.total / s.water
	}
	y[FuelExtrapolated] = s.used / phi
	own, ref := m.heatings(x, s)
	m.reference(x, s, m.stretch(x, m.ratio(x, s.heat, own, ref)), y)
	boil := own
	boil.to = s.tb
	y[FuelToBoil] = s.prime + (s.used-s.prime)*m.stretch(x, m.ratio(x, s.heat, own, boil))
}

// stretch applies the doubt of an extrapolation to the part beyond 1.
func (m model) stretch(x []float64, k float64) float64 {
	if k <= 1 || math.IsNaN(k) {
		return k
	}
	return 1 + (k-1)*m.extrapolated.of(x, 1)
}
