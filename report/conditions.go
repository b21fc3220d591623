package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/trial"
)

// Fact is one line of the conditions: what, and how it was.
type Fact struct{ Name, Text string }

// referenceWords is the boil that every burn is brought to.
func referenceWords(r *trial.Reduced, u Units) string {
	ref, sys := r.Settings.Reference, quantity.System(u)
	return fmt.Sprintf("%s of water from %s to %s", quantity.FormatBrief(ref.Water, sys), quantity.FormatBrief(ref.From, sys), quantity.FormatBrief(ref.To, sys))
}

// Conditions state where, in what and with what the burns were made, over the
// burns that count.
func Conditions(r *trial.Reduced, sys quantity.System) []Fact {
	u := Units(sys)
	var facts []Fact
	add := func(name, text string) {
		if text != "" {
			facts = append(facts, Fact{name, text})
		}
	}
	add("reference", referenceWords(r, u))
	add("place", r.Site.Name)
	add("notes", r.Notes)
	add("station pressure", ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Pressure] { return r.Site.Over(b.Site).Station }))
	add("altimeter setting", ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Pressure] { return r.Site.Over(b.Site).Altimeter }))
	if r.Site.Elevation.Given {
		add("elevation", quantity.FormatElevation(r.Site.Elevation.Value, sys))
	}
	add("water boils here at", boilingPoints(r, u))
	add("air", ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Temperature] { return r.Site.Over(b.Site).Air }))
	add("wind", wind(r, sys))
	add("water, mass", ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Mass] { return b.Water.Mass }))
	add("water, volume", ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Volume] { return b.Water.Volume }))
	add("water, at the start", ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Temperature] { return b.Water.Start }))
	add("boil called by", boilKinds(r))
	add("fuel", fuels(r.Shelf.Batches))
	add("pot", gearOf(r, func(e trial.Entry) string { return e.Pot }))
	add("lid", gearOf(r, func(e trial.Entry) string { return e.Lid }))
	add("screen", gearOf(r, func(e trial.Entry) string { return e.Screen }))
	add("stand", gearOf(r, func(e trial.Entry) string { return e.Stand }))
	add("instruments", instruments(r.Shelf.Tools, sys))
	return facts
}

// ranged prints the lowest and the highest of a reading over the burns that
// count, and how many lack it.
func ranged[Q quantity.Printable](r *trial.Reduced, sys quantity.System, read func(trial.Burned) quantity.Reading[Q]) string {
	var low, high Q
	n, counted := 0, 0
	for _, b := range r.Results {
		if b.Void != "" {
			continue
		}
		counted++
		reading := read(b)
		if !reading.Given {
			continue
		}
		x, _ := quantity.In(reading.Value, sys)
		lowest, _ := quantity.In(low, sys)
		highest, _ := quantity.In(high, sys)
		if n == 0 || x < lowest {
			low = reading.Value
		}
		if n == 0 || x > highest {
			high = reading.Value
		}
		n++
	}
	if n == 0 {
		return ""
	}
	text := quantity.Format(low, sys)
	if other := quantity.Format(high, sys); other != text {
		number, _, _ := strings.Cut(text, " ")
		text = number + " to " + other
	}
	if n < counted {
		text += fmt.Sprintf("; not read in %d of %d burns", counted-n, counted)
	}
	return text
}

func boilingPoints(r *trial.Reduced, u Units) string {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range r.Results {
		if f, ok := r.Results[i].Result.Figure(reduce.BoilingPoint); ok && r.Results[i].Void == "" {
			low, high = min(low, f.Value), max(high, f.Value)
		}
	}
	switch {
	case low > high:
		return ""
	case u.Value(reduce.BoilingPoint, low) == u.Value(reduce.BoilingPoint, high):
		return u.Value(reduce.BoilingPoint, low)
	}
	return u.Interval(reduce.BoilingPoint, low, high)
}

func wind(r *trial.Reduced, sys quantity.System) string {
	speed := ranged(r, sys, func(b trial.Burned) quantity.Reading[quantity.Speed] { return r.Site.Over(b.Site).Wind })
	words := distinct(r, func(b trial.Burned) string { return r.Site.Over(b.Site).WindWord })
	if speed != "" && words != "" {
		return words + ", " + speed
	}
	return words + speed
}

func boilKinds(r *trial.Reduced) string {
	names := map[string]string{
		"rolling": "a rolling boil, by eye", "bubbles": "first bubbles, by eye",
		"threshold": "a thermometer passing a set temperature", "plateau": "a thermometer that rose no more", "": "a rule not written down",
	}
	kinds := distinct(r, func(b trial.Burned) string {
		if !b.Result.Status.HasBoil() {
			return ""
		}
		return names[string(b.BoilBy)]
	})
	return kinds
}

// distinct lists the different words of the burns that count, "" left out.
func distinct(r *trial.Reduced, word func(trial.Burned) string) string {
	var words []string
	for _, b := range r.Results {
		if w := word(b); b.Void == "" && w != "" && !slices.Contains(words, w) {
			words = append(words, w)
		}
	}
	return list(words)
}

// fuels states each batch with its strength and how that is known.
func fuels(batches []gear.FuelBatch) string {
	var all []string
	for _, b := range batches {
		parts := []string{}
		if b.Product != "" {
			parts = append(parts, b.Product)
		}
		switch {
		case b.Strength.Given:
			parts = append(parts, b.Strength.Text)
		case len(b.Components) > 0:
			parts = append(parts, components(b.Components))
		default:
			parts = append(parts, "strength not written down")
		}
		if b.KnownBy != "" {
			parts = append(parts, "known by "+b.KnownBy)
		}
		all = append(all, b.Name+" ("+strings.Join(parts, ", ")+")")
	}
	return list(all)
}

func components(cs []gear.Component) string {
	var all []string
	for _, c := range cs {
		name := c.Substance.String()
		switch {
		case c.Rest:
			all = append(all, "rest "+name)
		case c.High.Given:
			all = append(all, c.Low.Text+" to "+c.High.Text+" "+name)
		default:
			all = append(all, c.Low.Text+" "+name)
		}
	}
	return list(all)
}

// gearOf says which entry used what, or what all of them used.
func gearOf(r *trial.Reduced, part func(trial.Entry) string) string {
	users := map[string][]string{}
	var order []string
	for _, e := range r.Entries {
		name := part(e)
		if name == "" {
			name = "none"
		}
		if users[name] == nil {
			order = append(order, name)
		}
		users[name] = append(users[name], e.Name)
	}
	if len(order) == 1 {
		return order[0]
	}
	var all []string
	for _, name := range order {
		all = append(all, name+" (for "+list(users[name])+")")
	}
	return list(all)
}

func instruments(t gear.Tools, sys quantity.System) string {
	var all []string
	add := func(name string, limits ...string) {
		limits = slices.DeleteFunc(limits, func(s string) bool { return s == "" })
		all = append(all, name+" ("+pick(len(limits) > 0, strings.Join(limits, ", "), "limits not written down")+")")
	}
	for _, s := range t.Scales {
		add(s.Name, limit("reads to ", s.Step, quantity.Metric), limit("± ", s.Linearity, quantity.Metric))
	}
	for _, th := range t.Thermometers {
		add(th.Name, limit("reads to ", th.Step, sys), limit("± ", th.Limit, sys))
	}
	for _, b := range t.Barometers {
		add(b.Name, limit("± ", b.Limit, sys))
	}
	for _, m := range t.Measures {
		add(m.Name, limit("± ", m.Tolerance, sys))
	}
	return list(all)
}

// limit prints what is known of an instrument, "" where nothing is.
func limit[Q quantity.Printable](before string, r quantity.Reading[Q], sys quantity.System) string {
	if !r.Given {
		return ""
	}
	if r.Text != "" {
		return before + r.Text
	}
	return before + quantity.Format(r.Value, sys)
}
