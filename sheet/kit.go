package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"fairburn/carry"
	"fairburn/gear"
	"fairburn/quantity"
)

// The keys of a trip's sheet.

var (
	winds      = one("wind", carry.Winds()...)
	fuels      = one("fuel", carry.Spirit, carry.Gas, carry.Tablets)
	kinds      = one("burns", carry.Spirit, carry.Gas, carry.Tablets, carry.NoStove)
	slots      = one("part", carry.Slots()...)
	objectives = one("choose", carry.Objectives()...)
	powers     = plain(quantity.ParsePower, in(quantity.Watt, "W", "W")).like("500 W", "500 W", "500 W")
	prices     = plain(parsePrice, showPrice).like("2.50", "2.50", "2.50")
)

var tripKeys = []*key[*Trip]{
	{name: "fairburn", holds: "1, the version of this layout; must be there", read: func(*reader, place, *node, *Trip) {}},
	words("title", "what the trip is called", func(t *Trip) *string { return &t.Title }),
	yes("invented", "true where the trip is a made-up example", func(t *Trip) *bool { return &t.Invented }),
	units(func(t *Trip) *quantity.System { return &t.System }),
	written(count("people", "how many eat; 1 unless given", func(t *Trip) *int { return &t.People })),
	word("choose", "what the best kit has least of: start mass (unless given), mean carried mass, chance of running dry, waiting, cost", objectives, func(t *Trip) *carry.Objective { return &t.Choose }),
	reserveKey(),
	labels("leave", "names of gear on the bench that stays at home", func(t *Trip) *[]string { return &t.Leave }),
	count("seed", "of everything random", func(t *Trip) *uint64 { return &t.Seed }),
	count("draws", fmt.Sprintf("of use and weather; %d unless given", carry.DefaultDraws), func(t *Trip) *int { return &t.Draws }),
	words("currency", "of every price, such as EUR", func(t *Trip) *string { return &t.Currency }),
	prose("notes", "anything else", func(t *Trip) *string { return &t.Notes }),
}

var tripSections = []*section[*Trip]{
	once("limits", "What no kit may pass.", limitKeys, func(t *Trip) *carry.Limits { return &t.Limits }),
	each("leg", "The legs, in the order of walking.", legKeys, func(t *Trip) *[]carry.Leg { return &t.Legs }),
	each("rule", "Your own notes on local rules, passed on as written.", ruleNoteKeys, func(t *Trip) *[]carry.RuleNote { return &t.Rules }),
	each("fuel", "Fuel to buy, or a batch of the bench with its price.", tripFuelKeys, func(t *Trip) *[]TripFuel { return &t.Fuels }),
	each("stove", "Stoves that are not on the bench.", stoveKeys, func(t *Trip) *[]carry.Stove { return &t.Shelf.Stoves }),
	vesselOf("bottle", "Bottles, with their mass when empty.", carry.Spirit, []*key[*carry.Vessel]{
		reading("holds", "up to where it is filled", volumes, func(v *carry.Vessel) *quantity.Reading[quantity.Volume] { return &v.Holds }).like("250 mL", "8 fl oz", "8 fl oz"),
		reading("mass", "empty, with its cap", masses, func(v *carry.Vessel) *quantity.Reading[quantity.Mass] { return &v.Mass }),
	}),
	vesselOf("cartridge", "Gas cartridges.", carry.Gas, []*key[*carry.Vessel]{
		reading("gas", "in it when full", masses, func(v *carry.Vessel) *quantity.Reading[quantity.Mass] { return &v.Fuel }).like("100 g", "3.5 oz", "3.5 oz"),
		reading("full", "mass of the full cartridge", masses, func(v *carry.Vessel) *quantity.Reading[quantity.Mass] { return &v.Mass }).like("195 g", "7 oz", "7 oz"),
	}),
	vesselOf("tablet", "Tablets.", carry.Tablets, []*key[*carry.Vessel]{tabletMass()}),
	partOf(carry.Pot, "Pots, lids, screens and stands that are not on the bench, and small things.", append(partKeys[:len(partKeys):len(partKeys)],
		words("material", "such as aluminium, titanium, steel", func(p *carry.Part) *string { return &p.Material }),
		reading("holds", "up to the brim", volumes, func(p *carry.Part) *quantity.Reading[quantity.Volume] { return &p.Holds }).like("700 mL", "24 fl oz", "24 fl oz"),
		reading("loss", "heat loss of the full pot, from its cooling", losses, func(p *carry.Part) *quantity.Reading[quantity.Conductance] { return &p.Loss }),
	)),
	partOf(carry.Lid, "", partKeys),
	partOf(carry.Screen, "", partKeys),
	partOf(carry.Stand, "", partKeys),
	partOf(carry.Primer, "", partKeys),
	partOf(carry.Lighter, "", partKeys),
	each("past", "Earlier trips: the fuel planned, and the fuel really used.", pastKeys, func(t *Trip) *[]carry.Past { return &t.Past }),
}

// vesselOf is the section of the vessels of a fuel; a name, then keys of its own.
func vesselOf(name, comment string, kind carry.Kind, own []*key[*carry.Vessel]) *section[*Trip] {
	keys := append([]*key[*carry.Vessel]{label("name", "its own name", func(v *carry.Vessel) *string { return &v.Name })}, own...)
	keys = append(keys,
		reading("price", "of one, as it is bought", prices, func(v *carry.Vessel) *quantity.Reading[carry.Money] { return &v.Price }),
		count("count", "how many there are; left out: as many as wanted", func(v *carry.Vessel) *int { return &v.Count }))
	return some(name, comment, keys, ofList[*Trip, *carry.Vessel]{
		things: thingsOf(func(t *Trip) *[]carry.Vessel { return &t.Shelf.Vessels }),
		start:  func(_ *reader, _ *node, v *carry.Vessel) { v.For = kind },
		holds:  func(v *carry.Vessel) bool { return v.For == kind },
	})
}

// partOf is the section of the parts that fill a slot.
func partOf(slot carry.Slot, comment string, keys []*key[*carry.Part]) *section[*Trip] {
	return some(string(slot), comment, keys, ofList[*Trip, *carry.Part]{
		things: thingsOf(func(t *Trip) *[]carry.Part { return &t.Shelf.Parts }),
		start:  func(_ *reader, _ *node, p *carry.Part) { p.Slot = slot },
		holds:  func(p *carry.Part) bool { return p.Slot == slot },
	})
}

// tabletMass is the mass of a tablet, all of which is fuel.
func tabletMass() *key[*carry.Vessel] {
	k := reading("mass", "of one", masses, func(v *carry.Vessel) *quantity.Reading[quantity.Mass] { return &v.Mass }).like("14 g", "1/2 oz", "1/2 oz")
	read := k.read
	k.read = func(r *reader, p place, v *node, into *carry.Vessel) {
		read(r, p, v, into)
		into.Fuel = into.Mass
	}
	return k
}

var limitKeys = []*key[*carry.Limits]{
	reading("start", "heaviest kit with its fuel on the first morning", masses, func(l *carry.Limits) *quantity.Reading[quantity.Mass] { return &l.Start }).like("600 g", "21 oz", "21 oz"),
	reading("cost", "dearest kit with its fuel", prices, func(l *carry.Limits) *quantity.Reading[carry.Money] { return &l.Cost }),
	reading("wait", "longest waiting a day for water to boil and food to simmer", spans, func(l *carry.Limits) *quantity.Reading[time.Duration] { return &l.Wait }).like("45 min", "45 min", "45 min"),
}

var legKeys = []*key[*carry.Leg]{
	words("name", "where it leads", func(l *carry.Leg) *string { return &l.Name }),
	count("days", "how long it takes", func(l *carry.Leg) *int { return &l.Days }),
	rows("boils", "what is brought to the boil: { name, water, per_day, each, simmer }", item[*carry.Boil]{one: "boil", keys: boilKeys, start: func(b *carry.Boil) { b.PerDay = 1 }}, func(l *carry.Leg) *[]carry.Boil { return &l.Boils }),
	reading("water_start", "how warm the water is, such as 8 ± 4 °C; 10 ± 5 °C unless given", temperatures, func(l *carry.Leg) *quantity.Reading[quantity.Temperature] { return &l.WaterStart }),
	reading("snow", "share of the water that is melted from snow", ratios, func(l *carry.Leg) *quantity.Reading[quantity.Ratio] { return &l.SnowShare }),
	reading("snow_temperature", "0 °C unless given", temperatures, func(l *carry.Leg) *quantity.Reading[quantity.Temperature] { return &l.SnowTemperature }).like("-5 °C", "23 °F", "-5 °C"),
	reading("elevation", "of the places where you cook; the sea unless given", elevations, func(l *carry.Leg) *quantity.Reading[quantity.Length] { return &l.Elevation }),
	reading("air", "while you cook; without it no heat is lost to the air", temperatures, func(l *carry.Leg) *quantity.Reading[quantity.Temperature] { return &l.Air }),
	word("wind", "where the pot stands: still (unless given), breeze, wind, gale", winds, func(l *carry.Leg) *carry.Wind { return &l.Wind }),
	many("resupply", "fuels to be had where the leg ends: spirit, gas, tablets", fuels, func(l *carry.Leg) *[]carry.Kind { return &l.Resupply }),
}

var boilKeys = []*key[*carry.Boil]{
	words("name", "", func(b *carry.Boil) *string { return &b.Name }),
	dosed("water", "", "an amount of water", func(b *carry.Boil) dose { return dose{&b.Mass, &b.Volume} }),
	written(count("per_day", "", func(b *carry.Boil) *int { return &b.PerDay })),
	yes("each", "", func(b *carry.Boil) *bool { return &b.PerPerson }),
	reading("simmer", "", spans, func(b *carry.Boil) *quantity.Reading[time.Duration] { return &b.Simmer }),
}

var ruleNoteKeys = []*key[*carry.RuleNote]{
	words("place", "where it holds", func(n *carry.RuleNote) *string { return &n.Place }),
	prose("text", "what you noted", func(n *carry.RuleNote) *string { return &n.Text }),
	label("checked", "the day on which you looked", func(n *carry.RuleNote) *string { return &n.Checked }),
	words("link", "where to look again", func(n *carry.RuleNote) *string { return &n.Link }),
}

var tripFuelKeys = append(within(fuelKeys, func(f *TripFuel) *gear.FuelBatch { return &f.FuelBatch }),
	reading("price", "of a litre", prices, func(f *TripFuel) *quantity.Reading[carry.Money] { return &f.Price }))

var stoveKeys = []*key[*carry.Stove]{
	label("name", "its own name", func(s *carry.Stove) *string { return &s.Name }),
	word("burns", "spirit, gas, tablets, or none for food that is eaten cold", kinds, func(s *carry.Stove) *carry.Kind { return &s.Kind }),
	reading("mass", "without fuel", masses, func(s *carry.Stove) *quantity.Reading[quantity.Mass] { return &s.Mass }),
	reading("price", "if it must be bought", prices, func(s *carry.Stove) *quantity.Reading[carry.Money] { return &s.Price }),
	many("needs", "what it cannot do without beside pot and lighter: lid, screen, stand, primer", slots, func(s *carry.Stove) *[]carry.Slot { return &s.Needs }),
	label("fuel", "name of a [[fuel]], of the sheet or of the bench", func(s *carry.Stove) *string { return &s.Fuel.Name }),
	reading("per_litre", "your own figure, where there are no burns: fuel that brings a litre of water from 20 to 100 °C, such as 14 ± 2 g", masses, func(s *carry.Stove) *quantity.Reading[quantity.Mass] { return &s.PerLitre }),
	reading("power", "useful power, by which waiting is reckoned where there are no burns", powers, func(s *carry.Stove) *quantity.Reading[quantity.Power] { return &s.Power }),
}

var partKeys = []*key[*carry.Part]{
	label("name", "its own name", func(p *carry.Part) *string { return &p.Name }),
	reading("mass", "its mass", masses, func(p *carry.Part) *quantity.Reading[quantity.Mass] { return &p.Mass }),
	reading("price", "if it must be bought", prices, func(p *carry.Part) *quantity.Reading[carry.Money] { return &p.Price }),
	labels("with", "stoves or pots that it fits; left out: all", func(p *carry.Part) *[]string { return &p.With }),
}

var pastKeys = []*key[*carry.Past]{
	words("trip", "which one", func(p *carry.Past) *string { return &p.Trip }),
	label("stove", "that was carried", func(p *carry.Past) *string { return &p.Stove }),
	reading("planned", "fuel that was expected to be used", masses, func(p *carry.Past) *quantity.Reading[quantity.Mass] { return &p.Planned }).like("210 g", "7 1/2 oz", "7 1/2 oz"),
	reading("used", "fuel that was used", masses, func(p *carry.Past) *quantity.Reading[quantity.Mass] { return &p.Used }).like("190 g", "6 3/4 oz", "6 3/4 oz"),
}

// within makes keys of a part into keys of the whole.
func within[P, I any](keys []*key[I], get func(P) I) []*key[P] {
	all := make([]*key[P], len(keys))
	for i, k := range keys {
		all[i] = &key[P]{
			name: k.name, holds: k.holds, form: k.form,
			read:  func(r *reader, p place, v *node, into P) { k.read(r, p, v, get(into)) },
			write: func(w *writer, from P) string { return k.write(w, get(from)) },
		}
	}
	return all
}

// reserveKey is the reserve in words.
func reserveKey() *key[*Trip] {
	return &key[*Trip]{
		name: "reserve", holds: "1 day (unless given), 25 % more, or 2 % dry: the chance of running dry that is taken", form: shape{kind: Words},
		read: func(r *reader, p place, v *node, into *Trip) {
			s, ok := r.text(p, v, "1 day")
			if !ok {
				return
			}
			got, err := ParseReserve(s)
			if err != nil {
				r.refuse(p, v, err)
				return
			}
			into.Reserve = got
		},
		write: func(w *writer, from *Trip) string { return w.filled(ReserveText(from.Reserve)) },
	}
}

var plainPrice = regexp.MustCompile(`^\d+(?:\.(\d+))?$`)

// parsePrice reads a price, a number in the currency of the trip.
func parsePrice(s string) (quantity.Reading[carry.Money], error) {
	m := plainPrice.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return quantity.Reading[carry.Money]{}, &quantity.ParseError{Text: s, Want: "a price", Column: 1, Hint: `write the number alone, with a point, such as "2.50"; the currency stands once, before the sections`}
	}
	x, err := strconv.ParseFloat(m[0], 64)
	return quantity.Reading[carry.Money]{Value: carry.Money(x), Text: s, Given: true}, err
}

func showPrice(p carry.Money, _ int) string {
	return strconv.FormatFloat(float64(p), 'f', -1, 64)
}
