package air

import (
	"fmt"
	"math"

	"fairburn/quantity"
)

// The range that Density accepts. CIPM-2007 states its uncertainty for 600 to
// 1100 hPa and 15 to 27 °C. Benches stand higher and colder; over the wider
// range below the equation was compared with the humid air of IAPWS G8-10
// (TEOS-10) and kept within 1e-4 of it (published_test.go).
const (
	coldest  = -20.0 // °C
	hottest  = 45.0  // °C
	thinnest = 500 * quantity.Hectopascal
	densest  = 1100 * quantity.Hectopascal
)

// Density returns the density of humid air at temperature t, −20 to 45 °C,
// pressure p, 500 to 1100 hPa, and relative humidity, 0 to 1, counted over
// liquid water below 0 °C too, with 400 ppm of carbon dioxide:
//
//	ρ = p·M_a/(Z·R·T)·[1 − x_v·(1 − M_v/M_a)].
//
// Relative standard uncertainty of the equation 2.2e-5 (from memory) for 15 to
// 27 °C and 600 to 1100 hPa, 1e-4 elsewhere in the range.
//
// Source: Picard, Davis, Gläser and Fujii, 2008, Revised formula for the
// density of moist air (CIPM-2007), Metrologia 45, 149, equations 1 to 3 and
// appendix A.1.
func Density(t quantity.Temperature, p quantity.Pressure, humidity quantity.Ratio) (quantity.Density, error) {
	if err := checkHumid(t, p, humidity); err != nil {
		return 0, err
	}
	const (
		r      = 8.314472    // J/(mol·K)
		dry    = 28.96546e-3 // kg/mol at x_CO2 = 0.0004
		vapour = 18.01528e-3 // kg/mol
	)
	pascal, kelvin := float64(p), t.Kelvin()
	x := vapourFraction(t, pascal, float64(humidity))
	rho := pascal * dry / (compressibility(t, pascal, x) * r * kelvin) * (1 - x*(1-vapour/dry))
	return quantity.Density(rho), nil
}

// vapourFraction is the mole fraction x_v = h·f·p_sv/p, with the enhancement
// factor f = α + β·p + γ·t² and p_sv = exp(A·T² + B·T + C + D/T) in Pa.
func vapourFraction(t quantity.Temperature, p, humidity float64) float64 {
	c, k := t.Celsius(), t.Kelvin()
	saturation := math.Exp(1.2378847e-5*k*k - 1.9121316e-2*k + 33.93711047 - 6.3431645e3/k)
	enhancement := 1.00062 + 3.14e-8*p + 5.6e-7*c*c
	return humidity * enhancement * saturation / p
}

// compressibility is Z = 1 − (p/T)·[a0 + a1·t + a2·t² + (b0 + b1·t)·x_v +
// (c0 + c1·t)·x_v²] + (p/T)²·(d + e·x_v²).
func compressibility(t quantity.Temperature, p, x float64) float64 {
	c, q := t.Celsius(), p/t.Kelvin()
	first := 1.58123e-6 - 2.9331e-8*c + 1.1043e-10*c*c +
		(5.707e-6-2.051e-8*c)*x + (1.9898e-4-2.376e-6*c)*x*x
	return 1 - q*first + q*q*(1.83e-11-0.765e-8*x*x)
}

// checkHumid refuses air outside the range of Density, NaN included.
func checkHumid(t quantity.Temperature, p quantity.Pressure, humidity quantity.Ratio) error {
	const source = "range of CIPM-2007 as checked against IAPWS G8-10"
	if c := t.Celsius(); !(c >= coldest && c <= hottest) {
		return fmt.Errorf("air temperature %.6g °C: expected %.0f to %.0f °C, the %s: %w",
			c, coldest, hottest, source, ErrRange)
	}
	if !(p >= thinnest && p <= densest) {
		return fmt.Errorf("air pressure %.6g hPa: expected %.0f to %.0f hPa, the %s: %w",
			float64(p)/100, float64(thinnest)/100, float64(densest)/100, source, ErrRange)
	}
	if !(humidity >= 0 && humidity <= 1) {
		return fmt.Errorf("relative humidity %.6g: expected 0 to 1: %w", float64(humidity), ErrRange)
	}
	return nil
}
