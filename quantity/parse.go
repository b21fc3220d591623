package quantity

import (
	"math"
	"slices"
	"strings"
)

// amount is a writing understood as one quantity, in SI.
type amount struct {
	value, step, tolerance float64
	written                float64 // the number of the last part
	unit                   string
	valueUnit, marginUnit  unit // of the last part, and of the half-width
}

// ParseMass reads a mass: "25.20 g", "7/8 oz", "1 ¾ oz", "1 lb 3 oz", "0.5 kg ± 1 g".
// Here "oz" is the avoirdupois ounce, since nothing else is possible. Every
// Parse function keeps the text as written and returns a *ParseError when it
// cannot be understood. A negative mass is refused.
func ParseMass(s string) (Reading[Mass], error) { return parse[Mass](s, massTable) }

// ParseVolume reads a volume: "500 mL", "2 cups", "1 US fl oz", "1/2 imp pint".
// A bare cup, pint, spoon or fl oz is read by sys; the metric system has no
// fluid ounce and no pint, so those are refused with what to write.
func ParseVolume(s string, sys System) (Reading[Volume], error) {
	return parse[Volume](s, volumeTables[sys])
}

// ParseTempDiff reads a difference of temperatures, which may be negative:
// "1.5 K", "80 °C", "-9 °F" (5 K less).
func ParseTempDiff(s string) (Reading[TempDiff], error) { return parse[TempDiff](s, tempDiffTable) }

// ParsePressure reads an absolute pressure: "985 hPa", "29.92 inHg", "101.3 kPa".
// Inches and millimetres of mercury are the conventional ones (NIST SP 811 B.8).
func ParsePressure(s string) (Reading[Pressure], error) { return parse[Pressure](s, pressureTable) }

// ParseLength reads a length: "24 mm", "1/16 in", `2-3/8"`, "5 ft 3 in".
func ParseLength(s string) (Reading[Length], error) { return parse[Length](s, lengthTable) }

// ParseElevation reads a height above the sea, which may be negative: "2100 m", "-282 ft".
func ParseElevation(s string) (Reading[Length], error) { return parse[Length](s, elevationTable) }

// ParsePower reads a power: "650 W", "1.2 kW", "4000 BTU/h" (International Table).
func ParsePower(s string) (Reading[Power], error) { return parse[Power](s, powerTable) }

// ParseConductance reads the heat loss of a pot: "1.2 W/K", "1.2 ± 0.3 W/K".
func ParseConductance(s string) (Reading[Conductance], error) {
	return parse[Conductance](s, conductanceTable)
}

// ParseEnergy reads an energy: "180 kJ", "50 Wh", "170 BTU" (International
// Table). A kilocalorie must say which: kcal_IT or kcal_th.
func ParseEnergy(s string) (Reading[Energy], error) { return parse[Energy](s, energyTable) }

// ParseSpeed reads a speed: "3 m/s", "10 km/h", "5 mph", "8 kn".
func ParseSpeed(s string) (Reading[Speed], error) { return parse[Speed](s, speedTable) }

// ParseRatio reads a ratio: "50 %" or "0.5". A bare number of 1 or more is
// refused, since "50" is as likely 50 % as fiftyfold: write "150 %" for 1.5.
func ParseRatio(s string) (Reading[Ratio], error) {
	r, err := parse[Ratio](s, ratioTable)
	if err == nil && r.Unit == "" && r.Value >= 1 {
		text := strings.TrimSpace(s)
		return Reading[Ratio]{}, ratioTable.fail(s, 1, "a bare number of 1 or more can be read two ways: write it in %, such as "+text+" %")
	}
	return r, err
}

// ParseTemperature reads a point: "18.3 °C", "58 F", "291.5 K". A point below
// 0 K is refused.
func ParseTemperature(s string) (Reading[Temperature], error) {
	a, err := read(s, temperatureTable)
	if err != nil {
		return Reading[Temperature]{}, err
	}
	point := Kelvin
	switch a.unit {
	case "°C":
		point = Celsius
	case "°F":
		point = Fahrenheit
	}
	t := point(a.written)
	if t.kelvin < 0 {
		return Reading[Temperature]{}, temperatureTable.fail(s, 1, "nothing is colder than 0 K (-273.15 °C, -459.67 °F): check the sign and the unit")
	}
	return reading(t, s, a), nil
}

// parse reads s by the table.
func parse[Q ~float64](s string, t *table) (Reading[Q], error) {
	a, err := read(s, t)
	if err != nil {
		return Reading[Q]{}, err
	}
	return reading(Q(a.value), s, a), nil
}

func reading[T any](v T, text string, a amount) Reading[T] {
	return Reading[T]{Value: v, Text: text, Unit: a.unit, Step: a.step, Tolerance: a.tolerance, Given: true}
}

func read(s string, t *table) (amount, error) {
	w, err := scan(s, t.want)
	if err != nil {
		return amount{}, err
	}
	return t.understand(w)
}

// understand gives every part its unit and adds the parts up.
func (t *table) understand(w writing) (amount, error) {
	var a amount
	var names []string
	for i, p := range w.parts {
		u, err := t.unitOf(w, p)
		if err != nil {
			return a, err
		}
		if i > 0 {
			err = t.follows(w, i, a.valueUnit, u)
		}
		if err != nil {
			return a, err
		}
		a.value += u.si(p.value)
		a.written, a.step, a.valueUnit = p.value, u.si(p.step), u
		names = append(names, u.name)
	}
	a.unit = strings.Join(names, " ")
	if p := w.tolerance; p != nil {
		u, err := t.unitOf(w, *p)
		if err != nil {
			return a, err
		}
		a.tolerance, a.marginUnit = u.si(p.value), u
	}
	switch first := w.parts[0]; {
	case math.IsInf(a.value, 0) || math.IsInf(a.tolerance, 0) || a.step == 0:
		return a, t.fail(w.text, first.column, "the number is too large or too small to be held")
	case a.value < 0 && !t.signed:
		return a, t.fail(w.text, first.column, t.kind+" cannot be negative: check the sign")
	}
	return a, nil
}

// follows tells whether part i may follow the one before it: 3 oz after 1 lb.
func (t *table) follows(w writing, i int, before, u unit) error {
	p, last := w.parts[i], w.parts[i-1]
	switch {
	case !t.chain:
		return t.fail(w.text, p.column, "write one number with one unit")
	case p.signed || last.signed:
		return t.fail(w.text, p.column, "a value written in parts takes no sign")
	case !last.whole:
		return t.fail(w.text, last.column, "only the last part may have a fraction")
	case u.factor >= before.factor:
		return t.fail(w.text, p.unitColumn, u.name+" must come before "+before.name)
	case u.si(p.value) >= before.factor:
		return t.fail(w.text, p.column, p.plain+" "+u.name+" is not less than 1 "+before.name+": write one unit only, or carry over")
	}
	return nil
}

// unitOf finds the unit of a part, or says what is wrong with it.
func (t *table) unitOf(w writing, p part) (unit, error) {
	if u, ok := t.find(p.unit); ok {
		return u, nil
	}
	if p.unit == "" {
		return unit{}, t.fail(w.text, p.unitColumn, "add the unit, such as "+p.plain+" "+t.units[0].name)
	}
	if why, ok := t.refused[strings.ToLower(p.unit)]; ok {
		return unit{}, t.fail(w.text, p.unitColumn, why)
	}
	i := slices.IndexFunc(everyTable, func(other *table) bool { _, ok := other.find(p.unit); return ok })
	if i >= 0 {
		return unit{}, t.fail(w.text, p.unitColumn, p.unit+" belongs to "+everyTable[i].kind)
	}
	return unit{}, t.fail(w.text, p.unitColumn, p.unit+" is not one of these units")
}

func (t *table) fail(text string, column int, hint string) error {
	return &ParseError{Text: text, Want: t.want(), Column: column, Hint: hint}
}
