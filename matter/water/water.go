// Package water holds what a bench must know of water: where it boils, what it
// takes to heat it, what it takes to boil it away, and how dense it is.
//
// The equations are those of the industrial formulation IAPWS-IF97: region 1
// (liquid), region 4 (boiling line) and, for the heat of evaporation alone,
// region 2 (vapour). Heat is always a difference of enthalpies, never a mass
// times a constant: 4.18 kJ/(kg·K) reads 0.2 % low between 15 °C and boiling,
// and water does not boil at 100 °C anywhere, but at 99.974 °C at 101 325 Pa.
//
// The package refuses what the formulation does not cover: ice and supercooled
// water, pressure under that of the boiling line at 0 °C, liquid more than 5 K
// above its boiling point. It knows nothing of dissolved salts, and water
// saturated with air differs by less than any bench can see.
//
// Read boiling.go (region 4), liquid.go (region 1), vapour.go (region 2 and
// the heat of evaporation), series.go (how the sums are evaluated fast).
//
// Source: IAPWS R7-97(2012), Revised Release on the IAPWS Industrial
// Formulation 1997 for the Thermodynamic Properties of Water and Steam.
package water

import (
	"errors"
	"fmt"

	"fairburn/quantity"
)

// ErrRange is wrapped by every error of this package: the state lies outside
// what the formulation covers.
var ErrRange = errors.New("outside IAPWS R7-97")

const (
	gasConstant = 461.526 // J/(kg·K), R7-97 equation 1: 0.461526 kJ/(kg·K)

	lowestKelvin   = 273.15  // R7-97 section 2
	highestKelvin  = 623.15  // upper end of regions 1 and 2, R7-97 section 2
	criticalKelvin = 647.096 // R7-97 equation 2

	highestPascal = 100e6 // R7-97 section 2
)

// checkTemperature refuses a temperature of what outside lowestKelvin to highest,
// NaN included.
func checkTemperature(what string, t quantity.Temperature, highest float64) error {
	if k := t.Kelvin(); !(k >= lowestKelvin && k <= highest) {
		return fmt.Errorf("%s at %.6g °C: expected 0 to %.6g °C: %w",
			what, t.Celsius(), highest-273.15, ErrRange)
	}
	return nil
}

// checkPressure refuses a pressure of what outside the boiling line's lower end
// to highest, NaN included.
func checkPressure(what string, p quantity.Pressure, highest float64) error {
	if !(float64(p) >= lowestPascal && float64(p) <= highest) {
		return fmt.Errorf("%s at %.7g hPa: expected %.7g to %.7g hPa: %w",
			what, float64(p)/100, lowestPascal/100, highest/100, ErrRange)
	}
	return nil
}
