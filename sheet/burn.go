package sheet

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/quantity"
)

// siteKeys are the keys of a place, in a section of its own or among those of
// a burn; name is the key of its name there.
func siteKeys[P any](name string, get func(P) *burn.Site) []*key[P] {
	return []*key[P]{
		words(name, "place; what it is called", func(x P) *string { return &get(x).Name }),
		reading("station_pressure", "air pressure that a barometer reads there; not a forecast's, which is that at sea level", pressures, func(x P) *quantity.Reading[quantity.Pressure] { return &get(x).Station }),
		reading("altimeter_setting", "altimeter setting (QNH); not a forecast's pressure at sea level, and says nothing without the height", pressures, func(x P) *quantity.Reading[quantity.Pressure] { return &get(x).Altimeter }),
		reading("elevation", "height above the sea, from a map", elevations, func(x P) *quantity.Reading[quantity.Length] { return &get(x).Elevation }),
		reading("air", "temperature of the air, in shade", temperatures, func(x P) *quantity.Reading[quantity.Temperature] { return &get(x).Air }),
		reading("humidity", "relative humidity", ratios, func(x P) *quantity.Reading[quantity.Ratio] { return &get(x).Humidity }).like("55 %", "55 %", "55 %"),
		wind(get),
		only(words("wind_seen", "word for the wind, beside a measured speed", func(x P) *string { return &get(x).WindWord }), func(x P) bool { return get(x).Wind.Given }),
	}
}

// wind is a speed, or a word such as "still".
func wind[P any](get func(P) *burn.Site) *key[P] {
	speed := reading("wind", "wind; a speed, or a word such as still, draught, breeze", speeds, func(x P) *quantity.Reading[quantity.Speed] { return &get(x).Wind })
	read, write := speed.read, speed.write
	speed.read = func(r *reader, p place, v *node, into P) {
		if v.kind == text && !strings.ContainsAny(v.text, "0123456789½¼¾") {
			get(into).WindWord = v.text
			return
		}
		read(r, p, v, into)
	}
	speed.write = func(w *writer, from P) string {
		if s := get(from); !s.Wind.Given {
			return w.filled(s.WindWord)
		}
		return write(w, from)
	}
	return speed
}

// siteOnly are the keys of [site].
var siteOnly = siteKeys("name", func(s *burn.Site) *burn.Site { return s })

var burnKeys = slices.Concat(
	[]*key[*burn.Record]{
		label("id", "number or name of the burn", func(b *burn.Record) *string { return &b.ID }),
		label("entry", "entry that burned; by its name", func(b *burn.Record) *string { return &b.Entry }),
		label("block", "block; day or session in which every entry burns once", func(b *burn.Record) *string { return &b.Block }),
		count("order", "turn in the order of burning, from 1", func(b *burn.Record) *int { return &b.Order }),
		count("station", "station; place on the bench", func(b *burn.Record) *int { return &b.Station }),
		label("tester", "tester; who held the watch", func(b *burn.Record) *string { return &b.Tester }),
		label("date", "date; as you write dates", func(b *burn.Record) *string { return &b.Date }),
		levels(),

		dosed("dose", "fuel poured, by volume or by mass; not the fuel burned", "a dose", func(b *burn.Record) dose { return dose{&b.Fuel.DoseMass, &b.Fuel.DoseVolume} }),
		only(reading("dose_mass", "mass of the fuel poured; where its volume was measured too", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.DoseMass }), func(b *burn.Record) bool { return b.Fuel.DoseVolume.Given }),
		reading("fuel_temperature", "temperature of the fuel when measured out", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Fuel.Temperature }),
		word("weighed", "what stood on the scale: fuel, burner and fuel, stack", one("weighed", burn.FuelOnly, burn.BurnerAndFuel, burn.Stack), func(b *burn.Record) *burn.Weighed { return &b.Fuel.Weighed }),
		reading("poured", "mass after pouring, before the light", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.Poured }),
		reading("at_pot_on", "mass when the pot went on", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.AtPotOn }),
		reading("at_boil", "mass at the boil", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.AtBoil }),
		left(),
		word("to_boil_by", "how fuel to boil is known: snuffed at the boil, scale under the burner, scale under the stack, prorated",
			one("to_boil_by", burn.SnuffedAtBoil, burn.ScaleBurner, burn.ScaleStack, burn.Prorated), func(b *burn.Record) *burn.ToBoilBy { return &b.Fuel.ToBoilBy }),

		dosed("water", "water, by mass or by volume", "water", func(b *burn.Record) dose { return dose{&b.Water.Mass, &b.Water.Volume} }).like("500 mL", "2 US cups", "500 mL"),
		only(reading("water_mass", "mass of the water; where its volume was measured too", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Water.Mass }).like("500 g", "16 oz", "500 g"), func(b *burn.Record) bool { return b.Water.Volume.Given }),
		reading("water_end", "mass of the water at the end; at the boil, or when the pot came off", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Water.End }).like("483 g", "15.5 oz", "483 g"),
		reading("start", "temperature of the stirred water before the light", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Water.Start }),
		reading("peak", "highest temperature of the stirred water; where it did not boil", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Water.Peak }).like("91.5 °C", "197 °F", "91.5 °C"),
		timed("peak_at", "time of the highest temperature", func(b *burn.Record) *quantity.Reading[time.Duration] { return &b.Water.PeakAt }),
		reading("boiling", "temperature of the water read at the boil", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Water.Boiling }).like("99.2 °C", "210 °F", "99.2 °C"),
		reading("burner_temperature", "temperature of the burner at light; where it was not that of the air", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Burner }),
	},
	siteKeys("place", func(b *burn.Record) *burn.Site { return &b.Site }),
	markKeys(),
	[]*key[*burn.Record]{
		word("boil_by", "how the boil was called: rolling, bubbles, threshold, plateau", one("boil_by", burn.BoilKinds()...), func(b *burn.Record) *burn.BoilKind { return &b.BoilBy }),
		rows("faults", `what went wrong and when: { what = "spill", at = "3:20" } or "spill at 3:20"`, item[*burn.Fault]{one: "fault", keys: faultKeys, short: shortFault}, func(b *burn.Record) *[]burn.Fault { return &b.Faults }),
		many("failures", "ways in which it failed", one("failure", burn.Failures()...), func(b *burn.Record) *[]burn.Failure { return &b.Failures }),
		reading("simmer_fuel_start", "mass as the low-power phase began", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.FuelStart }),
		reading("simmer_fuel_end", "mass as the low-power phase ended", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.FuelEnd }),
		reading("simmer_water_start", "water as the low-power phase began", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.WaterStart }),
		reading("simmer_water_end", "water as the low-power phase ended", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.WaterEnd }),
		words("void", "reason to leave the burn out; without one it counts", func(b *burn.Record) *string { return &b.Void }),
		prose("notes", "notes; anything else", func(b *burn.Record) *string { return &b.Notes }),
	},
)

// nothingSeen is what a tester writes who saw the burner dry and did not weigh it.
const nothingSeen = "nothing seen"

func left() *key[*burn.Record] {
	k := reading("left", `mass at the end; or "nothing seen", where the burner was seen dry after flame-out`, masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.Left })
	read, write := k.read, k.write
	k.read = func(r *reader, p place, v *node, into *burn.Record) {
		if v.kind == text && strings.EqualFold(strings.TrimSpace(v.text), nothingSeen) {
			into.Fuel.LeftNothing = true
			return
		}
		read(r, p, v, into)
	}
	k.write = func(w *writer, from *burn.Record) string {
		if from.Fuel.LeftNothing && !from.Fuel.Left.Given {
			return w.quote(nothingSeen)
		}
		return write(w, from)
	}
	return k
}

// levels are the levels of crossed factors, by the factor's name.
func levels() *key[*burn.Record] {
	return &key[*burn.Record]{
		name: "levels", holds: `level of each crossed factor: { wind = "fan low" }`, form: shape{kind: levelled},
		read: func(r *reader, p place, v *node, into *burn.Record) {
			if !r.isTable(p, v, "wind") {
				return
			}
			for _, f := range v.fields {
				if into.Levels == nil {
					into.Levels = map[string]string{}
				}
				one := label("", "", func(s *string) *string { return s })
				var s string
				one.read(r, place{path: p.path + "." + f.name, name: f.name, at: f.at}, f.value, &s)
				into.Levels[f.name] = s
			}
		},
		write: func(w *writer, from *burn.Record) string {
			var ps []pair
			for _, name := range sortedKeys(from.Levels) {
				ps = append(ps, pair{w.keyName(name), w.quote(from.Levels[name])})
			}
			return w.inline(ps)
		},
	}
}

var faultKeys = []*key[*burn.Fault]{
	word("what", "what went wrong", one("fault", burn.FaultKinds()...), func(f *burn.Fault) *burn.FaultKind { return &f.Kind }),
	timed("at", "time from light", func(f *burn.Fault) *quantity.Reading[time.Duration] { return &f.At }),
}

// shortFault reads "spill at 3:20" and "spill".
func shortFault(r *reader, s string, f *burn.Fault) (err error) {
	what, at, timed := strings.Cut(s, " at ")
	if f.Kind, err = quantity.ParseWord("fault", what, quantity.Words(burn.FaultKinds()...)); err != nil || !timed {
		return err
	}
	f.At, err = r.light.mark(at)
	return err
}

// clock is the time of day at which a burn was lit, when light was written as
// one. Marks then are times of day where they have hours, minutes and seconds.
type clock struct {
	set bool
	at  time.Duration
}

const (
	day = 24 * time.Hour
	// longestBurn is the longest time from light that hours:minutes:seconds is
	// taken for; beyond it a time of day was meant (common practice, no source).
	longestBurn = 6 * time.Hour
)

// isClock tells a time of day from a time from light: it has two colons.
func isClock(s string) bool { return strings.Count(s, ":") == 2 }

// lightOf reads when a burn was lit; a light that cannot be read is reported
// by its own key.
func lightOf(n *node) clock {
	f := n.find("light")
	if f == nil {
		return clock{}
	}
	text := f.value.text
	if f.value.kind == table {
		text = f.value.textOf("read")
	}
	return clockAt(text)
}

func clockAt(text string) clock {
	if !isClock(text) {
		return clock{}
	}
	c, err := quantity.ParseClock(text)
	return clock{set: err == nil, at: c.Value}
}

// pointed is a time with a point where minutes:seconds have a colon.
var pointed = regexp.MustCompile(`^\s*(\d+)\.([0-5]\d)\s*$`)

// mark reads a time from light, or a time of day when light is one. The text
// stays as written; a time of day before light by less than half a day is
// negative, any other lies after it, over midnight if need be.
func (c clock) mark(s string) (quantity.Reading[time.Duration], error) {
	if c.set && isClock(s) {
		r, err := quantity.ParseClock(s)
		r.Value = (r.Value-c.at+day+day/2)%day - day/2
		return r, err
	}
	r, err := quantity.ParseDuration(s)
	if m := pointed.FindStringSubmatch(s); err != nil && m != nil {
		return r, &quantity.ParseError{
			Text: s, Want: "a time from light, as minutes:seconds", Column: 1,
			Hint: fmt.Sprintf("it can be read two ways: write %q or %q", m[1]+":"+m[2], s+" min"),
		}
	}
	if err == nil && isClock(s) && r.Value > longestBurn {
		return quantity.Reading[time.Duration]{}, &quantity.ParseError{
			Text: s, Want: "a time from light, as minutes:seconds", Column: 1,
			Hint: `for times of day write light as one too, such as 14:03:20`,
		}
	}
	return r, err
}

// light reads the mark that all others count from.
func (c clock) light(s string) (quantity.Reading[time.Duration], error) {
	r, err := c.mark(s)
	if err == nil && !c.set && r.Value != 0 {
		err = &quantity.ParseError{
			Text: s, Want: `0:00, or a time of day with seconds such as 14:03:20`, Column: 1,
			Hint: "marks count from light: leave light out, or write it with hours, minutes and seconds and the other marks in the same way",
		}
	}
	return r, err
}

// timed is a moment of a burn that is no mark.
func timed[P any](name, holds string, get func(P) *quantity.Reading[time.Duration]) *key[P] {
	return moment[P]{
		parse: clock.mark,
		get:   func(x P) quantity.Reading[time.Duration] { return *get(x) },
		set:   func(x P, got quantity.Reading[time.Duration]) { *get(x) = got },
	}.key(name, holds)
}

// markWords say what each mark is the time of.
var markWords = map[burn.Mark]string{
	burn.Light:       "light; left out, or the time of day when lit",
	burn.Bloom:       "bloom; the jets took over from the open pool",
	burn.PotOn:       "pot put on",
	burn.NotBoiling:  "last look without a boil; where nobody saw it begin",
	burn.Boil:        "boil",
	burn.SimmerStart: "low-power phase began",
	burn.SimmerEnd:   "low-power phase ended",
	burn.PotOff:      "pot taken off",
	burn.Out:         "flame-out; the flame ended by itself",
	burn.Snuffed:     "snuffed; the flame was put out",
}

// markKeys are one key for each mark of a burn.
func markKeys() []*key[*burn.Record] {
	var keys []*key[*burn.Record]
	for _, m := range burn.Marks() {
		parse := clock.mark
		if m == burn.Light {
			parse = clock.light
		}
		k := moment[*burn.Record]{
			parse: parse,
			get:   func(b *burn.Record) quantity.Reading[time.Duration] { return b.Marks[m] },
			set: func(b *burn.Record, got quantity.Reading[time.Duration]) {
				if b.Marks == nil {
					b.Marks = map[burn.Mark]quantity.Reading[time.Duration]{}
				}
				b.Marks[m] = got
			},
		}.key(string(m), markWords[m])
		if m == burn.Light {
			k = k.like("14:03:20", "14:03:20", "14:03:20")
		}
		keys = append(keys, k)
	}
	return keys
}

// moment is a time that is read by the clock of its burn.
type moment[P any] struct {
	parse func(clock, string) (quantity.Reading[time.Duration], error)
	get   func(P) quantity.Reading[time.Duration]
	set   func(P, quantity.Reading[time.Duration])
}

// key makes the key of a moment.
//
//go:noinline
func (m moment[P]) key(name, holds string) *key[P] {
	return &key[P]{
		name: name, holds: holds, form: shape{kind: Reading, example: spans.such, with: true},
		read: func(r *reader, p place, v *node, into P) {
			v, with := r.instrument(p, v)
			got, ok := understand(r, p, v, func(s string) (quantity.Reading[time.Duration], error) { return m.parse(r.light, s) })
			if ok {
				got.Instrument = with
				m.set(into, got)
			}
		},
		write: func(w *writer, from P) string {
			s := plain(func(s string) (quantity.Reading[time.Duration], error) { return m.parse(w.light, s) }, showSpan)
			return writeReading(w, name, s, m.get(from))
		},
	}
}

func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }

// subject names an item of a section for findings: "burn 7", "pot 2 of the sheet".
func subject(kind string, i int, n *node) string {
	for _, k := range []string{"name", "id"} {
		if s := n.textOf(k); s != "" {
			return fmt.Sprintf("%s %.40s", kind, s)
		}
	}
	return fmt.Sprintf("%s number %d", kind, i+1)
}
