package web

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fairburn/carry"
	"fairburn/quantity"
	"fairburn/sheet"
)

// How the form of a trip becomes a trip, and a trip the form.

// entered reads one field; what is wrong stands in the form.
func entered[T any](f *tripForm, name string, parse func(string) (quantity.Reading[T], error)) quantity.Reading[T] {
	text := strings.TrimSpace(f.values[name])
	if text == "" {
		return quantity.Reading[T]{}
	}
	x, err := parse(text)
	if err != nil {
		f.wrong[name] = err.Error()
	}
	return x
}

func word[T ~string](f *tripForm, name, what string, all []T) T {
	text := strings.TrimSpace(f.values[name])
	if text == "" {
		return ""
	}
	x, err := quantity.ParseWord(what, text, quantity.Words(all...))
	if err != nil {
		f.wrong[name] = err.Error()
	}
	return x
}

// whole reads a whole number; one that is not there is what it is otherwise.
func (f *tripForm) whole(name string, otherwise, least, most int, what string) int {
	text := strings.TrimSpace(f.values[name])
	if text == "" {
		return otherwise
	}
	n, err := wholeOf(text, least, most, what)
	if err != nil {
		f.wrong[name] = err.Error()
	}
	return n
}

// trip makes the trip that is entered over one that was.
func (f *tripForm) trip(was *sheet.Trip) *sheet.Trip {
	t := *was
	t.People = f.whole("people", 1, 1, mostPeople, "people")
	t.Choose = word(f, "choose", "what to have least of", carry.Objectives())
	t.Notes = strings.TrimSpace(strings.ReplaceAll(f.values["notes"], "\r\n", "\n"))
	t.Limits.Start = entered(f, "limit.start", quantity.ParseMass)
	t.Limits.Wait = entered(f, "limit.wait", quantity.ParseDuration)
	t.Reserve = carry.Reserve{}
	if text := strings.TrimSpace(f.values["reserve"]); text != "" {
		r, err := sheet.ParseReserve(text)
		if t.Reserve = r; err != nil {
			f.wrong["reserve"] = err.Error()
		}
	}
	t.Legs = nil
	for i := range f.Legs {
		if at := fmt.Sprintf("leg.%d.", i); f.values[at+"remove"] == "" {
			t.Legs = append(t.Legs, f.leg(at))
		}
	}
	t.Shelf = f.shelf(was.Shelf)
	return &t
}

func (f *tripForm) leg(at string) carry.Leg {
	l := carry.Leg{Name: strings.TrimSpace(f.values[at+"name"]), Days: f.whole(at+"days", 0, 0, 365, "days")}
	l.WaterStart = entered(f, at+"water_start", quantity.ParseTemperature)
	l.SnowShare = entered(f, at+"snow", quantity.ParseRatio)
	l.SnowTemperature = entered(f, at+"snow_temperature", quantity.ParseTemperature)
	l.Elevation = entered(f, at+"elevation", quantity.ParseElevation)
	l.Air = entered(f, at+"air", quantity.ParseTemperature)
	l.Wind = word(f, at+"wind", "wind", carry.Winds())
	for text := range strings.SplitSeq(f.values[at+"resupply"], "; ") {
		if text = strings.TrimSpace(text); text != "" {
			l.Resupply = append(l.Resupply, carry.Kind(text))
		}
	}
	for j := range f.count(at+"boil.", "") {
		if b, some := f.boil(fmt.Sprintf("%sboil.%d.", at, j)); some {
			l.Boils = append(l.Boils, b)
		}
	}
	return l
}

// boil reads one row; one with no water and no name says nothing.
func (f *tripForm) boil(at string) (carry.Boil, bool) {
	b := carry.Boil{Name: strings.TrimSpace(f.values[at+"name"]), PerDay: f.whole(at+"per_day", 1, 0, 50, "boils a day"), PerPerson: f.values[at+"each"] != ""}
	b.Simmer = entered(f, at+"simmer", quantity.ParseDuration)
	water := strings.TrimSpace(f.values[at+"water"])
	if water == "" {
		if b.Name != "" || b.Simmer.Given {
			f.wrong[at+"water"] = `write how much water, such as "500 mL"`
		}
		return b, b.Name != "" || b.Simmer.Given
	}
	d, err := quantity.ParseDose(water, f.system)
	if b.Mass, b.Volume = d.Mass, d.Volume; err != nil {
		f.wrong[at+"water"] = strings.NewReplacer("a dose by mass", "an amount of water by mass", "a dose:", "an amount of water:").Replace(err.Error())
	}
	return b, true
}

// shelf reads what there is to take beside the bench; what forms do not show of a
// thing stays as it was under its name.
func (f *tripForm) shelf(was carry.Shelf) carry.Shelf {
	s := carry.Shelf{Vessels: f.vessels(was.Vessels)}
	f.rows("stove", func(at, name string) {
		x := named(was.Stoves, func(x carry.Stove) bool { return x.Name == name })
		x.Name, x.Kind = name, word(f, at+"burns", "what a stove burns", []carry.Kind{carry.Spirit, carry.Gas, carry.Tablets, carry.NoStove})
		x.Mass, x.PerLitre = entered(f, at+"mass", quantity.ParseMass), entered(f, at+"per_litre", quantity.ParseMass)
		if x.Kind == "" {
			f.wrong[at+"burns"] = cmp.Or(f.wrong[at+"burns"], "choose what it burns")
		}
		s.Stoves = append(s.Stoves, x)
	})
	f.rows("part", func(at, name string) {
		slot := word(f, at+"slot", "what a thing is", carry.Slots())
		if slot == "" {
			f.wrong[at+"slot"] = cmp.Or(f.wrong[at+"slot"], "choose what it is")
		}
		x := named(was.Parts, func(x carry.Part) bool { return x.Name == name && x.Slot == slot })
		x.Name, x.Slot, x.Mass = name, slot, entered(f, at+"mass", quantity.ParseMass)
		s.Parts = append(s.Parts, x)
	})
	return s
}

func (f *tripForm) vessels(was []carry.Vessel) []carry.Vessel {
	var all []carry.Vessel
	each := func(key string, kind carry.Kind, read func(at string, v *carry.Vessel)) {
		f.rows(key, func(at, name string) {
			x := named(was, func(x carry.Vessel) bool { return x.Name == name && x.For == kind })
			x.Name, x.For = name, kind
			read(at, &x)
			all = append(all, x)
		})
	}
	each("bottle", carry.Spirit, func(at string, v *carry.Vessel) {
		v.Mass = entered(f, at+"mass", quantity.ParseMass)
		v.Holds = entered(f, at+"holds", func(text string) (quantity.Reading[quantity.Volume], error) {
			return quantity.ParseVolume(text, f.system)
		})
	})
	each("cartridge", carry.Gas, func(at string, v *carry.Vessel) {
		v.Fuel, v.Mass = entered(f, at+"gas", quantity.ParseMass), entered(f, at+"full", quantity.ParseMass)
	})
	each("tablet", carry.Tablets, func(at string, v *carry.Vessel) {
		v.Mass = entered(f, at+"mass", quantity.ParseMass)
		v.Fuel = v.Mass
	})
	return all
}

// rows reads the rows of a kind that have a name; one without is taken out.
func (f *tripForm) rows(key string, read func(at, name string)) {
	for i := range f.count(key+".", "") {
		at := fmt.Sprintf("%s.%d.", key, i)
		if name := strings.TrimSpace(f.values[at+"name"]); name != "" {
			read(at, name)
		}
	}
}

func named[T any](all []T, is func(T) bool) T {
	if i := slices.IndexFunc(all, is); i >= 0 {
		return all[i]
	}
	var none T
	return none
}

// typedOf is a trip as it was entered.
func typedOf(t *sheet.Trip) map[string]string {
	v := map[string]string{
		"people": strconv.Itoa(t.People), "choose": string(t.Choose), "notes": t.Notes, "reserve": reserveOf(t.Trip),
		"limit.start": t.Limits.Start.Text, "limit.wait": t.Limits.Wait.Text,
	}
	for i, l := range t.Legs {
		at := fmt.Sprintf("leg.%d.", i)
		v[at+"name"], v[at+"days"], v[at+"wind"] = l.Name, strconv.Itoa(l.Days), string(l.Wind)
		v[at+"water_start"], v[at+"snow"], v[at+"snow_temperature"] = l.WaterStart.Text, l.SnowShare.Text, l.SnowTemperature.Text
		v[at+"elevation"], v[at+"air"] = l.Elevation.Text, l.Air.Text
		var fuels []string
		for _, k := range l.Resupply {
			fuels = append(fuels, string(k))
		}
		v[at+"resupply"] = strings.Join(fuels, "; ")
		for j, b := range l.Boils {
			at := fmt.Sprintf("%sboil.%d.", at, j)
			v[at+"name"], v[at+"water"], v[at+"per_day"], v[at+"simmer"] = b.Name, b.Mass.Text+b.Volume.Text, strconv.Itoa(b.PerDay), b.Simmer.Text
			if b.PerPerson {
				v[at+"each"] = "yes"
			}
		}
	}
	thingsTyped(v, t.Shelf)
	return v
}

func thingsTyped(v map[string]string, s carry.Shelf) {
	n := map[string]int{}
	next := func(key string) string {
		n[key]++
		return fmt.Sprintf("%s.%d.", key, n[key]-1)
	}
	for _, x := range s.Stoves {
		at := next("stove")
		v[at+"name"], v[at+"burns"], v[at+"mass"], v[at+"per_litre"] = x.Name, string(x.Kind), x.Mass.Text, x.PerLitre.Text
	}
	for _, x := range s.Vessels {
		switch x.For {
		case carry.Spirit:
			at := next("bottle")
			v[at+"name"], v[at+"holds"], v[at+"mass"] = x.Name, x.Holds.Text, x.Mass.Text
		case carry.Gas:
			at := next("cartridge")
			v[at+"name"], v[at+"gas"], v[at+"full"] = x.Name, x.Fuel.Text, x.Mass.Text
		default:
			at := next("tablet")
			v[at+"name"], v[at+"mass"] = x.Name, x.Mass.Text
		}
	}
	for _, x := range s.Parts {
		at := next("part")
		v[at+"name"], v[at+"slot"], v[at+"mass"] = x.Name, string(x.Slot), x.Mass.Text
	}
}
