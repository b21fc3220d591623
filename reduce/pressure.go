package reduce

import (
	"cmp"
	"fmt"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/matter/air"
	"fairburn/matter/water"
	"fairburn/quantity"
)

// pressure is the station pressure with what limits it.
type pressure struct {
	known bool
	value quantity.Pressure
	half  quantity.Pressure // half-width
	from  string            // the shared key
}

// stationPressure finds the pressure at the bench: a barometer reading leads,
// then altimeter setting with elevation, then elevation alone in the standard
// atmosphere, which can be a kelvin of boiling point off and says so. What the
// weather did to it is one error for the burns of a day and another for each
// day, so day is part of its key.
func stationPressure(s *burn.Site, in *Setup, day string) (pressure, []finding.Finding) {
	switch {
	case s.Station.Given:
		p := barometer(s.Station, &in.Tools, &in.Rules)
		return p, impossiblePressure(p.value, in.Units)
	case s.Altimeter.Given && s.Elevation.Given:
		v, err := air.StationPressure(s.Altimeter.Value, s.Elevation.Value)
		if err != nil {
			return pressure{}, []finding.Finding{pressureFault(err)}
		}
		return pressure{true, v, in.Rules.Pressure, "altimeter setting"}, impossiblePressure(v, in.Units)
	case s.Elevation.Given:
		v, err := air.PressureAtElevation(s.Elevation.Value)
		if err != nil {
			return pressure{}, []finding.Finding{pressureFault(err)}
		}
		slope, _ := water.SaturationSlope(v) // no elevation that air takes is out of its range
		return pressure{true, v, air.WeatherSpread, "weather" + day}, []finding.Finding{{
			Code: "pressure_from_elevation", Severity: finding.Note, Where: finding.Place{Field: "site.elevation"},
			Sentence: fmt.Sprintf("station pressure is taken from the elevation alone (%s), which weather moves by up to %s and the boiling point by %s",
				s.Elevation.Text, quantity.FormatBrief(air.WeatherSpread, in.Units), quantity.Format(quantity.TempDiff(slope*float64(air.WeatherSpread)), in.Units)),
			Remedy: "read a barometer, or write the altimeter setting beside the elevation",
		}}
	}
	sentence := "neither station pressure nor elevation is given, so the boiling point is unknown and nothing is corrected"
	if s.Altimeter.Given {
		sentence = "the altimeter setting says nothing of the pressure here without the elevation, so the boiling point is unknown and nothing is corrected"
	}
	return pressure{}, []finding.Finding{{
		Code: "pressure_missing", Severity: finding.Caution, Where: finding.Place{Field: "site.station_pressure"},
		Sentence: sentence,
		Remedy:   "write the station pressure, or the altimeter setting and the elevation, or at least the elevation",
	}}
}

// barometer is a station pressure with the half-width written beside it, else
// that of the barometer which it names, else, if it names none, of the first
// on the shelf.
func barometer(r quantity.Reading[quantity.Pressure], tools *gear.Tools, rules *Rules) pressure {
	b, ok := gear.Find(tools.Barometers, r.Instrument)
	if r.Instrument == "" && len(tools.Barometers) > 0 {
		b, ok = tools.Barometers[0], true
	}
	p := pressure{true, r.Value, rules.Pressure, "barometer: " + cmp.Or(b.Name, r.Instrument, unnamed)}
	switch {
	case r.Tolerance > 0:
		p.half = quantity.Pressure(r.Tolerance)
	case ok && given(b.Limit):
		p.half = b.Limit.Value
	}
	return p
}

// unnamed stands in shared keys for an instrument, pot or fuel that nobody named.
const unnamed = "not named"

// impossiblePressure catches pressures that no bench has: most are pressures
// reduced to sea level, or another unit.
func impossiblePressure(p quantity.Pressure, sys quantity.System) []finding.Finding {
	low, high := 450*quantity.Hectopascal, 1085*quantity.Hectopascal
	if p >= low && p <= high {
		return nil
	}
	return []finding.Finding{{
		Code: "pressure_implausible", Severity: finding.Caution, Where: finding.Place{Field: "site.station_pressure"},
		Sentence: fmt.Sprintf("station pressure %s: expected %s to %s", quantity.Format(p, sys), quantity.FormatBrief(low, sys), quantity.FormatBrief(high, sys)),
		Remedy:   "check the unit, and that it is the pressure at the bench and not at sea level",
	}}
}

func pressureFault(err error) finding.Finding {
	return finding.Finding{Code: "pressure_out_of_range", Severity: finding.Fault, Where: finding.Place{Field: "site"}, Sentence: err.Error(), Remedy: "check elevation and altimeter setting"}
}
