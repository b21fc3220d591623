package air

import (
	"fmt"
	"math"

	"fairburn/quantity"
)

// Altimeter settings that a bench can meet. The records at sea level are 870
// hPa and 1085 hPa (from memory), so what lies outside is a slip, most often
// the station pressure given as the setting.
const (
	lowestSetting  = 850 * quantity.Hectopascal
	highestSetting = 1100 * quantity.Hectopascal
)

// StationPressure returns the pressure at elevation, a height as maps give it,
// when the altimeter setting (QNH) is setting, 850 to 1100 hPa. The setting is
// by definition what makes a standard-atmosphere altimeter on the ground read
// its own height, so with the geopotential height H of FromMap
//
//	p = [QNH^n − p0^n·L·H/T0]^k, n = 1/k and k = g0·M/(R*·L).
//
// The product QNH·(1 − L·H/T0)^k that is often used instead agrees only when
// QNH = 1013.25 hPa. The instrument's height over the ground, 0.3 hPa in the
// Smithsonian form, is left out: 0.01 K of boiling point. Weather stations put
// their elevation in for H, 4 Pa at 1500 m.
//
// Source: definition as in Smithsonian Meteorological Tables, 1951, p. 269;
// constants of ISO 2533:1975.
func StationPressure(setting quantity.Pressure, elevation quantity.Length) (quantity.Pressure, error) {
	h, err := FromMap(elevation)
	if err != nil {
		return 0, err
	}
	if err := checkSetting(setting); err != nil {
		return 0, err
	}
	return shift(setting, -h), nil
}

// AltimeterSetting returns the altimeter setting (QNH) that belongs to pressure
// station at elevation, QNH = [p^n + p0^n·L·H/T0]^k; it undoes StationPressure.
// The setting must come out at 850 to 1100 hPa.
//
// Source: as StationPressure.
func AltimeterSetting(station quantity.Pressure, elevation quantity.Length) (quantity.Pressure, error) {
	h, err := FromMap(elevation)
	if err != nil {
		return 0, err
	}
	setting := shift(station, h)
	if err := checkSetting(setting); err != nil {
		return 0, fmt.Errorf("station pressure %.6g hPa at %.6g m: %w", float64(station)/100, float64(elevation), err)
	}
	return setting, nil
}

// shift returns the pressure h below p on the altimeter's scale.
func shift(p quantity.Pressure, h Geopotential) quantity.Pressure {
	root := math.Pow(float64(p)/groundPascal, 1/exponent) + lapse*float64(h)/groundKelvin
	return quantity.Pressure(groundPascal * math.Pow(root, exponent))
}

func checkSetting(setting quantity.Pressure) error {
	if !(setting >= lowestSetting && setting <= highestSetting) {
		return fmt.Errorf("altimeter setting %.6g hPa: expected %.0f to %.0f hPa, which all recorded weather keeps (a barometer read on site gives the station pressure, no setting): %w",
			float64(setting)/100, float64(lowestSetting)/100, float64(highestSetting)/100, ErrRange)
	}
	return nil
}
