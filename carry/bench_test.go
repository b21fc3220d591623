package carry

import (
	"context"
	"fmt"
	"testing"

	"fairburn/quantity"
	"fairburn/trial"
)

// large is an invented shelf with many combinations: each stove burned with the
// first pot, lid, screen and stand.
func large(stoves, pots, lids, screens, stands, primers, lighters int) Shelf {
	_, s := demo()
	out := Shelf{Vessels: s.Vessels}
	for i := range stoves {
		entry := trial.Entry{Name: fmt.Sprint("entry ", i), Burner: fmt.Sprint("burner ", i), Pot: "pot 0", Lid: "lid 0", Screen: "screen 0", Stand: "stand 0"}
		v := Stove{Name: entry.Burner, Kind: Spirit, Mass: g(8 + 3*float64(i)), Price: money(float64(i))}
		v.Evidence = []Evidence{seen(entry, 4+i%5, 12+0.5*float64(i%7), 0.05)}
		out.Stoves = append(out.Stoves, v)
	}
	for slot, n := range map[Slot]int{Pot: pots, Lid: lids, Screen: screens, Stand: stands, Primer: primers, Lighter: lighters} {
		for i := range n {
			p := Part{Name: fmt.Sprint(slot, " ", i), Slot: slot, Mass: g(10 + 7*float64(i*i%11)), Price: money(float64(20 - i)), Material: "titanium"}
			out.Parts = append(out.Parts, p)
		}
	}
	return out
}

// BenchmarkMillionKits is the bar of the house: the best of more than 10⁶
// combinations with 10⁴ draws, nothing known beforehand.
func BenchmarkMillionKits(b *testing.B) {
	trip, _ := demo()
	trip.Draws, trip.Legs[0].Days = 10_000, 4
	s := large(6, 6, 8, 8, 8, 6, 9)
	for b.Loop() {
		a := choose(b, trip, s)
		if a.Among < 1_000_000 {
			b.Fatal(a.Among)
		}
	}
}

// BenchmarkPage is what a page asks when something on it changes: two legs, two
// dozen things, ten thousand draws, a planner that knows the trip before.
func BenchmarkPage(b *testing.B) {
	s := large(6, 2, 3, 3, 3, 2, 2)
	_, more := demo()
	s.Stoves = append(s.Stoves, more.Stoves[1:]...)
	trip, _ := demo()
	trip.People, trip.Draws = 2, 10_000
	second := trip.Legs[0]
	second.Days, second.Wind, second.Air, second.SnowShare = 5, Windy, celsius(-5, 0), quantity.Given(quantity.Ratio(0.4))
	trip.Legs[0].Resupply = []Kind{Spirit, Gas}
	trip.Legs = append(trip.Legs, second)
	changes := map[string]func(*Trip, int){
		"wind":    func(t *Trip, i int) { t.Legs[1].Wind = Winds()[i%4] },
		"reserve": func(t *Trip, i int) { t.Reserve = Reserve{Rule: ByChance, Chance: quantity.Ratio(1+i%10) / 100} },
		"days":    func(t *Trip, i int) { t.Legs[1].Days = 4 + i%4 },
		"people":  func(t *Trip, i int) { t.People = 1 + i%3 },
	}
	for name, change := range changes {
		b.Run(name, func(b *testing.B) {
			p := new(Planner)
			for i := 0; b.Loop(); i++ {
				now := trip
				now.Legs = append([]Leg(nil), trip.Legs...)
				change(&now, i)
				if _, err := p.Choose(context.Background(), now, s, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSweep60(b *testing.B) {
	trip, s := demo()
	for b.Loop() {
		if _, err := new(Planner).Sweep(context.Background(), trip, s, 60, nil); err != nil {
			b.Fatal(err)
		}
	}
}
