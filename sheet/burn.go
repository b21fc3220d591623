package sheet

import (
	"slices"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/quantity"
)

// siteKeys are the keys of a place, in a section of its own or among those of
// a burn; name is the key of its name there.
func siteKeys[T any](name string, get func(*T) *burn.Site) []key[T] {
	return []key[T]{
		words(name, "what the place is called", func(x *T) *string { return &get(x).Name }),
		reading("station_pressure", "what a barometer reads there", pressures, func(x *T) *quantity.Reading[quantity.Pressure] { return &get(x).Station }),
		reading("altimeter_setting", "pressure reduced to the sea; needs the elevation", pressures, func(x *T) *quantity.Reading[quantity.Pressure] { return &get(x).Altimeter }),
		reading("elevation", "above the sea, from the map", elevations, func(x *T) *quantity.Reading[quantity.Length] { return &get(x).Elevation }),
		reading("air", "air temperature", temperatures, func(x *T) *quantity.Reading[quantity.Temperature] { return &get(x).Air }),
		reading("humidity", "relative, such as 55 %", ratios, func(x *T) *quantity.Reading[quantity.Ratio] { return &get(x).Humidity }),
		wind(get),
		only(words("wind_seen", "a word for the wind beside a measured speed", func(x *T) *string { return &get(x).WindWord }), func(x *T) bool { return get(x).Wind.Given }),
	}
}

// wind is a speed, or a word such as "still".
func wind[T any](get func(*T) *burn.Site) key[T] {
	speed := reading("wind", "a speed, or a word such as still, draught, breeze", speeds, func(x *T) *quantity.Reading[quantity.Speed] { return &get(x).Wind })
	read, write := speed.read, speed.write
	speed.read = func(r *reader, p place, v *node, into *T) {
		if v.kind == text && !strings.ContainsAny(v.text, "0123456789½¼¾") {
			get(into).WindWord = v.text
			return
		}
		read(r, p, v, into)
	}
	speed.write = func(w *writer, from *T) string {
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
	[]key[burn.Record]{
		label("id", "its own number or name", func(b *burn.Record) *string { return &b.ID }),
		label("entry", "name of the [[entry]] that burned", func(b *burn.Record) *string { return &b.Entry }),
		label("block", "day or session in which every entry burns once", func(b *burn.Record) *string { return &b.Block }),
		count("order", "place in the order of burning, from 1", func(b *burn.Record) *int { return &b.Order }),
		count("station", "place on the bench", func(b *burn.Record) *int { return &b.Station }),
		label("tester", "who held the watch", func(b *burn.Record) *string { return &b.Tester }),
		label("date", "as you write dates", func(b *burn.Record) *string { return &b.Date }),
		levels(),

		dosed("dose", "fuel poured, by volume or by mass; not the fuel burned", "a dose", func(b *burn.Record) dose { return dose{&b.Fuel.DoseMass, &b.Fuel.DoseVolume} }),
		only(reading("dose_mass", "its mass, where dose gives its volume", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.DoseMass }), func(b *burn.Record) bool { return b.Fuel.DoseVolume.Given }),
		reading("fuel_temperature", "of the fuel when measured out", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Fuel.Temperature }),
		word("weighed", "what stood on the scale: fuel, burner and fuel, stack", one("weighed", burn.FuelOnly, burn.BurnerAndFuel, burn.Stack), func(b *burn.Record) *burn.Weighed { return &b.Fuel.Weighed }),
		reading("poured", "mass after pouring", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.Poured }),
		reading("at_pot_on", "mass when the pot went on", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.AtPotOn }),
		reading("at_boil", "mass at the boil", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.AtBoil }),
		left(),
		word("to_boil_by", "how the fuel to boil is known: snuffed at the boil, scale under the burner, scale under the stack, prorated",
			one("to_boil_by", burn.SnuffedAtBoil, burn.ScaleBurner, burn.ScaleStack, burn.Prorated), func(b *burn.Record) *burn.ToBoilBy { return &b.Fuel.ToBoilBy }),

		dosed("water", "by mass or by volume", "water", func(b *burn.Record) dose { return dose{&b.Water.Mass, &b.Water.Volume} }),
		only(reading("water_mass", "its mass, where water gives its volume", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Water.Mass }), func(b *burn.Record) bool { return b.Water.Volume.Given }),
		reading("water_end", "mass left at the boil, or when the pot came off", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Water.End }),
		reading("start", "temperature of the stirred water before lighting", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Water.Start }),
		reading("peak", "highest stirred temperature, when it did not boil", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Water.Peak }),
		timed("peak_at", "time of the peak", func(b *burn.Record) *quantity.Reading[time.Duration] { return &b.Water.PeakAt }),
		reading("boiling", "temperature read at the boil", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Water.Boiling }),
		reading("burner_temperature", "of its body at light, if not at air temperature", temperatures, func(b *burn.Record) *quantity.Reading[quantity.Temperature] { return &b.Burner }),
	},
	siteKeys("place", func(b *burn.Record) *burn.Site { return &b.Site }),
	markKeys(),
	[]key[burn.Record]{
		word("boil_by", "how the boil was called: rolling, bubbles, threshold, plateau", one("boil_by", burn.BoilKinds()...), func(b *burn.Record) *burn.BoilKind { return &b.BoilBy }),
		rows("faults", `what went wrong and when: { what = "spill", at = "3:20" } or "spill at 3:20"`, item[burn.Fault]{keys: faultKeys, short: shortFault}, func(b *burn.Record) *[]burn.Fault { return &b.Faults }),
		many("failures", "ways it failed", one("failure", burn.Failures()...), func(b *burn.Record) *[]burn.Failure { return &b.Failures }),
		reading("simmer_fuel_start", "mass at the start of a simmer", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.FuelStart }),
		reading("simmer_fuel_end", "mass at its end", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.FuelEnd }),
		reading("simmer_water_start", "water at the start of a simmer", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.WaterStart }),
		reading("simmer_water_end", "water at its end", masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Simmer.WaterEnd }),
		words("void", "why the burn is left out; left out itself: the burn counts", func(b *burn.Record) *string { return &b.Void }),
		words("notes", "anything else", func(b *burn.Record) *string { return &b.Notes }),
	},
)

// nothingSeen is what a tester writes who saw the burner dry and did not weigh it.
const nothingSeen = "nothing seen"

func left() key[burn.Record] {
	k := reading("left", `mass at the end, or "nothing seen" where the burner was seen dry after flame-out`, masses, func(b *burn.Record) *quantity.Reading[quantity.Mass] { return &b.Fuel.Left })
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
func levels() key[burn.Record] {
	return key[burn.Record]{
		name: "levels", holds: `level of each crossed factor: { wind = "fan low" }`,
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

var faultKeys = []key[burn.Fault]{
	word("what", "", one("fault", burn.FaultKinds()...), func(f *burn.Fault) *burn.FaultKind { return &f.Kind }),
	timed("at", "", func(f *burn.Fault) *quantity.Reading[time.Duration] { return &f.At }),
}

// shortFault reads "spill at 3:20" and "spill".
func shortFault(r *reader, s string) (f burn.Fault, err error) {
	what, at, timed := strings.Cut(s, " at ")
	if f.Kind, err = quantity.ParseWord("fault", what, quantity.Words(burn.FaultKinds()...)); err != nil || !timed {
		return f, err
	}
	f.At, err = r.light.mark(at)
	return f, err
}
