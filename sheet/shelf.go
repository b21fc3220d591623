package sheet

import (
	"fairburn/gear"
	"fairburn/matter/fuel"
	"fairburn/quantity"
)

// The keys of what lies on the bench.

var (
	families = vocabulary[gear.Family]{gear.ParseFamily, []gear.Family{
		gear.OpenCup, gear.CapillaryRim, gear.NotchedRings, gear.RimHoles, gear.AirJacket,
		gear.SideJets, gear.TopJets, gear.SlitSeam, gear.Wick, gear.LowPressure,
	}}
	traitKinds = vocabulary[gear.TraitKind]{gear.ParseTrait, []gear.TraitKind{gear.StandsAlone, gear.StoresFuel, gear.Simmers, gear.NeedsPriming, gear.Soots}}
	uses       = vocabulary[gear.Use]{gear.ParseUse, []gear.Use{gear.ForFuel, gear.ForWater, gear.ForAir}}
)

var burnerKeys = []*key[*gear.Burner]{
	label("name", "name; its own", func(b *gear.Burner) *string { return &b.Name }),
	word("family", "how it works: open cup, capillary rim, notched rings, rim holes, air jacket, side jets, top jets, slit seam, wick, low pressure wick",
		families, func(b *gear.Burner) *gear.Family { return &b.Family }),
	yes("shop_made", "bought, not made", func(b *gear.Burner) *bool { return &b.ShopMade }),
	reading("can", "diameter of the outer can", lengths, func(b *gear.Burner) *quantity.Reading[quantity.Length] { return &b.Can }),
	reading("height", "height of the burner", lengths, func(b *gear.Burner) *quantity.Reading[quantity.Length] { return &b.Height }),
	reading("wall_gap", "gap between inner and outer wall", lengths, func(b *gear.Burner) *quantity.Reading[quantity.Length] { return &b.WallGap }).like("3 mm", "1/8 in", "1/8 in"),
	inner("inner_wall", "strip inside a double wall; height, notches, spliced", innerWallKeys, func(b *gear.Burner) *gear.InnerWall { return &b.InnerWall }),
	reading("fill_hole", "diameter of the hole or open centre", lengths, func(b *gear.Burner) *quantity.Reading[quantity.Length] { return &b.FillHole }),
	rows("jets", "rings of equal holes, lowest first; count, diameter, tool, height, direction", item[*gear.JetRing]{one: "jet ring", keys: jetKeys}, func(b *gear.Burner) *[]gear.JetRing { return &b.Jets }),
	inner("wick", "absorbent; material, mass, height", wickKeys, func(b *gear.Burner) *gear.WickFill { return &b.Wicking }),
	inner("seam", "how the parts hold; kind, cure", seamKeys, func(b *gear.Burner) *gear.Seam { return &b.Seam }),
	reading("dry_mass", "mass without fuel", masses, func(b *gear.Burner) *quantity.Reading[quantity.Mass] { return &b.DryMass }),
	reading("holds", "fuel that it holds without spilling", volumes, func(b *gear.Burner) *quantity.Reading[quantity.Volume] { return &b.Holds }),
	label("parent", "burner that it was changed from", func(b *gear.Burner) *string { return &b.Parent }),
	prose("changed", "what was changed against that one", func(b *gear.Burner) *string { return &b.Changed }),
	rows("traits", `what it can or cannot do; "stands alone", "stores fuel", "simmers", "needs priming", "soots", or { what, holds, shown_by, note }`,
		item[*gear.Trait]{one: "trait", keys: traitKeys, start: func(x *gear.Trait) { x.Holds = true }, short: shortTrait}, func(b *gear.Burner) *[]gear.Trait { return &b.Traits }),
	count("marker", "number of its colour and shape on every page", func(b *gear.Burner) *int { return &b.Marker }),
	prose("notes", "notes; anything else", func(b *gear.Burner) *string { return &b.Notes }),
}

var innerWallKeys = []*key[*gear.InnerWall]{
	reading("height", "height of the strip", lengths, func(x *gear.InnerWall) *quantity.Reading[quantity.Length] { return &x.Height }),
	count("notches", "notches cut in its lower edge", func(x *gear.InnerWall) *int { return &x.Notches }),
	yes("spliced", "joined from two pieces", func(x *gear.InnerWall) *bool { return &x.Spliced }),
}

var jetKeys = []*key[*gear.JetRing]{
	count("count", "holes in the ring", func(x *gear.JetRing) *int { return &x.Count }),
	reading("diameter", "diameter of one hole, as measured", lengths, func(x *gear.JetRing) *quantity.Reading[quantity.Length] { return &x.Diameter }).like("1.2 mm", "3/64 in", "3/64 in"),
	words("tool", "tool that made them; such as pin, #60 drill", func(x *gear.JetRing) *string { return &x.Tool }),
	reading("height", "height above the base", lengths, func(x *gear.JetRing) *quantity.Reading[quantity.Length] { return &x.Height }),
	words("direction", "direction; up, slope or side", func(x *gear.JetRing) *string { return &x.Direction }),
}

var wickKeys = []*key[*gear.WickFill]{
	words("material", "material; such as carbon felt, fibreglass", func(x *gear.WickFill) *string { return &x.Material }),
	reading("mass", "mass when dry", masses, func(x *gear.WickFill) *quantity.Reading[quantity.Mass] { return &x.Mass }),
	reading("height", "height of the absorbent", lengths, func(x *gear.WickFill) *quantity.Reading[quantity.Length] { return &x.Height }),
}

var seamKeys = []*key[*gear.Seam]{
	words("kind", "kind of joint; such as interference, foil tape, epoxy, crimp", func(x *gear.Seam) *string { return &x.Kind }),
	words("cure", "how it was hardened", func(x *gear.Seam) *string { return &x.Cure }),
}

var traitKeys = []*key[*gear.Trait]{
	word("what", "what it can or cannot do", traitKinds, func(x *gear.Trait) *gear.TraitKind { return &x.Kind }),
	writtenWhenFalse(yes("holds", "so it is; no where it was seen not to be so", func(x *gear.Trait) *bool { return &x.Holds }), func(x *gear.Trait) bool { return x.Holds }),
	labels("shown_by", "burns that show it; by their numbers or names", func(x *gear.Trait) *[]string { return &x.ShownBy }),
	prose("note", "how it showed", func(x *gear.Trait) *string { return &x.Note }),
}

// writtenWhenFalse is for a key that is true where it is missing.
func writtenWhenFalse[P any](k *key[P], holds func(P) bool) *key[P] {
	k.form = shape{kind: Choice, choices: []string{"yes", "no"}} // a box left empty would say no
	k.write = func(_ *writer, from P) string {
		if holds(from) {
			return ""
		}
		return "false"
	}
	return k
}

func shortTrait(_ *reader, s string, x *gear.Trait) (err error) {
	x.Holds = true
	x.Kind, err = gear.ParseTrait(s)
	return err
}

var potKeys = []*key[*gear.Pot]{
	label("name", "name; its own", func(x *gear.Pot) *string { return &x.Name }),
	reading("mass", "mass without its lid", masses, func(x *gear.Pot) *quantity.Reading[quantity.Mass] { return &x.Mass }),
	words("material", "material; such as aluminium, titanium, steel", func(x *gear.Pot) *string { return &x.Material }),
	reading("diameter", "diameter of its base", lengths, func(x *gear.Pot) *quantity.Reading[quantity.Length] { return &x.Diameter }).like("100 mm", "4 in", "4 in"),
	reading("holds", "volume up to the brim", volumes, func(x *gear.Pot) *quantity.Reading[quantity.Volume] { return &x.Holds }).like("700 mL", "24 US fl oz", "24 imp fl oz"),
	reading("loss", "heat loss of the full pot, from its cooling", losses, func(x *gear.Pot) *quantity.Reading[quantity.Conductance] { return &x.Loss }),
	prose("notes", "notes; anything else", func(x *gear.Pot) *string { return &x.Notes }),
}

var lidKeys = []*key[*gear.Lid]{
	label("name", "name; its own", func(x *gear.Lid) *string { return &x.Name }),
	reading("mass", "mass of it", masses, func(x *gear.Lid) *quantity.Reading[quantity.Mass] { return &x.Mass }),
	words("material", "material; such as aluminium, titanium, steel", func(x *gear.Lid) *string { return &x.Material }),
	prose("notes", "notes; anything else", func(x *gear.Lid) *string { return &x.Notes }),
}

var screenKeys = []*key[*gear.Screen]{
	label("name", "name; its own", func(x *gear.Screen) *string { return &x.Name }),
	reading("mass", "mass of it", masses, func(x *gear.Screen) *quantity.Reading[quantity.Mass] { return &x.Mass }),
	reading("gap", "gap between pot wall and screen", lengths, func(x *gear.Screen) *quantity.Reading[quantity.Length] { return &x.Gap }),
	prose("notes", "notes; anything else", func(x *gear.Screen) *string { return &x.Notes }),
}

var standKeys = []*key[*gear.Stand]{
	label("name", "name; its own", func(x *gear.Stand) *string { return &x.Name }),
	reading("mass", "mass of it", masses, func(x *gear.Stand) *quantity.Reading[quantity.Mass] { return &x.Mass }),
	reading("height", "height of the pot's base above the burner's base", lengths, func(x *gear.Stand) *quantity.Reading[quantity.Length] { return &x.Height }),
	prose("notes", "notes; anything else", func(x *gear.Stand) *string { return &x.Notes }),
}

var fuelKeys = []*key[*gear.FuelBatch]{
	label("name", "name; its own", func(x *gear.FuelBatch) *string { return &x.Name }),
	words("product", "product; what the label calls it", func(x *gear.FuelBatch) *string { return &x.Product }),
	reading("strength", "strength of ethanol and water; 95 % vol, 94 % by mass, 190 proof", strengths, func(x *gear.FuelBatch) *quantity.Reading[quantity.Strength] { return &x.Strength }),
	rows("components", "components, instead of a strength; { substance, share } or { substance, from, to } or { substance, rest = true }", item[*gear.Component]{one: "component", keys: componentKeys}, func(x *gear.FuelBatch) *[]gear.Component { return &x.Components }),
	words("known_by", "how that is known; label, safety data sheet, density measured, guess", func(x *gear.FuelBatch) *string { return &x.KnownBy }),
	prose("notes", "notes; anything else", func(x *gear.FuelBatch) *string { return &x.Notes }),
}

var componentKeys = []*key[*gear.Component]{
	{
		name: "substance", holds: "substance", form: shape{kind: Choice, choices: substances()},
		read: func(r *reader, p place, v *node, into *gear.Component) {
			s, ok := r.text(p, v, "ethanol")
			if !ok {
				return
			}
			substance, err := fuel.Named(s)
			if err != nil {
				r.refuse(p, v, err)
				return
			}
			into.Substance = substance
		},
		write: func(w *writer, from *gear.Component) string {
			if !from.Substance.Valid() {
				return ""
			}
			return w.quote(from.Substance.String())
		},
	},
	only(reading("share", "share of the fuel, by mass or by volume", strengths, lowOf), func(c *gear.Component) bool { return !c.High.Given }),
	only(reading("from", "share at least; where the label gives a range", strengths, lowOf), func(c *gear.Component) bool { return c.High.Given }),
	reading("to", "share at most", strengths, func(c *gear.Component) *quantity.Reading[quantity.Strength] { return &c.High }),
	yes("rest", "the rest; it fills up to the whole", func(c *gear.Component) *bool { return &c.Rest }),
}

func substances() []string {
	var names []string
	for _, s := range fuel.Substances() {
		names = append(names, s.String())
	}
	return names
}

func lowOf(c *gear.Component) *quantity.Reading[quantity.Strength] { return &c.Low }

var scaleKeys = []*key[*gear.Scale]{
	label("name", "name; its own", func(x *gear.Scale) *string { return &x.Name }),
	word("for", "what it serves: fuel or water, where it serves one only", uses, func(x *gear.Scale) *gear.Use { return &x.For }),
	reading("step", "step of its display; what its last digit counts in", masses, func(x *gear.Scale) *quantity.Reading[quantity.Mass] { return &x.Step }).like("0.1 g", "0.005 oz", "0.1 g"),
	reading("linearity", "half-width of its error over the range used", masses, func(x *gear.Scale) *quantity.Reading[quantity.Mass] { return &x.Linearity }).like("0.2 g", "0.01 oz", "0.2 g"),
}

var thermometerKeys = []*key[*gear.Thermometer]{
	label("name", "name; its own", func(x *gear.Thermometer) *string { return &x.Name }),
	word("for", "what it serves: water, air or fuel, where it serves one only", uses, func(x *gear.Thermometer) *gear.Use { return &x.For }),
	reading("step", "step of its display; what its last digit counts in", differences, func(x *gear.Thermometer) *quantity.Reading[quantity.TempDiff] { return &x.Step }),
	reading("limit", "half-width of its class or certificate", differences, func(x *gear.Thermometer) *quantity.Reading[quantity.TempDiff] { return &x.Limit }),
}

var barometerKeys = []*key[*gear.Barometer]{
	label("name", "name; its own", func(x *gear.Barometer) *string { return &x.Name }),
	reading("limit", "half-width of its error", pressures, func(x *gear.Barometer) *quantity.Reading[quantity.Pressure] { return &x.Limit }).like("1.5 hPa", "0.05 inHg", "1.5 hPa"),
}

var measureKeys = []*key[*gear.Measure]{
	label("name", "name; its own", func(x *gear.Measure) *string { return &x.Name }),
	word("for", "what it serves: fuel or water, where it serves one only", uses, func(x *gear.Measure) *gear.Use { return &x.For }),
	reading("tolerance", "half-width of its error, as a share of the volume", ratios, func(x *gear.Measure) *quantity.Reading[quantity.Ratio] { return &x.Tolerance }),
}
