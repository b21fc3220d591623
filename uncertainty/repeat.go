package uncertainty

import (
	"fmt"
	"math"

	"fairburn/stats"
)

// Repeat is the joint statement of repeats under the same conditions and what they
// have in common.
type Repeat struct {
	N       int     `json:"n"`
	Mean    float64 `json:"mean"`
	S       float64 `json:"s"`                // standard deviation of one repeat
	UA      float64 `json:"u_A"`              // of the mean by scatter: S/√N, with N − 1 degrees of freedom
	UCommon float64 `json:"u_common"`         // what no number of repeats shrinks
	UC      float64 `json:"u_c"`              // √(UA² + UCommon²)
	NuEff   float64 `json:"nu_eff,omitempty"` // 0 means infinite
	Expanded
	// RepeatabilityLimit is 1.96·√2·S: two single repeats that differ by more
	// (one pair in twenty does) ask for a third.
	RepeatabilityLimit float64 `json:"repeatability_limit"`
}

// Combine states the mean of repeats x with the standard uncertainty common
// of what they share (the shared part of Budget.Split; infinite degrees of
// freedom) at the level:
//
//	u_c² = s²/n + u_common²,  ν_eff = u_c⁴ / (u_A⁴/(n−1)),  U = t_p(ν_eff)·u_c
//
// Errors of each repeat alone are not added: the scatter holds them already.
// It is an error to give fewer than 2 repeats, a number that is not finite, or
// a level not between 0 and 1.
//
// Source: JCGM 100:2008, 4.2.3 equation (5), G.4.1 equation (G.2b). The limit:
// ISO 5725-6:1994, 4.1.4 (from memory; it prints the factor rounded, 2.8).
func Combine(x []float64, common, level float64) (Repeat, error) {
	if len(x) < 2 {
		return Repeat{}, fmt.Errorf("combine repeats: got %d, expected 2 or more: one value has no scatter", len(x))
	}
	for i, v := range x {
		if !finite(v) {
			return Repeat{}, fmt.Errorf("combine repeats: repeat %d is %g, expected a finite number", i+1, v)
		}
	}
	if !finite(common) || common < 0 {
		return Repeat{}, fmt.Errorf("combine repeats: common standard uncertainty is %g, expected a finite number, 0 or more", common)
	}
	r := Repeat{N: len(x), UCommon: common}
	s := stats.Summarize(x)
	r.Mean, r.S = s.Mean, s.SD
	n := float64(r.N)
	r.UA = r.S / math.Sqrt(n)
	r.UC = math.Hypot(r.UA, common)
	if r.UA > 0 {
		r.NuEff = (n - 1) * math.Pow(r.UC/r.UA, 4)
	}
	r.RepeatabilityLimit = 1.96 * math.Sqrt2 * r.S
	var err error
	b := Budget{Output: "mean of repeats", Value: r.Mean, U: r.UC, NuEff: r.NuEff}
	if r.Expanded, err = b.Expanded(level); err != nil {
		return Repeat{}, err
	}
	return r, nil
}
