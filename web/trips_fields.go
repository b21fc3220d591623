package web

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/carry"
)

// The fields of the form of a trip.

// Whole are those of the trip as a whole.
func (f tripForm) Whole() []field {
	fs := []field{
		{Name: "people", Label: "People", As: "text", Numeric: true, Must: true},
		{Name: "reserve", Label: "Reserve", As: "text", Example: "1 day", Help: "more than is likely to be used: “1 day”, “25 % more”, or “5 % dry” for the chance of running dry that you take"},
		{Name: "choose", Label: "What the best kit has least of", As: "choice", Choices: words(carry.Objectives()), Help: "start mass unless chosen; a cartridge's metal stays to the end, so the mean over the mornings often names another kit"},
		{Name: "limit.start", Label: "Heaviest kit with its fuel", As: "text", Example: "600 g", Help: "on the first morning; leave empty for no limit"},
		{Name: "limit.wait", Label: "Longest waiting a day", As: "text", Example: "45 min"},
		{Name: "notes", Label: "Notes", As: "long"},
	}
	if f.Title == "" {
		fs = append([]field{{Name: "title", Label: "Title", As: "text", Example: "a weekend at the lake", Must: true}}, fs...)
	}
	return f.fill("", fs)
}

func words[T ~string](all []T) []choice {
	var cs []choice
	for _, x := range all {
		cs = append(cs, choice{Value: string(x), Label: string(x)})
	}
	return cs
}

// legForm is one leg of the form.
type legForm struct {
	Number        int
	Fields, Place []field
	Boils         [][]field
	May           bool // be taken out
	Remove        string
}

// EachLeg lists the legs.
func (f tripForm) EachLeg() []legForm {
	var all []legForm
	for i := range f.Legs {
		at := fmt.Sprintf("leg.%d.", i)
		l := legForm{Number: i + 1, May: f.Legs > 1, Remove: at + "remove"}
		l.Fields = f.fill(at, []field{
			{Name: "name", Label: "Where it leads", As: "text", Example: "round the lake"},
			{Name: "days", Label: "Days", As: "text", Numeric: true, Must: true},
		})
		l.Place = f.fill(at, []field{
			{Name: "water_start", Label: "How warm the water is", As: "text", Example: "8 ± 4 °C", Help: "10 ± 5 °C unless written"},
			{Name: "elevation", Label: "Height above the sea", As: "text", Example: "1200 m"},
			{Name: "air", Label: "Air while you cook", As: "text", Example: "5 ± 5 °C", Help: "without it no heat is lost to the air"},
			{Name: "wind", Label: "Wind where the pot stands", As: "choice", Choices: words(carry.Winds())},
			{Name: "snow", Label: "Share of the water that is snow", As: "text", Example: "20 %"},
			{Name: "snow_temperature", Label: "How cold the snow is", As: "text", Example: "-3 °C"},
			{Name: "resupply", Label: "Fuel to be had where the leg ends", As: "many", Choices: words([]carry.Kind{carry.Spirit, carry.Gas, carry.Tablets})},
		})
		for j := range min(f.count(at+"boil.", "")+1, mostRowsTyped) {
			l.Boils = append(l.Boils, f.fill(fmt.Sprintf("%sboil.%d.", at, j), []field{
				{Name: "name", Label: "What for", As: "text", Example: "supper"},
				{Name: "water", Label: "Water at once", As: "text", Example: "500 mL"},
				{Name: "per_day", Label: "Times a day", As: "text", Numeric: true},
				{Name: "simmer", Label: "Then simmer", As: "text", Example: "5 min"},
				{Name: "each", Label: "each person a boil of their own", As: "tick"},
			}))
		}
		all = append(all, l)
	}
	return all
}

// thingGroup is one kind of thing to take beside the bench.
type thingGroup struct {
	Head string
	Rows [][]field
}

// Things are what there is to take beside the bench, each kind with an empty row.
func (f tripForm) Things() []thingGroup {
	name := field{Name: "name", Label: "Name", As: "text"}
	mass := func(label string) field { return field{Name: "mass", Label: label, As: "text", Example: "32 g"} }
	kinds := []struct {
		key, head string
		fields    []field
	}{
		{"bottle", "Bottles for spirit", []field{name, {Name: "holds", Label: "Holds", As: "text", Example: "250 mL"}, mass("Mass when empty")}},
		{"stove", "Stoves that are not on the bench", []field{name,
			{Name: "burns", Label: "Burns", As: "choice", Choices: words([]carry.Kind{carry.Spirit, carry.Gas, carry.Tablets, carry.NoStove})},
			mass("Mass without fuel"), {Name: "per_litre", Label: "Fuel for a litre, 20 to 100 °C", As: "text", Example: "14 ± 2 g"}}},
		{"cartridge", "Gas cartridges", []field{name, {Name: "gas", Label: "Gas in it", As: "text", Example: "100 g"}, {Name: "full", Label: "Mass when full", As: "text", Example: "195 g"}}},
		{"tablet", "Tablets", []field{name, mass("Mass of one")}},
		{"part", "Lighter, primer dish and other things", []field{name, {Name: "slot", Label: "What it is", As: "choice", Choices: words(carry.Slots())}, mass("Mass")}},
	}
	var all []thingGroup
	for _, k := range kinds {
		g := thingGroup{Head: k.head}
		for i := range min(f.count(k.key+".", "")+1, mostRowsTyped) {
			g.Rows = append(g.Rows, f.fill(fmt.Sprintf("%s.%d.", k.key, i), k.fields))
		}
		all = append(all, g)
	}
	return all
}

// WrongThing reports whether something to take could not be read.
func (f tripForm) WrongThing() bool {
	for name := range f.wrong {
		if key, _, _ := strings.Cut(name, "."); slices.Contains([]string{"bottle", "stove", "cartridge", "tablet", "part"}, key) {
			return true
		}
	}
	return false
}

// fill puts names, values and what is wrong into fields.
func (f tripForm) fill(at string, fs []field) []field {
	out := slices.Clone(fs)
	for i := range out {
		x := &out[i]
		x.Name = at + x.Name
		x.Value, x.Wrong = f.values[x.Name], f.wrong[x.Name]
		x.Choices = slices.Clone(x.Choices)
		for k := range x.Choices {
			x.Choices[k].Chosen = slices.Contains(strings.Split(x.Value, "; "), x.Choices[k].Value)
		}
	}
	return out
}
