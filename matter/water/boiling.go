package water

import (
	"math"

	"fairburn/quantity"
)

// Coefficients n1 to n10 of the boiling line,
// with line[0] unused so that indices are the printed ones.
// Source: IAPWS R7-97(2012), Table 34.
var line = [11]float64{0,
	1.1670521452767e3, -7.2421316703206e5, -1.7073846940092e1, 1.2020824702470e4, -3.2325550322333e6,
	1.4915108613530e1, -4.8232657361591e3, 4.0511340542057e5, -2.3855557567849e-1, 6.5017534844798e2,
}

// The ends of the boiling line as its own equation gives them, so that each
// direction takes what the other returns: 611.213 Pa at 273.15 K and
// 22.064 MPa at the critical point, 647.096 K.
var (
	lowestPascal   = boilingPascal(lowestKelvin)
	criticalPascal = boilingPascal(criticalKelvin)
)

// SaturationTemperature returns the boiling point of water under pressure p,
// from 611.213 Pa to 22.064 MPa. The formulation's root is exact in both
// directions, so SaturationPressure gives p back.
//
// Source: IAPWS R7-97(2012), equation 31 and Table 34; its own consistency with
// the reference formulation IAPWS-95 is better than 0.01 K below 100 °C (from memory).
func SaturationTemperature(p quantity.Pressure) (quantity.Temperature, error) {
	if err := checkPressure("boiling point of water", p, criticalPascal); err != nil {
		return quantity.Temperature{}, err
	}
	return quantity.Kelvin(boilingKelvin(float64(p))), nil
}

// SaturationPressure returns the pressure under which water boils at t, from 0 °C to 373.946 °C.
//
// Source: IAPWS R7-97(2012), equation 30 and Table 34.
func SaturationPressure(t quantity.Temperature) (quantity.Pressure, error) {
	if err := checkTemperature("boiling pressure of water", t, criticalKelvin); err != nil {
		return 0, err
	}
	return quantity.Pressure(boilingPascal(t.Kelvin())), nil
}

// SaturationSlope returns dT/dp of the boiling line under pressure p, in K/Pa:
// 2.77e-4 K/Pa at sea level, so 1 hPa of weather moves the boiling point by
// 0.028 K. Same range as SaturationTemperature, without the critical point itself.
//
// It is the derivative of the implicit quadratic that both directions solve,
// with β = p^¼ and ϑ = T + n9/(T − n10):
// β²ϑ² + n1β²ϑ + n2β² + n3βϑ² + n4βϑ + n5β + n6ϑ² + n7ϑ + n8 = 0.
//
// Source: IAPWS R7-97(2012), equation 29.
func SaturationSlope(p quantity.Pressure) (float64, error) {
	if err := checkPressure("slope of the boiling line", p, criticalPascal); err != nil {
		return 0, err
	}
	t := boilingKelvin(float64(p))
	th := t + line[9]/(t-line[10])
	b := math.Sqrt(math.Sqrt(float64(p) / 1e6))
	byBeta := 2*b*(th*th+line[1]*th+line[2]) + line[3]*th*th + line[4]*th + line[5]
	byTheta := b*b*(2*th+line[1]) + b*(2*line[3]*th+line[4]) + 2*line[6]*th + line[7]
	thetaByT := 1 - line[9]/((t-line[10])*(t-line[10]))
	betaByP := b / (4 * float64(p))
	return -byBeta / byTheta * betaByP / thetaByT, nil
}

// boilingKelvin is R7-97 equation 31, p in Pa.
func boilingKelvin(p float64) float64 {
	b := math.Sqrt(math.Sqrt(p / 1e6))
	e := b*b + line[3]*b + line[6]
	f := line[1]*b*b + line[4]*b + line[7]
	g := line[2]*b*b + line[5]*b + line[8]
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	return (line[10] + d - math.Sqrt((line[10]+d)*(line[10]+d)-4*(line[9]+line[10]*d))) / 2
}

// boilingPascal is R7-97 equation 30, t in K.
func boilingPascal(t float64) float64 {
	th := t + line[9]/(t-line[10])
	a := th*th + line[1]*th + line[2]
	b := line[3]*th*th + line[4]*th + line[5]
	c := line[6]*th*th + line[7]*th + line[8]
	root := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return root * root * root * root * 1e6
}
