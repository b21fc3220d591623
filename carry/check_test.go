package carry

import (
	"slices"
	"testing"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

// Bad input is said with what was read, what was expected and what to do.
func TestBadInput(t *testing.T) {
	ratio := func(x float64) quantity.Reading[quantity.Ratio] { return quantity.Given(quantity.Ratio(x)) }
	for _, row := range []struct {
		code, line string
		spoil      func(*Trip, *Shelf)
	}{
		{"trip_without_days", "trip: legs: fault: the trip lasts 0 days, expected 1 or more; write the days of each leg",
			func(t *Trip, _ *Shelf) { t.Legs[0].Days = 0 }},
		{"days_negative", "leg ridge: days: fault: -3 days, expected 0 or more; write how many days it lasts",
			func(t *Trip, _ *Shelf) { t.Legs[0].Days = -3 }},
		{"trip_too_long", "trip: legs: fault: 400 days in 1 legs, expected at most 365 days in 100 legs; plan it in parts",
			func(t *Trip, _ *Shelf) { t.Legs[0].Days = 400 }},
		{"people_out_of_range", "trip: people: fault: 0 people, expected 1 to 100; write how many share the kit",
			func(t *Trip, _ *Shelf) { t.People = 0 }},
		{"people_out_of_range", "trip: people: fault: 101 people, expected 1 to 100; write how many share the kit",
			func(t *Trip, _ *Shelf) { t.People = 101 }},
		{"too_many_boils", "trip: legs: fault: 100000 boils over the whole trip, expected at most 20000; check days, people and boils a day, or plan it in parts",
			func(t *Trip, _ *Shelf) {
				t.Legs[0].Days, t.Legs[0].Boils[0].PerDay, t.Legs[0].Boils[0].PerPerson, t.People = 20, 50, true, 100
				t.Legs[0].Boils = t.Legs[0].Boils[:1]
			}},
		{"draws_out_of_range", "trip: draws: fault: 7 draws, expected 100 to 1000000; 10000 are enough for most",
			func(t *Trip, _ *Shelf) { t.Draws = 7 }},
		{"nothing_boiled", "trip: legs: caution: no leg boils any water, so every kit needs no fuel; write the boils of each day, such as 500 mL twice",
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils = nil }},
		{"many_resupplies", "trip: legs: caution: 40 resupplies on 40 days, more than 12 expected; check that each leg ends where fuel is really to be had",
			func(t *Trip, _ *Shelf) {
				l := t.Legs[0]
				l.Days, l.Resupply = 1, []Kind{Spirit}
				t.Legs = slices.Repeat([]Leg{l}, 40)
			}},
		{"reserve_out_of_range", "trip: reserve: fault: a chance of running dry of 0, expected above 0 and at most 0.5; the usual reserve is one extra day",
			func(t *Trip, _ *Shelf) { t.Reserve = Reserve{Rule: ByChance} }},
		{"reserve_out_of_range", "trip: reserve: fault: a reserve of -1 days, expected 0 to 30; the usual reserve is one extra day",
			func(t *Trip, _ *Shelf) { t.Reserve = Reserve{Rule: ByDays, Days: -1} }},
		{"reserve_out_of_range", "trip: reserve: fault: a reserve of 25 of the need, expected 0 to 5; the usual reserve is one extra day",
			func(t *Trip, _ *Shelf) { t.Reserve = Reserve{Rule: ByShare, Share: 25} }},
		{"objective_unknown", `trip: choose: fault: "red" is not something to have least of; choose start mass, mean carried mass, chance of running dry, waiting or cost`,
			func(t *Trip, _ *Shelf) { t.Choose = "red" }},
		{"no_greatest_mass", "trip: limits.start: fault: the least chance of running dry has no answer without a greatest mass: more fuel is always surer; give the greatest mass at the start",
			func(t *Trip, _ *Shelf) { t.Choose = LeastDry }},
		{"wind_unknown", `leg ridge: wind: fault: wind "storm", expected still, breeze, wind or gale; choose one`,
			func(t *Trip, _ *Shelf) { t.Legs[0].Wind = "storm" }},
		{"water_missing", `leg ridge: boil.water: fault: boil "tea" does not say how much water; write it, such as 500 mL`,
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils = []Boil{{Name: "tea", PerDay: 1}} }},
		{"water_out_of_range", "leg ridge: boil.water: fault: a boil of 500 kg of water, expected above 0 and at most 20 kg; check the unit",
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils = []Boil{{Mass: g(500e3), PerDay: 1}} }},
		{"boils_out_of_range", "leg ridge: boil.per_day: fault: -1 boils a day, expected 0 to 50; write how often a day",
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils[0].PerDay = -1 }},
		{"simmer_out_of_range", "leg ridge: boil.simmer: fault: simmering for 10h0m0s, expected 0 to 6 h; write the minutes after each boil",
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils[0].Simmer = quantity.Given(10 * time.Hour) }},
		{"snow_unlikely", "leg ridge: snow: note: 50 % of the water from snow at 5 m in air of 28 °C: is there snow?; give the air temperature, or leave snow out; melting more than doubles the fuel",
			func(t *Trip, _ *Shelf) {
				l := &t.Legs[0]
				l.SnowShare, l.Elevation, l.Air = ratio(0.5), metres(5), celsius(28, 0)
			}},
		{"leg_out_of_range", "leg ridge: fault: a share of snow of 50.00, expected 0 to 1; correct the leg",
			func(t *Trip, _ *Shelf) { t.Legs[0].SnowShare, t.Legs[0].Air = ratio(50), celsius(-5, 0) }},
		{"leg_out_of_range", "leg ridge: fault: snow at 5.0 °C, expected -40 to 0 °C; correct the leg",
			func(t *Trip, _ *Shelf) { t.Legs[0].SnowTemperature = celsius(5, 0) }},
		{"leg_out_of_range", "leg ridge: fault: water starts at 98.0 to 98.0 °C, expected 0 °C to below the boiling point of 94.0 °C; correct the leg",
			func(t *Trip, _ *Shelf) { t.Legs[0].WaterStart = celsius(98, 0) }},
		{"left_out", "pot titanium: mass: caution: was not weighed, and would always be lightest; weigh it",
			func(_ *Trip, s *Shelf) { s.Parts[0].Mass = quantity.Reading[quantity.Mass]{} }},
		{"slot_unknown", `hat: slot: caution: fills "head", which no kit has; choose pot, lid, screen, stand, primer or lighter`,
			func(_ *Trip, s *Shelf) { s.Parts = append(s.Parts, Part{Name: "hat", Slot: "head", Mass: g(1)}) }},
		{"kit_without_pot", "stove brass: pot: caution: there is no pot to put on it; list a pot with its mass",
			func(_ *Trip, s *Shelf) { s.Parts = s.Parts[2:] }},
		{"no_kit_fits", "shelf: fault: no combination of what is on the shelf makes a kit; list a stove with a pot and what it needs, or no stove",
			func(_ *Trip, s *Shelf) { s.Parts, s.Stoves = s.Parts[2:], s.Stoves[:4] }},
		{"nothing_to_carry_fuel_in", "stove gas: caution: the shelf has no bottle, cartridge or tablet for gas; list them with what they hold and weigh",
			func(_ *Trip, s *Shelf) { s.Vessels = s.Vessels[:2] }},
		{"left_out", "vessel odd: caution: holds 230 g of fuel and weighs 100 g full; correct it or leave it out",
			func(_ *Trip, s *Shelf) {
				s.Vessels = append(s.Vessels, Vessel{Name: "odd", For: Gas, Fuel: g(230), Mass: g(100)})
			}},
		{"left_out", "vessel odd: caution: is a bottle and does not say what it holds, expected above 0 and under 100 L; correct it or leave it out",
			func(_ *Trip, s *Shelf) { s.Vessels = append(s.Vessels, Vessel{Name: "odd", For: Spirit, Mass: g(1)}) }},
		{"bottle_smaller_than_a_dose", "leg ridge: caution: bottle vial holds 5 mL and one boil takes about 13 mL; check the unit, or take a larger bottle",
			func(_ *Trip, s *Shelf) {
				s.Vessels = append(s.Vessels, Vessel{Name: "vial", For: Spirit, Holds: mL(5), Mass: g(1)})
			}},
		{"vessels_too_few", "gas: caution: the bottles, cartridges or tablets on the shelf do not hold what the trip needs; add some, or one more resupply",
			func(_ *Trip, s *Shelf) { s.Vessels[2].Fuel, s.Vessels[2].Count, s.Vessels[3].For = g(1), 1, "" }},
		{"efficiency_impossible", "stove brass: caution: is said to boil a litre on 1.2 g, 1117 % of the heat of its fuel; expected at most 100 %; check the unit: grams or millilitres of fuel for a litre of water from 20 to 100 °C",
			func(_ *Trip, s *Shelf) { s.Stoves[1].PerLitre = g(1.2) }},
		{"efficiency_impossible", "stove brass: caution: is said to boil a litre on 850 g, 1.6 % of the heat of its fuel; expected at least 5 %; check the unit: grams or millilitres of fuel for a litre of water from 20 to 100 °C",
			func(_ *Trip, s *Shelf) { s.Stoves[1].PerLitre = g(850) }},
		{"planning_figure", "brass: note: nobody here has burned it: published planning figures, 22 to 60 g a litre (hikers' guides and builders' logs); time and weigh a few boils, outdoors if it will be used there",
			func(*Trip, *Shelf) {}},
		{"few_burns", "cat can: note: 2 of its burns know their fuel to boil, expected 3 or more; scatter from burn to burn is a planning figure; weigh more boils",
			func(_ *Trip, s *Shelf) {
				s.Stoves[0].Evidence = []Evidence{seen(trial.Entry{Pot: "titanium"}, 2, 13, 0.1)}
			}},
		{"gas_in_the_cold", "leg ridge: caution: gas at -6 °C gives less the colder and emptier the cartridge; that is not in these figures; keep cartridges warm, or plan with burns made in the cold",
			func(t *Trip, _ *Shelf) { t.Legs[0].Air = celsius(-6, 0) }},
		{"tablets_do_not_simmer", "leg ridge: caution: tablets cannot be turned down, yet something is to simmer on them; count the simmering as one more boil, or take another stove",
			func(*Trip, *Shelf) {}},
		{"pot_too_small", "leg ridge: caution: a boil of 1000 g of water in a pot that holds 900 mL; boil it in parts: write more boils of less water",
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils[0] = Boil{Mass: g(1000), PerDay: 1} }},
		{"far_from_tested", "cat can: caution: boils of 1100 g are reckoned from burns at 500 g; half to double is what the reckoning is trusted for; burn some with the water of the trip",
			func(t *Trip, _ *Shelf) { t.Legs[0].Boils[0] = Boil{Mass: g(1100), PerDay: 1} }},
		{"past_left_out", "past trip alps: past: caution: used 900 g where 90 g were planned, expected a fifth to five times; correct it or leave it out",
			func(t *Trip, _ *Shelf) {
				t.Past = []Past{{Trip: "alps", Stove: "cat can", Planned: g(90), Used: g(900)}}
			}},
		{"eats_cold", "stove cold: note: heats nothing: who takes it eats cold and needs no fuel", func(*Trip, *Shelf) {}},
		{"cannot_heat", "cat can: fault: cat can never brings this water to the boil in this air: the pot loses more than the flame gives; change the leg or leave the stove out",
			func(t *Trip, s *Shelf) {
				t.Legs[0].Air, s.Parts[0].Loss = celsius(-40, 0), quantity.Given(quantity.Conductance(9))
			}},
	} {
		trip, s := demo()
		trip.Draws = 100
		row.spoil(&trip, &s)
		a := choose(t, trip, s)
		i := slices.IndexFunc(a.Findings, func(f finding.Finding) bool { return f.Code == row.code && f.String() == row.line })
		if i < 0 {
			t.Errorf("%s: not among %v", row.line, a.Findings)
		}
		if worst, _ := finding.Worst(trip.Check()); worst == finding.Fault && (a.Best != nil || len(a.Kits) > 0) {
			t.Errorf("%s: answered all the same", row.code)
		}
	}
}

// Forty resupplies are asked about and answered.
func TestFortyResuppliesAreAnswered(t *testing.T) {
	trip, s := demo()
	l := trip.Legs[0]
	l.Days, l.Resupply = 1, []Kind{Spirit, Gas, Tablets}
	trip.Draws, trip.Legs = 200, slices.Repeat([]Leg{l}, 41)
	a := choose(t, trip, s)
	if a.Best == nil || len(a.Best.Loads) != 41 || len(a.Best.ByDay) != 41 {
		t.Fatal(a.Best)
	}
}

// Where fuel of a kind is not to be had, there is no resupply for it.
func TestResupplyIsOfAKind(t *testing.T) {
	trip, s := demo()
	trip.Legs = append(trip.Legs, trip.Legs[0])
	trip.Legs[0].Resupply = []Kind{Spirit}
	for _, k := range choose(t, trip, s).Kits {
		want := map[Kind]int{Spirit: 2, Gas: 1, Tablets: 1, NoStove: 0}[k.Kit.Kind]
		if len(k.Loads) != want {
			t.Errorf("%s: %d loads, expected %d", k.Kit.Name(), len(k.Loads), want)
		}
	}
}

// No stove is best only where nothing is to be heated.
func TestNoStove(t *testing.T) {
	trip, s := demo()
	if a := choose(t, trip, s); a.Best.Kit.Kind == NoStove || a.Kits[len(a.Kits)-1].Breaks != "heats nothing, and the trip asks for hot water" {
		t.Error(a.Best.Kit, a.Kits[len(a.Kits)-1].Breaks)
	}
	trip.Legs[0].Boils = nil
	if a := choose(t, trip, s); a.Best.Kit.Kind != NoStove || a.Best.Dry.Share != 0 || a.Best.Start != 0 {
		t.Error(a.Best)
	}
}

// One earlier trip that used 1.44 times the plan moves the next by 1.2; two alike by
// 1.44^(2/3).
func TestPastTripsCorrectTheNext(t *testing.T) {
	trip, s := demo()
	before := choose(t, trip, s)
	past := Past{Trip: "fell", Stove: "cat can", Planned: g(100), Used: g(144)}
	for n, want := range []float64{1, 1.2, 1.275} {
		trip.Past = slices.Repeat([]Past{past}, n)
		a := choose(t, trip, s)
		for i, k := range a.Kits {
			j := slices.IndexFunc(before.Kits, func(b Carried) bool { return b.Kit.Name() == k.Kit.Name() && b.Need.By == k.Need.By })
			got := float64(k.Need.Median / before.Kits[j].Need.Median)
			if k.Kit.Stove != "cat can" {
				want = 1
			} else {
				want = []float64{1, 1.2, 1.275}[n]
			}
			sum := 0.0
			for _, d := range k.Doses {
				sum += 3 * float64(d.Middle) // three days
			}
			if d := sum - float64(k.Need.Point); d > 1e-9 || d < -1e-9 {
				t.Errorf("%s: doses add up to %g kg, the need is %g kg", k.Kit.Name(), sum, float64(k.Need.Point))
			}
			if k.Kit.Kind != NoStove && (got < want-0.001 || got > want+0.001) {
				t.Errorf("%d trips, kit %d %s: factor %.4f, expected %g", n, i, k.Kit.Name(), got, want)
			}
		}
	}
}

// Notes on rules are passed on with their age and nothing else.
func TestRuleNotes(t *testing.T) {
	for want, n := range map[string]RuleNote{
		"valley: no flames in August (not checked since 2 May 2024)": {Place: "valley", Text: "no flames in August", Checked: "2 May 2024"},
		"ask the warden (date not written down)":                     {Text: "ask the warden"},
	} {
		if got := n.String(); got != want {
			t.Errorf("%q, expected %q", got, want)
		}
	}
	trip, s := demo()
	trip.Rules = []RuleNote{{Text: "ask the warden"}}
	if a := choose(t, trip, s); !slices.Equal(a.Rules, trip.Rules) {
		t.Error(a.Rules)
	}
}

// Within the greatest mass and cost, what holds most is taken: a dear bottle that
// holds more is left where it costs too much, and taken where nothing limits it.
func TestLeastDryKeepsBothLimits(t *testing.T) {
	trip, s := demo()
	s.Stoves, trip.Choose = s.Stoves[:1], LeastDry
	s.Vessels = []Vessel{{Name: "cheap", For: Spirit, Holds: mL(100), Mass: g(18), Price: money(1), Count: 1}, {Name: "dear", For: Spirit, Holds: mL(250), Mass: g(20), Price: money(30), Count: 1}}
	for _, row := range []struct {
		limit quantity.Reading[Money]
		want  string
	}{{money(30), "cheap"}, {quantity.Reading[Money]{}, "dear"}} {
		trip.Limits = Limits{Start: g(400), Cost: row.limit}
		a := choose(t, trip, s)
		if a.Best == nil || len(a.Best.Loads[0].Vessels) == 0 || a.Best.Loads[0].Vessels[0].Name != row.want || a.Best.Start > 0.4+tiny {
			t.Errorf("%v: %+v, expected the %s bottle", row.limit, a.Best, row.want)
		}
	}
}

func TestUnbeatenLeavesOutWhatIsBeaten(t *testing.T) {
	a, b := &candidate{sampled: &sampled{wait: 1}, start: 1, mean: 1, price: 1}, &candidate{sampled: &sampled{wait: 1}, start: 1, mean: 2, price: 1}
	c := &candidate{sampled: &sampled{wait: 0.5}, start: 1, mean: 3, price: 1}
	if got := unbeaten([]*candidate{a, b, c}); len(got) != 2 || got[0] != a || got[1] != c {
		t.Error(got)
	}
}
