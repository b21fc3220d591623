package carry

import (
	"context"
	"math"
	"testing"
	"time"

	"fairburn/quantity"
	"fairburn/trial"
)

// g, mL, celsius and money are readings as a person would write them.
func g(x float64) quantity.Reading[quantity.Mass] {
	return quantity.Given(quantity.Mass(x) * quantity.Gram)
}

func mL(x float64) quantity.Reading[quantity.Volume] {
	return quantity.Given(quantity.Volume(x) * quantity.Millilitre)
}

func celsius(x, half float64) quantity.Reading[quantity.Temperature] {
	r := quantity.Given(quantity.Celsius(x))
	r.Tolerance = half
	return r
}

func metres(x float64) quantity.Reading[quantity.Length] { return quantity.Given(quantity.Length(x)) }

func money(x float64) quantity.Reading[Money] { return quantity.Given(Money(x)) }

// seen is the evidence of n burns of 500 g that took a mass of 96 % ethanol each.
func seen(entry trial.Entry, n int, grams, cv float64) Evidence {
	lhv := float64((&Stove{Kind: Spirit}).fuel().LHV)
	return Evidence{Trial: "invented", Entry: entry, Water: 0.5, From: 20, To: 100, Air: 20, AirKnown: true,
		N: n, MeanLog: math.Log(grams * 1e-3 * lhv), SDLog: cv, SharedLog: 0.01, Tried: n, Boiled: n, Wait: 420, PotOn: 30}
}

// demo is an invented weekend and shelf.
func demo() (Trip, Shelf) {
	leg := Leg{Name: "ridge", Days: 3, Wind: Breeze, Elevation: metres(1800), Air: celsius(8, 0), WaterStart: celsius(8, 4),
		Boils: []Boil{{Name: "morning", Volume: mL(400), PerDay: 1, PerPerson: true}, {Name: "evening", Mass: g(500), PerDay: 1, PerPerson: true, Simmer: quantity.Given(3 * time.Minute)}}}
	trip := Trip{Title: "weekend", Invented: true, People: 1, Legs: []Leg{leg}, Reserve: Reserve{Rule: ByChance, Chance: 0.05}, Seed: 7, Draws: 2000}
	entry := trial.Entry{Name: "cat", Burner: "cat can", Pot: "titanium", Lid: "foil", Screen: "cone"}
	return trip, Shelf{
		Stoves: []Stove{
			{Name: "cat can", Kind: Spirit, Mass: g(8), Price: money(0), Evidence: []Evidence{seen(entry, 6, 13, 0.06)}},
			{Name: "brass", Kind: Spirit, Mass: g(95), Price: money(25)},
			{Name: "gas", Kind: Gas, Mass: g(75), Price: money(40)},
			{Name: "solid", Kind: Tablets, Mass: g(12), Price: money(5)},
			{Name: "cold", Kind: NoStove},
		},
		Parts: []Part{
			{Name: "titanium", Slot: Pot, Mass: g(98), Price: money(50), Material: "titanium", Holds: mL(900)},
			{Name: "aluminium", Slot: Pot, Mass: g(140), Price: money(20), Material: "aluminium", Holds: mL(1200)},
			{Name: "foil", Slot: Lid, Mass: g(4), Price: money(0)},
			{Name: "metal", Slot: Lid, Mass: g(20), Price: money(0)},
			{Name: "cone", Slot: Screen, Mass: g(30), Price: money(8)},
			{Name: "wires", Slot: Stand, Mass: g(11), Price: money(1), With: []string{"cat can"}},
			{Name: "match box", Slot: Lighter, Mass: g(9), Price: money(1)},
			{Name: "lighter", Slot: Lighter, Mass: g(12), Price: money(2)},
		},
		Vessels: []Vessel{
			{Name: "100 mL bottle", For: Spirit, Holds: mL(100), Mass: g(18), Price: money(2)},
			{Name: "250 mL bottle", For: Spirit, Holds: mL(250), Mass: g(32), Price: money(1)},
			{Name: "small cartridge", For: Gas, Fuel: g(100), Mass: g(195), Price: money(5)},
			{Name: "large cartridge", For: Gas, Fuel: g(230), Mass: g(380), Price: money(8)},
			{Name: "tablet", For: Tablets, Fuel: g(15), Mass: g(15), Price: money(0.5)},
		},
	}
}

func choose(t testing.TB, trip Trip, s Shelf) *Answer {
	t.Helper()
	a, err := new(Planner).Choose(context.Background(), trip, s, nil)
	if err != nil {
		t.Fatal(err)
	}
	return a
}
