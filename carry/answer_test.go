package carry

import (
	"context"
	"math"
	"testing"

	"fairburn/quantity"
)

// What the curve says at a load is what the draws say when that load is carried.
func TestRiskCurveIsTheChanceAtEachLoad(t *testing.T) {
	s := sampled{class: &class{stove: &Stove{Kind: Spirit}}, stretches: []stretch{
		{use: draws{x: []float64{0.10, 0.12, 0.20, 0.08, 0.11, 0.09, 0.13, 0.10, 0.30, 0.07}}},
		{use: draws{x: []float64{0.20, 0.10, 0.10, 0.30, 0.20, 0.10, 0.25, 0.15, 0.10, 0.12}}},
	}}
	loads := []float64{0.15, 0.3}
	for _, r := range s.risk(loads) {
		f := float64(r.Fuel) / loads[0]
		dry := 0
		for i := range s.stretches[0].use.x {
			if s.stretches[0].use.x[i] > f*loads[0]*(1+1e-12) || s.stretches[1].use.x[i] > f*loads[1]*(1+1e-12) {
				dry++
			}
		}
		if got := float64(dry) / 10; got > r.Dry || got < r.Dry-0.1-1e-9 {
			t.Errorf("with %g kg: %g of the draws run dry, the curve says %g", float64(r.Fuel), got, r.Dry)
		}
	}
}

func TestRiskCurveRunsThroughTheChosenLoad(t *testing.T) {
	trip := Trip{People: 1, Seed: 3, Legs: []Leg{{Days: 3, Boils: []Boil{{Volume: quantity.Given(500 * quantity.Millilitre), PerDay: 2}}}}}
	shelf := Shelf{
		Stoves:  []Stove{{Name: "can", Kind: Spirit, Mass: quantity.Given(10 * quantity.Gram)}},
		Parts:   []Part{{Name: "pot", Slot: Pot, Mass: quantity.Given(100 * quantity.Gram)}},
		Vessels: []Vessel{{Name: "bottle", For: Spirit, Holds: quantity.Given(quantity.Litre), Mass: quantity.Given(30 * quantity.Gram)}},
	}
	a, err := new(Planner).Choose(context.Background(), trip, shelf, nil)
	if err != nil || a.Best == nil {
		t.Fatal(err, a.Findings)
	}
	sum := 0.0
	for _, d := range a.Best.Doses {
		if !(d.Low <= d.Middle && d.Middle <= d.High) {
			t.Errorf("a dose of %v to %v to %v", d.Low, d.Middle, d.High)
		}
		sum += 6 * float64(d.Middle) // three days, twice
	}
	if d := sum/float64(a.Best.Need.Point) - 1; math.Abs(d) > 1e-12 {
		t.Errorf("doses add up to %g kg, the need is %g kg", sum, float64(a.Best.Need.Point))
	}
	curve, load := a.Best.Risk, a.Best.Loads[0].Mass
	for i := 1; i < len(curve); i++ {
		if curve[i].Fuel < curve[i-1].Fuel || curve[i].Dry >= curve[i-1].Dry {
			t.Fatalf("the curve turns back at %v", curve[i])
		}
		if curve[i-1].Fuel <= load && load <= curve[i].Fuel && !(a.Best.Dry.Share <= curve[i-1].Dry && a.Best.Dry.Share >= curve[i].Dry-1e-9) {
			t.Errorf("%v between %v and %v", a.Best.Dry.Share, curve[i-1], curve[i])
		}
	}
	if math.IsNaN(float64(curve[0].Fuel)) {
		t.Error("no number")
	}
}
