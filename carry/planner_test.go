package carry

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A planner that has answered other trips before says the same as a new one.
func TestPlannerRemembersNothingWrong(t *testing.T) {
	trip, s := demo()
	used := new(Planner)
	for i := range 24 {
		now := trip
		now.Legs = slices.Clone(trip.Legs)
		now.Legs[0].Days, now.Legs[0].Wind, now.People = 1+i*5%7, Winds()[i%4], 1+i%3
		now.Reserve = []Reserve{{}, {Rule: ByShare, Share: 0.2}, {Rule: ByChance, Chance: 0.02}}[i%3]
		a, err := used.Choose(context.Background(), now, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		want, _ := json.Marshal(choose(t, now, s))
		if got, _ := json.Marshal(a); string(got) != string(want) {
			t.Fatalf("trip %d differs:\n%s\n%s", i, got, want)
		}
	}
}

// A chance of running dry holds over the whole trip, however often it is refilled,
// and the load is the least whole millilitre that keeps it on one stretch.
func TestReserveByChance(t *testing.T) {
	for legs := range 4 {
		trip, s := demo()
		l := trip.Legs[0]
		l.Resupply = []Kind{Spirit}
		trip.Legs = slices.Repeat([]Leg{l}, legs+1)
		s.Stoves = s.Stoves[:1]
		for _, k := range choose(t, trip, s).Kits {
			if k.Dry.Share > 0.05 || k.Dry.Share < 0.02 {
				t.Errorf("%d refills: runs dry with %.4f, asked 0.05", legs, k.Dry.Share)
			}
		}
	}
	trip := plain(3)
	n := needOf(t, trip, bare(5, 0.1))
	load := (&Trip{Reserve: Reserve{Rule: ByChance, Chance: 0.05}}).loads(&n)[0]
	mL := 1e-6 * float64(ethanol96().Density)
	if n.chance([]float64{load}).Share > 0.05 || n.chance([]float64{load - mL}).Share <= 0.05 {
		t.Error(n.chance([]float64{load}), n.chance([]float64{load - mL}))
	}
}

// Fuel is paid as it is poured in: the first load, then what was used with the rest
// to the next load.
func TestFuelIsPaidAsPoured(t *testing.T) {
	s := &sampled{stretches: []stretch{{median: 0.10}, {median: 0.20}, {median: 0.05}}}
	if got := bought(s, []float64{0.15, 0.25, 0.04}); math.Abs(got-(0.15+0.20+0)) > 1e-12 {
		t.Errorf("%g kg, expected 0.35", got)
	}
}

// Values selected stand where sorting puts them.
func TestSelectAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(0, 5), 1, 40).Draw(t, "x")
		places := rapid.SliceOfN(rapid.IntRange(0, len(x)-1), 0, 10).Draw(t, "places")
		slices.Sort(places)
		places = slices.Compact(places)
		sorted := slices.Sorted(slices.Values(x))
		selectAll(x, places, 0)
		for _, p := range places {
			if x[p] != sorted[p] {
				t.Fatalf("place %d holds %g, sorted %g", p, x[p], sorted[p])
			}
		}
	})
}

func TestCanceled(t *testing.T) {
	trip, s := demo()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := new(Planner).Choose(ctx, trip, s, nil); err != context.Canceled {
		t.Error(err)
	}
}

func TestProgressReachesTheEnd(t *testing.T) {
	trip, s := demo()
	trip.Draws = 100
	last, total := 0, 0
	told := func(done, of int) { last, total = done, of }
	p := new(Planner)
	if _, err := p.Choose(context.Background(), trip, s, told); err != nil || last == 0 || last != total {
		t.Error(err, last, total)
	}
	if _, err := p.Sweep(context.Background(), trip, s, 5, told); err != nil || last != 5 || total != 5 {
		t.Error(err, last, total)
	}
	if d, err := p.Drive(context.Background(), trip, s, told); err != nil || last != total || len(d) < 4 {
		t.Error(err, last, total, d)
	}
}
