package carry

import (
	"context"
	"math"
	"testing"

	"fairburn/quantity"
)

// exact is a stove whose fuel for one litre from 20 to 100 °C is known exactly, so
// that published rules of thumb, which know no scatter, can be put to the program.
func exact(name string, kind Kind, fixed, perLitre quantity.Mass, density quantity.Density) Stove {
	return Stove{Name: name, Kind: kind, Mass: quantity.Given(fixed), PerLitre: quantity.Given(perLitre),
		Fuel: Fuel{Name: "as printed", LHV: 46 * quantity.MegajoulePerKilogram, Density: density}}
}

// litreADay is a trip of one litre a day from 20 °C at sea level, nothing to spare.
func litreADay(days int) Trip {
	return Trip{People: 1, Seed: 1, Draws: 100, Reserve: Reserve{Rule: ByDays}, Legs: []Leg{{Days: days, WaterStart: celsius(20, 0),
		Boils: []Boil{{Mass: g(1000), PerDay: 1}}}}}
}

var weightless = Part{Name: "pot", Slot: Pot, Mass: g(0)}

// Source: kit table of a published how-to guide to spirit burners: stove 60 g, 50 mL
// of spirit of 0.8 g/mL a day, bottles of 18 g to 100 mL, 32 g to 250, 45 g to 550,
// 63 g to 700 mL; total grams for 1 to 14 days as printed. It takes one bottle.
func TestPublishedKitTable(t *testing.T) {
	printed := []float64{118, 158, 212, 252, 292, 345, 385, 425, 465, 505, 545, 603, 643, 683}
	s := Shelf{Stoves: []Stove{exact("spirit", Spirit, 0.060, 0.040, 800)}, Parts: []Part{weightless}}
	for _, b := range [][2]float64{{100, 18}, {250, 32}, {550, 45}, {700, 63}} {
		s.Vessels = append(s.Vessels, Vessel{For: Spirit, Holds: mL(b[0]), Mass: g(b[1]), Count: 1})
	}
	w, err := new(Planner).Sweep(context.Background(), litreADay(1), s, len(printed), nil)
	if err != nil || len(w.Days) != len(printed) {
		t.Fatal(err, w.Findings)
	}
	for i, want := range printed {
		if got := float64(w.Days[i].Start[0]) * 1e3; math.Abs(got-want) > 0.01 {
			t.Errorf("day %d: %.2f g, printed %g", i+1, got, want)
		}
	}
}

// Source: crossovers in an outdoor-press article and hikers' guides: spirit 150 g
// and 30 g/L, a gas stove 255 g and 16 g/L, another 400 g and 12 g/L, one litre a day:
// the second is lighter than the first "after 7 days", the third than the first at
// "about 14", than the second at "about 35". Gas there is exact, without steps.
func TestPublishedCrossovers(t *testing.T) {
	a, b, c := exact("a", Spirit, 0.150, 0.030, 800), exact("b", Spirit, 0.255, 0.016, 800), exact("c", Spirit, 0.400, 0.012, 800)
	for _, row := range []struct {
		stoves   []Stove
		from, to int // the printed words as days from which the second is lighter
	}{
		{[]Stove{a, b}, 8, 8},
		{[]Stove{a, c}, 13, 15},
		{[]Stove{b, c}, 33, 38},
	} {
		s := Shelf{Stoves: row.stoves, Parts: []Part{weightless}, Vessels: []Vessel{{For: Spirit, Holds: mL(20e3), Mass: g(0)}}}
		w, err := new(Planner).Sweep(context.Background(), litreADay(1), s, 60, nil)
		if err != nil {
			t.Fatal(err)
		}
		turns := turnsOf(w, LeastStart)
		if len(turns) != 1 || turns[0].Days < row.from || turns[0].Days > row.to || w.Kits[turns[0].To].Stove != row.stoves[1].Name {
			t.Errorf("%s and %s: %+v, printed %d to %d", row.stoves[0].Name, row.stoves[1].Name, turns, row.from, row.to)
		}
	}
}

func turnsOf(w *Sweep, by Objective) []Turn {
	var ts []Turn
	for _, x := range w.Turns {
		if x.By == by {
			ts = append(ts, x)
		}
	}
	return ts
}

// Source: table of start weights in ounces by days, outdoor-press article: spirit
// 8, 11.5, 15, 18.5, 22, 25.5, 29 oz and gas 15 six times and then 23 oz for 2 to 8
// days; level on day 4. Spirit is 1 oz and 3.5 oz a day; gas 7 oz and 8 oz for each
// cartridge, one lasting 7 days.
func TestPublishedStepsInOunces(t *testing.T) {
	const oz = quantity.Ounce
	perDay := 3.5 * oz
	spirit := exact("spirit", Spirit, oz, perDay, quantity.Density(float64(perDay)/1e-4))
	gas := exact("gas", Gas, 7*oz, 0.55*oz, 0)
	s := Shelf{Stoves: []Stove{spirit, gas}, Parts: []Part{weightless}, Vessels: []Vessel{
		{For: Spirit, Holds: mL(5e3), Mass: g(0)},
		{For: Gas, Fuel: quantity.Given(4 * oz), Mass: quantity.Given(8 * oz)},
	}}
	w, err := new(Planner).Sweep(context.Background(), litreADay(1), s, 8, nil)
	if err != nil {
		t.Fatal(err)
	}
	printed := map[string][]float64{"spirit": {8, 11.5, 15, 18.5, 22, 25.5, 29}, "gas": {15, 15, 15, 15, 15, 15, 23}}
	for i, k := range w.Kits {
		for j, want := range printed[k.Stove] {
			if got := float64(w.Days[j+1].Start[i] / oz); math.Abs(got-want) > 1e-6 {
				t.Errorf("%s, %d days: %.4f oz, printed %g", k.Stove, j+2, got, want)
			}
		}
	}
	turns := turnsOf(w, LeastStart)
	if len(turns) != 1 || turns[0].Days != 5 || !turns[0].Tie || w.Kits[turns[0].To].Stove != "gas" {
		t.Errorf("%+v, printed level on day 4 and gas from then", turns)
	}
}

// Source: a published comparison over 14 days prints sums of 281 and 131 oz carried
// and "means" of 20.0 and 9.4 oz under a divisor of 28; the means are those of 14
// mornings. So is ours.
func TestPublishedMeanIsOverMornings(t *testing.T) {
	s := Shelf{Stoves: []Stove{exact("spirit", Spirit, 0.060, 0.040, 800)}, Parts: []Part{weightless}, Vessels: []Vessel{{For: Spirit, Holds: mL(1000), Mass: g(30)}}}
	a := choose(t, litreADay(14), s)
	for i, sum := range []float64{281, 131} {
		scale := sum / sumOf(a.Best.ByDay)
		if got, printed := scale*float64(a.Best.Mean), []float64{20.0, 9.4}[i]; math.Abs(got-printed) > 0.1 {
			t.Errorf("mean %.2f oz of a sum of %g, printed %g", got, sum, printed)
		}
	}
}

func sumOf(x []quantity.Mass) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v)
	}
	return sum
}
