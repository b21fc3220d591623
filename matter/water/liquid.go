package water

import (
	"fmt"

	"fairburn/quantity"
)

// superheat is how far above its boiling point liquid is still taken as liquid.
// A thermometer in a rolling boil reads up to about a kelvin over the boiling
// point. R7-97 section 5.1 says that region 1 gives reasonable values in the
// superheated liquid near the boiling line and names no limit (from memory);
// 5 K is this package's: up to there its enthalpy stays within 0.02 % of the
// superheated liquid of IAPWS-95, as near as at the boiling point itself
// (published_test.go).
const superheat = 5

// Coefficients of the liquid, γ = Σ n (7.1 − π)^I (τ − 1.222)^J with
// π = p/16.53 MPa and τ = 1386 K/T, in columns I, J, n.
// Source: IAPWS R7-97(2012), Table 2 and equation 7.
var region1 = newSeries([]term{
	{0, -2, 1.4632971213167e-1},
	{0, -1, -8.4548187169114e-1},
	{0, 0, -3.7563603672040},
	{0, 1, 3.3855169168385},
	{0, 2, -9.5791963387872e-1},
	{0, 3, 1.5772038513228e-1},
	{0, 4, -1.6616417199501e-2},
	{0, 5, 8.1214629983568e-4},
	{1, -9, 2.8319080123804e-4},
	{1, -7, -6.0706301565874e-4},
	{1, -1, -1.8990068218419e-2},
	{1, 0, -3.2529748770505e-2},
	{1, 1, -2.1841717175414e-2},
	{1, 3, -5.2838357969930e-5},
	{2, -3, -4.7184321073267e-4},
	{2, 0, -3.0001780793026e-4},
	{2, 1, 4.7661393906987e-5},
	{2, 3, -4.4141845330846e-6},
	{2, 17, -7.2694996297594e-16},
	{3, -4, -3.1679644845054e-5},
	{3, 0, -2.8270797985312e-6},
	{3, 6, -8.5205128120103e-10},
	{4, -5, -2.2425281908000e-6},
	{4, -2, -6.5171222895601e-7},
	{4, 10, -1.4341729937924e-13},
	{5, -8, -4.0516996860117e-7},
	{8, -11, -1.2734301741641e-9},
	{8, -6, -1.7424871230634e-10},
	{21, -29, -6.8762131295531e-19},
	{23, -31, 1.4478307828521e-20},
	{29, -38, 2.6335781662795e-23},
	{30, -39, -1.1947622640071e-23},
	{31, -40, 1.8228094581404e-24},
	{32, -41, -9.3537087292458e-26},
})

// The derivatives in use. Those by a carry the sign of a = 7.1 − π.
var (
	region1ByA  = region1.byA()
	region1ByB  = region1.byB()
	region1ByBB = region1ByB.byB()
)

// Enthalpy returns the specific enthalpy of liquid water, h = R·T·τ·γ_τ, which
// is 0.6 J/kg at the triple point: only differences mean anything. The heat to
// bring water from t0 to t1 is Enthalpy(t1, p) − Enthalpy(t0, p).
//
// Range: 0 °C to 350 °C, from the boiling pressure (or, at most 5 K above the
// boiling point, a little under it) to 100 MPa.
//
// Source: IAPWS R7-97(2012), equation 7, Tables 2 and 3.
func Enthalpy(t quantity.Temperature, p quantity.Pressure) (quantity.SpecificEnergy, error) {
	if err := checkLiquid("enthalpy of liquid water", t, p); err != nil {
		return 0, err
	}
	return quantity.SpecificEnergy(liquidEnthalpy(t.Kelvin(), float64(p))), nil
}

// Density returns the density of liquid water, p/(R·T·π·γ_π), without dissolved
// air. Range as Enthalpy.
//
// Source: IAPWS R7-97(2012), equation 7, Tables 2 and 3.
func Density(t quantity.Temperature, p quantity.Pressure) (quantity.Density, error) {
	if err := checkLiquid("density of liquid water", t, p); err != nil {
		return 0, err
	}
	a, b := liquidArguments(t.Kelvin(), float64(p))
	volume := -gasConstant * t.Kelvin() / liquidPressure * region1ByA.at(a, b)
	return quantity.Density(1 / volume), nil
}

// SpecificHeat returns the isobaric specific heat of liquid water,
// c_p = −R·τ²·γ_ττ. For the heat of a rise take a difference of Enthalpy
// instead. Range as Enthalpy.
//
// Source: IAPWS R7-97(2012), equation 7, Tables 2 and 3.
func SpecificHeat(t quantity.Temperature, p quantity.Pressure) (quantity.SpecificHeat, error) {
	if err := checkLiquid("specific heat of liquid water", t, p); err != nil {
		return 0, err
	}
	a, b := liquidArguments(t.Kelvin(), float64(p))
	tau := liquidKelvin / t.Kelvin()
	return quantity.SpecificHeat(-gasConstant * tau * tau * region1ByBB.at(a, b)), nil
}

// The reducing values p* and T* of region 1, R7-97 section 5.1.
const (
	liquidPressure = 16.53e6 // Pa
	liquidKelvin   = 1386.0
)

// liquidArguments returns 7.1 − π and τ − 1.222.
func liquidArguments(t, p float64) (a, b float64) {
	return 7.1 - p/liquidPressure, liquidKelvin/t - 1.222
}

func liquidEnthalpy(t, p float64) float64 {
	a, b := liquidArguments(t, p)
	return gasConstant * liquidKelvin * region1ByB.at(a, b)
}

// checkLiquid refuses what is not liquid, superheat allowed.
func checkLiquid(what string, t quantity.Temperature, p quantity.Pressure) error {
	if err := checkTemperature(what, t, highestKelvin); err != nil {
		return err
	}
	if err := checkPressure(what, p, highestPascal); err != nil {
		return err
	}
	if float64(p) >= criticalPascal {
		return nil
	}
	if boils := boilingKelvin(float64(p)); t.Kelvin() > boils+superheat {
		return fmt.Errorf("%s at %.6g °C under %.7g hPa: it boils at %.2f °C, expected at most %v K above that: %w",
			what, t.Celsius(), float64(p)/100, boils-273.15, superheat, ErrRange)
	}
	return nil
}
