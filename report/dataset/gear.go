package dataset

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

// built is an entry with its gear and what the verdict says of it.
type built struct {
	trial.Entry
	burner gear.Burner
	pot    gear.Pot
	lid    gear.Lid
	screen gear.Screen
	stand  gear.Stand
	judged verdict.Entry
}

// entries has a row for each entry with its gear as built, and for each name that
// a burn gives and the trial does not list.
func (s *source) entries() table {
	var all []built
	var listed, mentioned []string
	for _, e := range s.r.Entries {
		b := built{Entry: e}
		b.burner, _ = s.r.Burner(e)
		b.pot, _ = gear.Find(s.r.Shelf.Pots, e.Pot)
		b.lid, _ = gear.Find(s.r.Shelf.Lids, e.Lid)
		b.screen, _ = gear.Find(s.r.Shelf.Screens, e.Screen)
		b.stand, _ = gear.Find(s.r.Shelf.Stands, e.Stand)
		if i := slices.IndexFunc(s.v.Entries, func(v verdict.Entry) bool { return v.Name == e.Name }); i >= 0 {
			b.judged = s.v.Entries[i]
		}
		all, listed = append(all, b), append(listed, e.Name)
	}
	for _, b := range s.results {
		mentioned = append(mentioned, b.Entry)
	}
	for _, name := range unlisted(listed, mentioned) {
		all = append(all, built{Entry: trial.Entry{Name: name}})
	}
	return fill(table{
		name: "entries", title: "Entries", key: []string{"entry"}, refs: []reference{{"fuel", "fuels", "fuel"}},
		says: "What is compared: burner, pot, lid, screen, stand and fuel together, as built. An entry without gear is named by a burn and not listed by the trial.",
	}, all, s.system(), ofBurner(), ofCookware(), counted(), leastDose())
}

// system names what belongs to the entry.
func (s *source) system() []column[built] {
	return []column[built]{
		col("entry", text, "name of the entry", func(b built) any { return words(b.Name) }),
		col("burner", text, "burner", func(b built) any { return words(b.Burner) }),
		col("pot", text, "pot", func(b built) any { return words(b.Pot) }),
		col("lid", text, "lid", func(b built) any { return words(b.Lid) }),
		col("screen", text, "wind screen", func(b built) any { return words(b.Screen) }),
		col("stand", text, "pot stand", func(b built) any { return words(b.Stand) }),
		col("fuel", text, "fuel batch", func(b built) any { return words(b.Fuel) }),
		col("system_mass_g", decimal, "mass of the parts that were weighed, grams", func(b built) any { return weighedMass(b) }),
		col("unweighed", text, "parts that nobody weighed", func(b built) any { return words(strings.Join(b.judged.Unweighed, "; ")) }),
		col("notes", text, "notes on entry and burner, only where names and places may be published", func(b built) any {
			return s.notes(strings.Trim(b.Notes+"; "+b.burner.Notes, "; "))
		}),
	}
}

// weighedMass is the mass of the system in grams; none where nothing was weighed.
func weighedMass(b built) any {
	if b.judged.SystemMass == 0 {
		return nil
	}
	return tidy(b.judged.SystemMass / float64(quantity.Gram))
}

func ofBurner() []column[built] {
	return slices.Concat(
		[]column[built]{
			coded("family", families, "how the burner works", func(b built) string { return string(b.burner.Family) }),
			col("shop_made", boolean, "bought, not built", func(b built) any { return b.burner.ShopMade }),
			col("parent", text, "burner that it was changed from", func(b built) any { return words(b.burner.Parent) }),
			col("changed", text, "what was changed against the parent", func(b built) any { return words(b.burner.Changed) }),
			col("jets", text, "rings of jets, lowest first", func(b built) any { return words(jets(b.burner.Jets)) }),
			col("wick", text, "absorbent in the burner", func(b built) any { return words(b.burner.Wicking.Material) }),
			col("seam", text, "how the parts hold together", func(b built) any { return words(b.burner.Seam.Kind) }),
		},
		reading("burner_mass", grams, "the burner dry", func(b built) mass { return b.burner.DryMass }),
		reading("can", millimetres, "diameter of the outer can", func(b built) length { return b.burner.Can }),
		reading("burner_height", millimetres, "height of the burner", func(b built) length { return b.burner.Height }),
		reading("wall_gap", millimetres, "gap between inner and outer wall", func(b built) length { return b.burner.WallGap }),
		reading("inner_wall_height", millimetres, "height of the inner wall", func(b built) length { return b.burner.InnerWall.Height }),
		[]column[built]{col("inner_wall_notches", integer, "notches in the inner wall", func(b built) any { return unless(0, b.burner.InnerWall.Notches) })},
		reading("fill_hole", millimetres, "diameter of the hole or open centre", func(b built) length { return b.burner.FillHole }),
		reading("wick_mass", grams, "mass of the absorbent", func(b built) mass { return b.burner.Wicking.Mass }),
		reading("holds", millilitres, "fuel that the burner holds", func(b built) volume { return b.burner.Holds }),
	)
}

func ofCookware() []column[built] {
	return slices.Concat(
		reading("pot_mass", grams, "the pot without its lid", func(b built) mass { return b.pot.Mass }),
		[]column[built]{col("pot_material", text, "material of the pot", func(b built) any { return words(b.pot.Material) })},
		reading("pot_diameter", millimetres, "diameter of the pot", func(b built) length { return b.pot.Diameter }),
		reading("pot_holds", millilitres, "what the pot holds", func(b built) volume { return b.pot.Holds }),
		reading("pot_loss", lossRate, "heat loss of the full pot", func(b built) quantity.Reading[quantity.Conductance] { return b.pot.Loss }),
		reading("lid_mass", grams, "the lid", func(b built) mass { return b.lid.Mass }),
		[]column[built]{col("lid_material", text, "material of the lid", func(b built) any { return words(b.lid.Material) })},
		reading("screen_mass", grams, "the screen", func(b built) mass { return b.screen.Mass }),
		reading("screen_gap", millimetres, "gap between pot and screen", func(b built) length { return b.screen.Gap }),
		reading("stand_mass", grams, "the stand", func(b built) mass { return b.stand.Mass }),
		reading("stand_height", millimetres, "the pot's base above the burner's", func(b built) length { return b.stand.Height }),
	)
}

// jets describes rings of holes as they were typed.
func jets(rings []gear.JetRing) string {
	var parts []string
	for _, r := range rings {
		part := fmt.Sprint(r.Count)
		if r.Diameter.Given {
			part += " of " + r.Diameter.Text
		}
		for _, more := range []string{r.Height.Text, r.Direction, r.Tool} {
			if more != "" {
				part += ", " + more
			}
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "; ")
}

// counted are the entry's burns by what they count as.
func counted() []column[built] {
	var cs []column[built]
	for _, c := range append(slices.Clone(statuses.codes), code{"void", "left out by the tester"}) {
		cs = append(cs, col("n_"+c.code, integer, "burns: "+c.meaning, func(b built) any { return int64(b.judged.Counts[c.code]) }))
	}
	return cs
}

// leastDose is the dose that boils the reference water in the wanted share of burns.
func leastDose() []column[built] {
	known := func(b built, x any) any {
		if !b.judged.LeastDose.Known {
			return nil
		}
		return x
	}
	return []column[built]{
		col("least_dose_g", decimal, "least dose of the fuel burned that boils the reference water in the wanted share of burns, grams", func(b built) any {
			return known(b, tidy(b.judged.LeastDose.Mass/float64(quantity.Gram)))
		}),
		col("least_dose_mL", decimal, "the same, millilitres", func(b built) any {
			return known(b, unless(any(0.0), tidy(b.judged.LeastDose.Volume/float64(quantity.Millilitre))))
		}),
		col("least_dose_share", decimal, "wanted share of burns, of 1", func(b built) any { return known(b, number(b.judged.LeastDose.Share)) }),
		col("least_dose_n", integer, "burns behind it", func(b built) any { return known(b, int64(b.judged.LeastDose.N)) }),
		col("least_dose_approximate", boolean, "some fuel to boil behind it is prorated, or some burns did not boil", func(b built) any { return known(b, b.judged.LeastDose.Approx) }),
		col("residue_g", decimal, "part of it that stays in the burner, grams; none: no burn that ran out was weighed", func(b built) any {
			if b.judged.LeastDose.ResidueUnknown {
				return nil
			}
			return known(b, tidy(b.judged.LeastDose.Residue/float64(quantity.Gram)))
		}),
		col("no_least_dose", text, "why there is none", func(b built) any { return words(b.judged.LeastDose.Why) }),
	}
}

// fuels has a row for each batch, and for each that an entry names and the shelf
// does not hold.
func (s *source) fuels() table {
	all := slices.Clone(s.r.Shelf.Batches)
	var listed, mentioned []string
	for _, b := range all {
		listed = append(listed, b.Name)
	}
	for _, e := range s.r.Entries {
		mentioned = append(mentioned, e.Fuel)
	}
	for _, name := range unlisted(listed, mentioned) {
		all = append(all, gear.FuelBatch{Name: name})
	}
	return fill(table{
		name: "fuels", title: "Fuel batches", key: []string{"fuel"},
		says: "What was burned. Burns from one batch share the error of its composition.",
	}, all, []column[gear.FuelBatch]{
		col("fuel", text, "name of the batch", func(b gear.FuelBatch) any { return words(b.Name) }),
		col("product", text, "what the label calls it", func(b gear.FuelBatch) any { return words(b.Product) }),
		col("strength_share", decimal, "strength as a share of 1, on the basis beside it", func(b gear.FuelBatch) any {
			if !b.Strength.Given {
				return nil
			}
			return number(b.Strength.Value.Value)
		}),
		coded("strength_basis", strengths, "what the strength counts", func(b gear.FuelBatch) string { return string(b.Strength.Value.Basis) }),
		col("strength_typed", text, "strength, as typed", func(b gear.FuelBatch) any { return typed(b.Strength) }),
		col("components_typed", text, "components, as typed", func(b gear.FuelBatch) any { return words(components(b.Components)) }),
		col("known_by", text, "how the composition is known", func(b gear.FuelBatch) any { return words(b.KnownBy) }),
	})
}

func components(cs []gear.Component) string {
	var parts []string
	for _, c := range cs {
		part := c.Substance.String()
		switch {
		case c.Rest:
			part += " the rest"
		case c.High.Given:
			part += " " + c.Low.Text + " to " + c.High.Text
		default:
			part += " " + c.Low.Text
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "; ")
}

// tool is an instrument of any kind.
type tool struct {
	kind, name string
	use        gear.Use
	stepMass   mass
	linearity  mass
	stepTemp   quantity.Reading[quantity.TempDiff]
	limitTemp  quantity.Reading[quantity.TempDiff]
	limitPress press
	tolerance  quantity.Reading[quantity.Ratio]
}

// instruments has a row for each instrument; serial numbers are not recorded.
func (s *source) instruments() table {
	var all []tool
	for _, x := range s.r.Shelf.Tools.Scales {
		all = append(all, tool{kind: "scale", name: x.Name, use: x.For, stepMass: x.Step, linearity: x.Linearity})
	}
	for _, x := range s.r.Shelf.Tools.Thermometers {
		all = append(all, tool{kind: "thermometer", name: x.Name, use: x.For, stepTemp: x.Step, limitTemp: x.Limit})
	}
	for _, x := range s.r.Shelf.Tools.Barometers {
		all = append(all, tool{kind: "barometer", name: x.Name, limitPress: x.Limit})
	}
	for _, x := range s.r.Shelf.Tools.Measures {
		all = append(all, tool{kind: "measure", name: x.Name, use: x.For, tolerance: x.Tolerance})
	}
	return fill(table{
		name: "instruments", title: "Instruments",
		says: "What was read from. Half-widths hold for all readings of one instrument together.",
	}, all, []column[tool]{
		coded("kind", toolKinds, "kind of instrument", func(t tool) string { return t.kind }),
		col("instrument", text, "its name on this bench", func(t tool) any { return words(t.name) }),
		col("kept_for", text, "what it is read for; none: everything", func(t tool) any { return words(string(t.use)) }),
	},
		reading("step", grams, "what a scale's display resolves", func(t tool) mass { return t.stepMass }),
		reading("linearity", grams, "half-width of a scale's error over its range", func(t tool) mass { return t.linearity }),
		reading("temperature_step", kelvins, "what a thermometer's display resolves", func(t tool) quantity.Reading[quantity.TempDiff] { return t.stepTemp }),
		reading("temperature_limit", kelvins, "half-width of a thermometer's class", func(t tool) quantity.Reading[quantity.TempDiff] { return t.limitTemp }),
		reading("pressure_limit", hectopascal, "half-width of a barometer", func(t tool) press { return t.limitPress }),
		reading("tolerance", shares, "half-width of a measure", func(t tool) quantity.Reading[quantity.Ratio] { return t.tolerance }),
	)
}

// claim is a trait of an entry.
type claim struct {
	entry string
	verdict.Trait
}

// traits has a row for each claim that no figure shows.
func (s *source) traits() table {
	var all []claim
	for _, e := range s.v.Entries {
		for _, t := range e.Traits {
			all = append(all, claim{e.Name, t})
		}
	}
	return fill(table{
		name: "traits", title: "Traits", refs: []reference{{"entry", "entries", "entry"}},
		says: "What a burner can or cannot do that no figure shows, with the burns that showed it.",
	}, all, []column[claim]{
		col("entry", text, "name of the entry", func(c claim) any { return words(c.entry) }),
		col("trait", text, "what it can do", func(c claim) any { return words(c.Name) }),
		col("holds", boolean, "false: seen not to hold", func(c claim) any { return c.Holds }),
		col("shown_by", text, "burns that showed it", func(c claim) any { return words(strings.Join(c.ShownBy, "; ")) }),
		col("note", text, "note, only where names and places may be published", func(c claim) any { return s.notes(c.Note) }),
	})
}
