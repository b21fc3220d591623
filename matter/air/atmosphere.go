// Package air holds the air a burner stands in: how its pressure falls with
// height in the standard atmosphere, how an altimeter setting turns into the
// pressure on the bench, and how dense humid air is.
//
// Where water boils on a hill is a composition that callers make: StationPressure,
// or PressureAtElevation when nothing better than a map is to hand, then
// water.SaturationTemperature.
// Elevation alone is the fallback: weather moves the pressure by WeatherSpread
// either way, most of a kelvin of boiling point.
//
// The package refuses heights outside the lowest layer of the standard
// atmosphere, altimeter settings that no weather has made, and humid air
// outside the range its equation was checked in. It does not take "sea-level
// pressure" (QFF): weather services reduce that with the day's temperature and
// it cannot be turned back by the formula for an altimeter setting (QNH).
//
// Read atmosphere.go, altimeter.go, humid.go.
package air

import (
	"errors"
	"fmt"
	"math"

	"fairburn/quantity"
)

// ErrRange is wrapped by every error of this package.
var ErrRange = errors.New("out of range")

// The standard atmosphere, lowest layer. Sources: U.S. Standard Atmosphere,
// 1976, Table 2 and sections 1.1-1.3; the same in ISO 2533:1975, section 2.
// The gas constant is the 1976 value, since the tables rest on it.
const (
	gravity      = 9.80665             // m/s²
	gasConstant  = 8.31432 / 0.0289644 // J/(kg·K), R*/M
	groundKelvin = 288.15
	groundPascal = 101325.0
	lapse        = 0.0065    // K/m
	earthRadius  = 6356766.0 // m, for geopotential against geometric height

	exponent = gravity / (gasConstant * lapse) // 5.25588
)

const (
	lowest  Geopotential = -500  // m
	highest Geopotential = 11000 // m, where the lapse ends
)

// WeatherSpread is the half-width of what weather does to the pressure at one
// place: about 20 to 30 hPa either way in the middle latitudes, from memory. It
// belongs in the budget of a pressure that was taken from elevation alone.
const WeatherSpread = 30 * quantity.Hectopascal

// Geopotential is a geopotential height in m: height with the thinning of
// gravity taken out, which is what the standard atmosphere counts in. It is a
// type of its own because a map prints something else: 5000 m on the map are
// 4996 m, 28 Pa of pressure.
type Geopotential float64

// FromMap turns a height above sea level as maps give it into a geopotential
// height, H = r0·z/(r0 + z) with r0 = 6 356 766 m. The result must lie in
// −500 to 11 000 m.
//
// Source: U.S. Standard Atmosphere, 1976, equation 18.
func FromMap(z quantity.Length) (Geopotential, error) {
	h := Geopotential(earthRadius * float64(z) / (earthRadius + float64(z)))
	return h, h.check()
}

// OnMap returns the height a map would print, z = r0·H/(r0 − H).
//
// Source: U.S. Standard Atmosphere, 1976, equation 19.
func (h Geopotential) OnMap() quantity.Length {
	return quantity.Length(earthRadius * float64(h) / (earthRadius - float64(h)))
}

// check refuses heights outside the lowest layer, NaN included.
func (h Geopotential) check() error {
	if !(h >= lowest && h <= highest) {
		return fmt.Errorf("height %.6g m: expected %.0f to %.0f m, the lowest layer of ISO 2533: %w",
			float64(h), float64(lowest), float64(highest), ErrRange)
	}
	return nil
}

// Standard is the state of the standard atmosphere at one height.
type Standard struct {
	Temperature quantity.Temperature
	Pressure    quantity.Pressure
	Density     quantity.Density // dry air
}

// At returns the standard atmosphere at geopotential height h, −500 to 11 000 m:
// T = T0 − L·H, p = p0·(T/T0)^(g0·M/(R*·L)), ρ = p·M/(R*·T).
//
// Source: U.S. Standard Atmosphere, 1976, equations 23, 33a and 42; ISO 2533:1975.
func At(h Geopotential) (Standard, error) {
	if err := h.check(); err != nil {
		return Standard{}, err
	}
	t, p := standardKelvin(h), standardPascal(h)
	return Standard{quantity.Kelvin(t), quantity.Pressure(p), quantity.Density(p / (gasConstant * t))}, nil
}

// PressureAtElevation returns the pressure of the standard atmosphere at a height
// as maps give it. Weather moves the true one by WeatherSpread; an altimeter
// setting or a barometer is better. Range as FromMap.
//
// Source: as FromMap and At.
func PressureAtElevation(z quantity.Length) (quantity.Pressure, error) {
	h, err := FromMap(z)
	if err != nil {
		return 0, err
	}
	return quantity.Pressure(standardPascal(h)), nil
}

// PressureHeight returns the geopotential height at which the standard
// atmosphere has pressure p, H = (T0/L)·[1 − (p/p0)^(1/k)], for p from 226.32
// hPa (11 000 m) to 1074.78 hPa (−500 m). It is the pressure altitude of an
// altimeter set to 1013.25 hPa.
//
// Source: U.S. Standard Atmosphere, 1976, equation 33a solved for H.
func PressureHeight(p quantity.Pressure) (Geopotential, error) {
	low, high := standardPascal(highest), standardPascal(lowest)
	if !(float64(p) >= low && float64(p) <= high) {
		return 0, fmt.Errorf("pressure %.6g hPa: expected %.2f to %.2f hPa, the lowest layer of ISO 2533: %w",
			float64(p)/100, low/100, high/100, ErrRange)
	}
	return Geopotential(groundKelvin / lapse * (1 - math.Pow(float64(p)/groundPascal, 1/exponent))), nil
}

func standardKelvin(h Geopotential) float64 { return groundKelvin - lapse*float64(h) }

func standardPascal(h Geopotential) float64 {
	return groundPascal * math.Pow(standardKelvin(h)/groundKelvin, exponent)
}
