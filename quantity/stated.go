package quantity

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Rule is how an uncertainty is rounded to two significant digits.
type Rule int

const (
	// NearestEven rounds to nearest, a tie to the even digit (rule A of
	// ISO 80000-1:2009, annex B, from memory).
	NearestEven Rule = iota
	// Up is NearestEven, but takes the next digit up where that would understate
	// the uncertainty by more than 4 %: 10.47 becomes 11 and 28.05 becomes 28, as
	// in JCGM 100:2008 (GUM) 7.2.6. The 4 % is common practice, no source.
	Up
)

// Stated is a value with its half-width as printed, so that zeros that count
// stay: "25.20", "0.31".
type Stated struct {
	Value     string `json:"value"`
	HalfWidth string `json:"half_width,omitempty"` // "" where none is known
}

// String returns "25.20 ± 0.31", or the value alone.
func (s Stated) String() string {
	if s.HalfWidth == "" {
		return s.Value
	}
	return s.Value + " ± " + s.HalfWidth
}

// State rounds a half-width to two significant digits by the rule and the value
// to the same place; 9.96 becomes 10, not 10.0. Numbers are taken as the
// shortest decimals that name them, so that a tie is a tie on paper. Where value
// is not finite, or halfWidth not a positive finite number, no half-width is
// stated and the value keeps its digits.
//
// Source: JCGM 100:2008 (GUM) 7.2.6; NIST GLP 9, rounding expanded uncertainties.
func State(value, halfWidth float64, rule Rule) Stated {
	if !(halfWidth > 0) || math.IsInf(halfWidth, 0) || math.IsInf(value, 0) || math.IsNaN(value) {
		return Stated{Value: strconv.FormatFloat(value, 'g', -1, 64)}
	}
	places, rounded := twoDigits(halfWidth, rule)
	return Stated{Value: roundTo(value, places), HalfWidth: rounded}
}

// twoDigits rounds u, above zero, to two significant digits. It returns the
// digits after the point, negative for tens and more, and u as printed.
func twoDigits(u float64, rule Rule) (places int, rounded string) {
	shortest := strconv.FormatFloat(u, 'e', -1, 64)
	exponent, _ := strconv.Atoi(shortest[strings.IndexByte(shortest, 'e')+1:])
	places = 1 - exponent
	scaled := new(big.Rat).Mul(asWritten(u), power(places))
	n := nearestEven(scaled)
	least := new(big.Rat).Mul(scaled, big.NewRat(96, 100))
	if rule == Up && new(big.Rat).SetInt(n).Cmp(least) < 0 {
		n.Add(n, big.NewInt(1))
	}
	if n.Cmp(big.NewInt(100)) == 0 { // 9.96 has become 10.0
		n.SetInt64(10)
		places--
	}
	return places, digits(n, places)
}

// roundTo rounds x to a number of digits after the point, ties to even.
func roundTo(x float64, places int) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return digits(nearestEven(new(big.Rat).Mul(asWritten(x), power(places))), places)
}

// asWritten is the shortest decimal that names x, exactly.
func asWritten(x float64) *big.Rat {
	r, _ := new(big.Rat).SetString(strconv.FormatFloat(x, 'e', -1, 64))
	return r
}

// power is ten to the n.
func power(n int) *big.Rat {
	size := n
	if n < 0 {
		size = -n
	}
	r := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(size)), nil))
	if n < 0 {
		r.Inv(r)
	}
	return r
}

// nearestEven is r as an integer: floor(r + 1/2), less 1 where a tie gave an odd one.
func nearestEven(r *big.Rat) *big.Int {
	twice := new(big.Int).Lsh(r.Denom(), 1)
	top := new(big.Int).Lsh(r.Num(), 1)
	n, left := new(big.Int).DivMod(top.Add(top, r.Denom()), twice, new(big.Int))
	if left.Sign() == 0 && n.Bit(0) == 1 {
		n.Sub(n, big.NewInt(1))
	}
	return n
}

// digits writes n times ten to the minus places.
func digits(n *big.Int, places int) string {
	return new(big.Rat).Quo(new(big.Rat).SetInt(n), power(places)).FloatString(max(0, places))
}
