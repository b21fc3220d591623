package reduce

import "math"

// The heating of a pot with constant useful power P and heat loss U(T−T_a):
//
//	C dT/dt = P − U (T − T_a)
//	t = (C/U) ln{[P − U(T_0−T_a)] / [P − U(T_1−T_a)]},   C = m c_w + C_pot
//
// Source: energy balance of a lumped body with a linear loss, as in any text
// on heat transfer (Incropera, Fundamentals of Heat and Mass Transfer, 5.3).
// U = 0 gives t = C (T_1−T_0)/P and with it the plain ratio of rises.
type heating struct {
	capacity   float64 // C, J/K
	loss       float64 // U, W/K
	from, to   float64 // T_0 and T_1, °C
	surrounded float64 // T_a, °C
}

// heat is what the body takes up, C (T_1−T_0), J.
func (h heating) heat() float64 { return h.capacity * (h.to - h.from) }

// power returns the useful power that heats in seconds: the closed form solved
// for P. With a = U(T_0−T_a) and b = U(T_1−T_a), P = b + (b−a)/(e^{Ut/C} − 1).
func (h heating) power(seconds float64) float64 {
	if h.loss == 0 {
		return h.heat() / seconds
	}
	b := h.loss * (h.to - h.surrounded)
	return b + h.loss*(h.to-h.from)/math.Expm1(h.loss*seconds/h.capacity)
}

// seconds returns the time that the useful power takes, +Inf when it never gets there.
func (h heating) seconds(power float64) float64 {
	if h.loss == 0 {
		return h.heat() / power
	}
	left := power - h.loss*(h.to-h.surrounded)
	if left <= 0 {
		return math.Inf(1)
	}
	return h.capacity / h.loss * math.Log1p(h.loss*(h.to-h.from)/left)
}
