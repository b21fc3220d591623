package carry

import (
	"cmp"
	"fmt"
	"math"

	"fairburn/matter/air"
	"fairburn/matter/material"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// Ice: heat of melting at 0 °C, and mean specific heat from −20 to 0 °C, which
// changes by 7 % over that range and so the heat of a melt by less than 0.5 %.
//
// Source: IAPWS R10-06(2009), equation of state of ice Ih: 333.42 kJ/kg; 2.097 at
// 0 °C, 2.023 at −10 °C, 1.950 kJ/(kg·K) at −20 °C.
const (
	meltingHeat = 333.42e3 // J/kg
	iceHeat     = 2.03e3   // J/(kg·K)
	coldestSnow = -40.0    // °C
)

// climate is what a leg does to every boil.
type climate struct {
	pressure  quantity.Pressure
	boiling   float64 // °C
	atBoil    float64 // J/kg, enthalpy of water there
	atZero    float64
	low, high float64 // °C, where the water may start
	snow      float64 // share
	snowAt    float64 // °C
	air       float64 // °C
	airKnown  bool
}

// newClimate looks the leg up: where water boils at its elevation in the standard
// atmosphere, and its stated or default readings.
func newClimate(l *Leg) (climate, error) {
	c := climate{low: defaultStart - defaultStartHalf, high: defaultStart + defaultStartHalf, airKnown: l.Air.Given}
	if l.WaterStart.Given {
		mid := l.WaterStart.Value.Celsius()
		c.low, c.high = mid-l.WaterStart.Tolerance, mid+l.WaterStart.Tolerance
	}
	if l.SnowShare.Given {
		c.snow = float64(l.SnowShare.Value)
	}
	if l.SnowTemperature.Given {
		c.snowAt = l.SnowTemperature.Value.Celsius()
	}
	if l.Air.Given {
		c.air = l.Air.Value.Celsius()
	}
	var err error
	if c.pressure, err = air.PressureAtElevation(l.Elevation.Value); err != nil {
		return c, err
	}
	boiling, err := water.SaturationTemperature(c.pressure)
	if err != nil {
		return c, err
	}
	c.low = min(max(c.low, 0), c.high) // water is not colder than 0 °C; what is, is snow
	atBoil, errBoil := water.Enthalpy(boiling, c.pressure)
	atZero, errZero := water.Enthalpy(quantity.Celsius(0), c.pressure)
	c.boiling, c.atBoil, c.atZero = boiling.Celsius(), float64(atBoil), float64(atZero)
	return c, cmp.Or(errBoil, errZero, c.check())
}

func (c climate) check() error {
	switch {
	case !(c.low >= 0 && c.high < c.boiling):
		return fmt.Errorf("water starts at %.1f to %.1f °C, expected 0 °C to below the boiling point of %.1f °C", c.low, c.high, c.boiling)
	case !(c.snow >= 0 && c.snow <= 1):
		return fmt.Errorf("a share of snow of %.2f, expected 0 to 1", c.snow)
	case !(c.snowAt >= coldestSnow && c.snowAt <= 0):
		return fmt.Errorf("snow at %.1f °C, expected %.0f to 0 °C", c.snowAt, coldestSnow)
	case c.airKnown && !(c.air >= -50 && c.air <= 50):
		return fmt.Errorf("air at %.1f °C, expected −50 to 50 °C", c.air)
	}
	return nil
}

// vessel is what stands on the flame with the water.
type vessel struct {
	capacity float64 // J/K
	loss     float64 // W/K
}

// Where a pot's loss was not measured, the same 1 W/K as in the reduction of burns
// (common practice, no source).
const planningLoss = 1.0

func vesselOf(p *Part) vessel {
	v := vessel{loss: planningLoss}
	if p == nil {
		return v
	}
	if p.Loss.Given {
		v.loss = float64(p.Loss.Value)
	}
	if metal, err := material.Find(p.Material); err == nil && p.Mass.Given {
		c, _ := metal.SpecificHeat(quantity.Celsius(60)) // the middle of a rise; every material has it
		v.capacity = float64(p.Mass.Value) * float64(c)
	}
	return v
}

// heating is water and pot brought from one temperature to another in air.
type heating struct {
	heat     float64 // J
	from, to float64 // °C
	loss     float64 // W/K
	air      float64 // °C
}

// seconds is the time that a useful power takes, +Inf when it never gets there:
// with C = heat/(to − from) the solution of C dT/dt = P − U (T − T_a),
//
//	t = heat/left · ln(1 + y)/y,  left = P − U(to − T_a),  y = U(to − from)/left
//
// Source: energy balance of a lumped body with a linear loss (Incropera,
// Fundamentals of Heat and Mass Transfer, 5.3).
func (h heating) seconds(power float64) float64 {
	left := power - h.loss*(h.to-h.air)
	if left <= 0 {
		return math.Inf(1)
	}
	y := h.loss * (h.to - h.from) / left
	if y == 0 {
		return h.heat / left
	}
	return h.heat / left * math.Log1p(y) / y
}

// power is the useful power that takes that time: seconds solved for P.
func (h heating) power(seconds float64) float64 {
	x := h.loss * seconds * (h.to - h.from) / h.heat
	if x == 0 {
		return h.heat / seconds
	}
	return h.loss*(h.to-h.air) + h.heat/seconds*x/math.Expm1(x)
}

// boil is one boil on a leg: water, pot and flame.
type boil struct {
	water float64 // kg
	vessel
	power float64 // W, useful; 0: unknown, and nothing is lost to the air
}

// cost is what the boil takes from a start at t0, in seconds of the power, or in
// joules where the power is unknown: the snow warmed and melted at 0 °C, then all
// of it with the pot from the mixed temperature to the boil,
//
//	Q = m [s (c_ice (0 − T_s) + L) + (1 − s)(h_b − h(T_0)) + s (h_b − h(0))] + C (T_b − (1 − s) T_0)
func (c climate) cost(b boil, t0 float64) (float64, error) {
	h0, err := water.Enthalpy(quantity.Celsius(t0), c.pressure)
	if err != nil {
		return 0, err
	}
	mixed := (1 - c.snow) * t0
	melt := b.water * c.snow * (meltingHeat - iceHeat*c.snowAt)
	rise := heating{from: mixed, to: c.boiling, loss: b.loss, air: c.air}
	rise.heat = b.water*(c.atBoil-(1-c.snow)*float64(h0)-c.snow*c.atZero) + b.capacity*(c.boiling-mixed)
	if b.power == 0 {
		b.power, rise.loss, b.loss = 1, 0, 0
	}
	melting := heating{heat: melt, to: 0, from: 0, loss: b.loss, air: c.air}
	return melting.seconds(b.power) + rise.seconds(b.power), nil
}

// curve is a smooth function of where the start lies between low (0) and high (1),
// the parabola through its ends and middle.
type curve struct{ a, b, c float64 }

func (k curve) at(u float64) float64 { return k.a + u*(k.b+u*k.c) }

// curveOf is the cost over the leg's range of start temperatures, as a share of
// the reference cost. It is so nearly straight that the parabola is within 1e-6.
func (c climate) curveOf(b boil, reference float64) (curve, error) {
	var y [3]float64
	for i, u := range [...]float64{0, 0.5, 1} {
		cost, err := c.cost(b, c.low+u*(c.high-c.low))
		if err != nil {
			return curve{}, err
		}
		y[i] = cost / reference
	}
	return curve{y[0], 4*y[1] - 3*y[0] - y[2], 2*y[0] + 2*y[2] - 4*y[1]}, nil
}
