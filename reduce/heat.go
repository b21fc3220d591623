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
// for P = U(T_1−T_a) + C(T_1−T_0)/t · x/(e^x − 1), with x = Ut/C. The last
// factor goes to 1 with U, and so it stays exact for a loss however small.
func (h heating) power(seconds float64) float64 {
	without := h.heat() / seconds
	x := h.loss * seconds / h.capacity
	if x == 0 {
		return without
	}
	return h.loss*(h.to-h.surrounded) + without*x/math.Expm1(x)
}

// seconds returns the time that the useful power takes, +Inf when it never gets
// there: C(T_1−T_0)/left · ln(1+y)/y, with left = P − U(T_1−T_a) and
// y = U(T_1−T_0)/left.
func (h heating) seconds(power float64) float64 {
	left := power - h.loss*(h.to-h.surrounded)
	if left <= 0 {
		return math.Inf(1)
	}
	y := h.loss * (h.to - h.from) / left
	if y == 0 {
		return h.heat() / left
	}
	return h.heat() / left * math.Log1p(y) / y
}
