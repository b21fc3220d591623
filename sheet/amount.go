package sheet

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"fairburn/quantity"
)

// spell is how one quantity is read, and how a value without a text is
// written, with that many digits.
type spell[Q comparable] struct {
	parse func(string, quantity.System) (quantity.Reading[Q], error)
	show  func(q Q, digits int) string
	such  [3]string // an example for a form, by system
}

// plain makes a spell of a parser that needs no system of units.
func plain[Q comparable](parse func(string) (quantity.Reading[Q], error), show func(Q, int) string) *spell[Q] {
	return &spell[Q]{
		parse: func(s string, _ quantity.System) (quantity.Reading[Q], error) { return parse(s) },
		show:  show,
	}
}

// like gives the examples, of a metric bench and of US and imperial ones.
func (s *spell[Q]) like(metric, us, imperial string) *spell[Q] {
	s.such = [3]string{quantity.Metric: metric, quantity.US: us, quantity.Imperial: imperial}
	return s
}

// in writes a quantity in the unit that people use, and where no number of it
// names the value in the unit of SI, which always does.
func in[Q ~float64](unit Q, name, si string) func(Q, int) string {
	return func(q Q, digits int) string {
		if digits == mostDigits {
			return strings.TrimSpace(digitsOf(float64(q), digits) + " " + si)
		}
		return digitsOf(float64(q/unit), digits) + " " + name
	}
}

func digitsOf(x float64, digits int) string { return strconv.FormatFloat(x, 'g', digits, 64) }

var (
	masses       = plain(quantity.ParseMass, in(quantity.Gram, "g", "kg")).like("12.4 g", "1/2 oz", "1/2 oz")
	volumes      = (&spell[quantity.Volume]{parse: quantity.ParseVolume, show: showVolume}).like("30 mL", "1 US fl oz", "1 imp fl oz")
	lengths      = plain(quantity.ParseLength, in(quantity.Millimetre, "mm", "m")).like("24 mm", "1 1/16 in", "1 1/16 in")
	elevations   = plain(quantity.ParseElevation, in(quantity.Metre, "m", "m")).like("2100 m", "6900 ft", "6900 ft")
	pressures    = plain(quantity.ParsePressure, in(quantity.Hectopascal, "hPa", "Pa")).like("985 hPa", "29.1 inHg", "985 hPa")
	speeds       = plain(quantity.ParseSpeed, in(quantity.MetrePerSecond, "m/s", "m/s")).like("3 m/s", "7 mph", "7 mph")
	differences  = plain(quantity.ParseTempDiff, in(quantity.TempDiff(1), "K", "K")).like("0.1 K", "0.2 °F", "0.1 K")
	ratios       = plain(quantity.ParseRatio, in(quantity.Ratio(0.01), "%", "")).like("5 %", "5 %", "5 %")
	losses       = plain(quantity.ParseConductance, in(quantity.Conductance(1), "W/K", "W/K")).like("1.2 W/K", "1.2 W/K", "1.2 W/K")
	temperatures = plain(quantity.ParseTemperature, showTemperature).like("18.3 °C", "65 °F", "18.3 °C")
	strengths    = plain(quantity.ParseStrength, showStrength).like("95 % vol", "190 proof", "95 % vol")
	spans        = plain(quantity.ParseDuration, showSpan).like("7:12", "7:12", "7:12")
)

func showVolume(v quantity.Volume, digits int) string {
	return digitsOf(float64(v/quantity.Millilitre), digits) + " mL"
}

// showTemperature writes °C, and K where no number of °C names the value.
func showTemperature(t quantity.Temperature, digits int) string {
	if digits == mostDigits {
		return digitsOf(t.Kelvin(), digits) + " K"
	}
	return digitsOf(t.Celsius(), digits) + " °C"
}

func showStrength(s quantity.Strength, digits int) string {
	switch s.Basis {
	case quantity.ByVolume:
		return digitsOf(100*s.Value, digits) + " % vol"
	case quantity.ByProof:
		return digitsOf(200*s.Value, digits) + " proof"
	}
	return digitsOf(100*s.Value, digits) + " % by mass"
}

// showSpan writes 7:12, or 7:12.5 with as many digits as the time has.
func showSpan(d time.Duration, _ int) string {
	s := fmt.Sprintf("%d:%02d", d/time.Minute, d%time.Minute/time.Second)
	if part := d % time.Second; part != 0 {
		s += strings.TrimRight(fmt.Sprintf(".%09d", part), "0")
	}
	return s
}

// mostDigits name every float64.
const mostDigits = 17

// said writes a value so that it reads back as itself: with few digits where
// they do, else with all. Some volumes lie between two numbers of mL, and are
// off by one in the last place of their float64. It is false for a value that
// cannot be read at all.
func (s *spell[Q]) said(q Q, sys quantity.System) (string, bool) {
	for _, digits := range []int{6, 12, 15, 16, mostDigits} {
		t := s.show(q, digits)
		if r, err := s.parse(t, sys); err == nil && r.Value == q {
			return t, true
		}
	}
	t := s.show(q, mostDigits)
	_, err := s.parse(t, sys)
	return t, err == nil
}

// written returns the text of a reading: as typed where that still reads as
// the same reading, else its value.
func (s *spell[Q]) written(r quantity.Reading[Q], sys quantity.System) (string, bool) {
	again, err := s.parse(r.Text, sys)
	again.Instrument = r.Instrument
	if err == nil && again == r {
		return r.Text, true
	}
	return s.said(r.Value, sys)
}

// reading is a quantity as read: "14.9 g", or { read = "14.9 g", with = "kitchen scale" }.
//
//go:noinline
func reading[P any, Q comparable](name, holds string, s *spell[Q], get func(P) *quantity.Reading[Q]) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Reading, example: s.such, with: true},
		read: func(r *reader, p place, v *node, into P) {
			v, with := r.instrument(p, v)
			parse := func(text string) (quantity.Reading[Q], error) { return s.parse(text, r.system) }
			if got, ok := understand(r, p, v, parse); ok {
				got.Instrument = with
				setOnce(r, p, v, get(into), got)
			}
		},
		write: func(w *writer, from P) string {
			return writeReading(w, name, s, *get(from))
		},
	}
}

func writeReading[Q comparable](w *writer, name string, s *spell[Q], got quantity.Reading[Q]) string {
	if !got.Given {
		return ""
	}
	text, ok := s.written(got, w.system)
	if !ok {
		w.cannot(name, got.Value)
	}
	if got.Instrument == "" {
		return w.quote(text)
	}
	return "{ read = " + w.quote(text) + ", with = " + w.quote(got.Instrument) + " }"
}

// setOnce keeps the first of two readings that two keys give for one thing.
func setOnce[Q any](r *reader, p place, v *node, into *quantity.Reading[Q], got quantity.Reading[Q]) {
	if into.Given {
		r.say("given_twice", v.at, p.path, fmt.Sprintf("read %q where %q was given under another key", got.Text, into.Text), "keep one of them; the first was read")
		return
	}
	*into = got
}

// understand parses what stands behind a key and reports what it cannot.
func understand[R any](r *reader, p place, v *node, parse func(string) (R, error)) (R, bool) {
	var none R
	if v == nil {
		return none, false
	}
	s, ok := r.quantityText(p, v, func(s string) error { _, err := parse(s); return err })
	if !ok {
		return none, false
	}
	got, err := parse(s)
	if err != nil {
		r.refuse(p, v, err)
		return none, false
	}
	return got, true
}

// read is a reading that names its instrument.
type read struct {
	value *node
	with  string
}

var readKeysOfReading = []*key[*read]{
	{name: "read", read: func(_ *reader, _ place, v *node, into *read) { into.value = v }},
	words("with", "", func(x *read) *string { return &x.with }),
}

// instrument takes { read = …, with = … } apart. The node is nil where nothing was read.
func (r *reader) instrument(p place, v *node) (*node, string) {
	if v.kind != table {
		return v, ""
	}
	var got read
	readKeys(r, p.path, v, readKeysOfReading, &got)
	if got.value == nil {
		r.say("reading_missing", v.at, p.path, r.remedy("read a table without the key read", "an instrument is named and no reading of it"), r.remedy(fmt.Sprintf("write %s = { read = %q, with = %q }", p.name, "14.9 g", "the name of the instrument"), "write what was read, or leave the instrument out"))
	}
	return got.value, got.with
}

// setting is a value that decides how a trial is read; how it was typed does
// not matter.
//
//go:noinline
func setting[P any, Q comparable](name, holds string, s *spell[Q], get func(P) *Q) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Reading, example: s.such},
		read: func(r *reader, p place, v *node, into P) {
			parse := func(text string) (quantity.Reading[Q], error) { return s.parse(text, r.system) }
			if got, ok := understand(r, p, v, parse); ok {
				*get(into) = got.Value
			}
		},
		write: func(w *writer, from P) string {
			text, ok := s.said(*get(from), w.system)
			if !ok {
				w.cannot(name, *get(from))
			}
			return w.quote(text)
		},
	}
}

// dose is a mass or a volume.
type dose struct {
	mass   *quantity.Reading[quantity.Mass]
	volume *quantity.Reading[quantity.Volume]
}

// dosed is a key that takes a mass or a volume. what names the stuff for a
// person. Where both are given, the volume is written here and the mass under
// the key with _mass.
//
//go:noinline
func dosed[P any](name, holds, what string, get func(P) dose) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Reading, example: volumes.such, with: true},
		read: func(r *reader, p place, v *node, into P) {
			v, with := r.instrument(p, v)
			got, ok := understand(r, p, v, func(s string) (quantity.Dose, error) {
				d, err := quantity.ParseDose(s, r.system)
				return d, renamed(err, what)
			})
			if !ok {
				return
			}
			d := get(into)
			if got.Mass.Given {
				got.Mass.Instrument = with
				setOnce(r, p, v, d.mass, got.Mass)
				return
			}
			got.Volume.Instrument = with
			setOnce(r, p, v, d.volume, got.Volume)
		},
		write: func(w *writer, from P) string {
			d := get(from)
			if d.volume.Given {
				return writeReading(w, name, volumes, *d.volume)
			}
			return writeReading(w, name, doseMass, *d.mass)
		},
	}
}

// doseMass is a mass under a key that also takes volumes, where a bare oz is refused.
var doseMass = &spell[quantity.Mass]{
	parse: func(s string, sys quantity.System) (quantity.Reading[quantity.Mass], error) {
		d, err := quantity.ParseDose(s, sys)
		return d.Mass, err
	},
	show: masses.show,
}

// renamed says what was wanted in the words of another stuff than fuel.
func renamed(err error, what string) error {
	pe, ok := err.(*quantity.ParseError)
	if !ok || what == "a dose" {
		return err
	}
	again := *pe
	again.Want = strings.Replace(pe.Want, "a dose", what, 1)
	return &again
}
