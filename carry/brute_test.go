package carry

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fairburn/quantity"
	"fairburn/trial"
)

// someShelf draws a small shelf: a few of everything, some without price, some that
// fit one stove only.
func someShelf(t *rapid.T) Shelf {
	grams := func(name string, most int) quantity.Reading[quantity.Mass] {
		return g(float64(rapid.IntRange(1, most).Draw(t, name)))
	}
	price := func(name string) quantity.Reading[Money] {
		p := rapid.IntRange(-1, 20).Draw(t, name)
		return quantity.Reading[Money]{Value: Money(p), Given: p >= 0}
	}
	var s Shelf
	for i := range rapid.IntRange(1, 2).Draw(t, "stoves") {
		v := Stove{Name: fmt.Sprint("stove ", i), Kind: rapid.SampledFrom([]Kind{Spirit, Gas, Tablets}).Draw(t, "kind"), Mass: grams("stove", 100), Price: price("stove price")}
		if v.Kind == Spirit && rapid.Bool().Draw(t, "burned") {
			e := trial.Entry{Name: v.Name, Burner: v.Name, Pot: "pot 0"}
			if rapid.Bool().Draw(t, "with lid") {
				e.Lid = "lid 0"
			}
			v.Evidence = []Evidence{seen(e, rapid.IntRange(1, 6).Draw(t, "n"), 14, 0.08)}
		}
		s.Stoves = append(s.Stoves, v)
	}
	for _, slot := range Slots() {
		most := map[Slot]int{Pot: 2, Lid: 2, Lighter: 2}[slot]
		for i := range rapid.IntRange(0, max(1, most)).Draw(t, string(slot)) {
			p := Part{Name: fmt.Sprint(slot, " ", i), Slot: slot, Mass: grams("part", 120), Price: price("part price"), Material: "titanium"}
			if slot != Pot && rapid.IntRange(0, 3).Draw(t, "fits") == 0 {
				p.With = []string{"stove 0"}
			}
			s.Parts = append(s.Parts, p)
		}
	}
	for i := range rapid.IntRange(1, 2).Draw(t, "vessels") {
		fill := rapid.IntRange(60, 150).Draw(t, "fill")
		s.Vessels = append(s.Vessels,
			Vessel{Name: fmt.Sprint("bottle ", i), For: Spirit, Holds: mL(float64(2 * fill)), Mass: grams("bottle", 40), Price: price("bottle price")},
			Vessel{Name: fmt.Sprint("cartridge ", i), For: Gas, Fuel: g(float64(fill)), Mass: g(float64(fill + 80)), Price: price("gas price")})
	}
	s.Vessels = append(s.Vessels, Vessel{Name: "tablet", For: Tablets, Fuel: g(30), Mass: g(30), Price: money(1)})
	return s
}

func someTrip(t *rapid.T) Trip {
	trip, _ := demo()
	trip.Draws = 100
	trip.Reserve = rapid.SampledFrom([]Reserve{{}, {Rule: ByShare, Share: 0.25}, {Rule: ByChance, Chance: 0.1}}).Draw(t, "reserve")
	trip.Choose = rapid.SampledFrom(Objectives()).Draw(t, "objective")
	trip.Legs[0].Days = rapid.IntRange(1, 3).Draw(t, "days")
	if rapid.Bool().Draw(t, "two legs") {
		trip.Legs = append(slices.Clone(trip.Legs), trip.Legs[0])
		trip.Legs[0].Resupply = []Kind{Spirit, Gas, Tablets}
		trip.Legs[1].Days = rapid.IntRange(1, 3).Draw(t, "more days")
	}
	limit := rapid.IntRange(150, 900).Draw(t, "greatest mass")
	if trip.Choose == LeastDry || rapid.Bool().Draw(t, "limited") {
		trip.Limits.Start = g(float64(limit))
	}
	if rapid.Bool().Draw(t, "cost limited") {
		trip.Limits.Cost = money(float64(rapid.IntRange(5, 90).Draw(t, "greatest cost")))
	}
	return trip
}

// bundle is one way to pack, by plain counting.
type bundle struct {
	counts             []int
	holds, mass, price float64
}

// bundles lists every way to take up to most of each size.
func bundles(sizes []size, most int) []bundle {
	all := []bundle{{}}
	for _, z := range sizes {
		var next []bundle
		for _, b := range all {
			for n := 0; n <= most; n++ {
				x := bundle{append(slices.Clone(b.counts), n), b.holds + float64(n)*z.holds, b.mass + float64(n)*z.mass, b.price}
				if n > 0 {
					x.price += float64(n) * z.price
				}
				next = append(next, x)
			}
		}
		all = next
	}
	return all
}

// weighed is one kit packed one way, reckoned the long way.
type weighed struct {
	start, mean, price, wait, dry float64
	within                        bool
	family                        class
}

func (w weighed) of(o Objective) float64 {
	return map[Objective]float64{LeastStart: w.start, LeastMean: w.mean, LeastCost: w.price, LeastWait: w.wait, LeastDry: w.dry}[o]
}

// everyKit reckons every combination with every way to pack it. Two stretches are
// packed apart where the fuel is not poured.
func everyKit(trip *Trip, s *Shelf) []weighed {
	c := newChooser(new(Planner), trip, s, pin{})
	needs := map[class]sampled{}
	var out []weighed
	for k := range s.Enumerate() {
		v, pot, at := placesOf(s, k)
		cl := s.classOf(v, pot, at)
		cl.onFlame = vesselOf(&s.Parts[pot])
		n, ok := needs[cl]
		if !ok {
			n = c.sample(&cl)
			needs[cl] = n
		}
		base := weighed{start: float64(v.Mass.Value), price: priceOf(v.Price), wait: n.wait, family: cl}
		for _, p := range k.Parts {
			base.start += float64(p.Mass.Value)
			base.price += priceOf(p.Price)
		}
		out = append(out, packedEveryWay(trip, s, &n, base)...)
	}
	return out
}

func placesOf(s *Shelf, k Kit) (*Stove, int, [3]int) {
	v := &s.Stoves[slices.IndexFunc(s.Stoves, func(v Stove) bool { return v.Name == k.Stove })]
	place := func(slot Slot) int {
		p, ok := k.Part(slot)
		if !ok {
			return empty
		}
		return slices.IndexFunc(s.Parts, func(q Part) bool { return q.Slot == slot && q.Name == p.Name })
	}
	return v, place(Pot), [3]int{place(Lid), place(Screen), place(Stand)}
}

func packedEveryWay(trip *Trip, s *Shelf, n *sampled, base weighed) []weighed {
	sizes := s.sizesOf(n.stove.Kind, n.stove.fuel())
	ways := [][]bundle{}
	for _, b := range bundles(sizes, 8/len(sizes)) {
		ways = append(ways, slices.Repeat([]bundle{b}, len(n.stretches)))
	}
	if n.stove.Kind != Spirit && len(n.stretches) == 2 && trip.Choose != LeastDry {
		one := ways
		ways = nil
		for _, a := range one {
			for _, b := range one {
				if a[0].holds >= n.loads[0]-tiny && b[0].holds >= n.loads[1]-tiny {
					ways = append(ways, []bundle{a[0], b[0]})
				}
			}
		}
	}
	var out []weighed
	for _, w := range ways {
		if x, ok := packedOneWay(trip, n, base, w); ok {
			out = append(out, x)
		}
	}
	return out
}

// packedOneWay walks through the days with one way of packing.
func packedOneWay(trip *Trip, n *sampled, base weighed, way []bundle) (weighed, bool) {
	x, loads, morning := base, slices.Clone(n.loads), 0.0
	x.start += way[0].mass
	for k := range way {
		poured := n.stove.Kind == Spirit
		switch {
		case trip.Choose == LeastDry && poured:
			loads[k] = max(0, min(way[k].holds, float64(trip.Limits.Start.Value)-x.start))
		case !poured && (trip.Choose == LeastDry || way[k].holds >= loads[k]-tiny):
			loads[k] = way[k].holds
		case way[k].holds < loads[k]-tiny:
			return x, false
		}
		if k == 0 || !poured {
			x.price += way[k].price
		}
		fuel := 0.0
		if poured {
			fuel = loads[k]
		}
		days := trip.Legs[k].Days
		for d := range days {
			morning += base.start + way[k].mass + fuel - min(loads[k], n.stretches[k].median*float64(d)/float64(days))
		}
	}
	if n.stove.Kind == Spirit {
		x.start += loads[0]
	}
	x.mean, x.dry = morning/float64(trip.days()), dryShare(n, loads)
	l := trip.Limits
	x.within = (!l.Start.Given || x.start <= float64(l.Start.Value)+tiny) && (!l.Cost.Given || x.price <= float64(l.Cost.Value))
	return x, true
}

// dryShare counts draw by draw.
func dryShare(n *sampled, loads []float64) float64 {
	dry := 0
	for i := range n.stretches[0].use.x {
		for k := range n.stretches {
			if n.stretches[k].use.x[i] > loads[k]+tiny {
				dry++
				break
			}
		}
	}
	return float64(dry) / float64(len(n.stretches[0].use.x))
}

// The best is that of trying every kit with every way to pack it.
func TestBestIsThatOfEveryKit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, trip := someShelf(t), someTrip(t)
		a, err := new(Planner).Choose(context.Background(), trip, s, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Kits) == 0 {
			return
		}
		count := 0
		for range s.Enumerate() {
			count++
		}
		if count != a.Among {
			t.Fatalf("%d kits counted, %d listed", a.Among, count)
		}
		least := math.Inf(1)
		for _, k := range everyKit(&trip, &s) {
			if k.within {
				least = min(least, k.of(trip.Choose))
			}
		}
		if math.IsInf(least, 1) {
			if a.Best != nil && trip.Choose != LeastCost {
				t.Fatalf("no kit is within the limits, best says %+v", a.Best)
			}
			return
		}
		if a.Best == nil {
			t.Fatalf("a kit with %g is within the limits, none found", least)
		}
		b := weighed{start: float64(a.Best.Start), mean: float64(a.Best.Mean), price: float64(a.Best.Cost), wait: a.Best.Wait.Seconds(), dry: a.Best.Dry.Share}
		if got := b.of(trip.Choose); math.Abs(got-least) > 1e-8*(1+least) {
			t.Fatalf("%s: best %.9g, of every kit %.9g", trip.Choose, got, least)
		}
	})
}

// No kit is unbeaten that another one beats, of all kits packed as light or as cheap
// as the reserve allows, which are listed the long way.
func TestUnbeaten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, trip := someShelf(t), someTrip(t)
		if trip.Choose == LeastDry {
			trip.Choose = LeastStart
		}
		a, err := new(Planner).Choose(context.Background(), trip, s, nil)
		if err != nil || len(a.Kits) == 0 {
			return
		}
		var listed [][5]float64
		for _, k := range a.Unbeaten {
			cost := float64(k.Cost)
			if !k.CostKnown {
				cost = math.Inf(1)
			}
			listed = append(listed, [5]float64{float64(k.Start), float64(k.Mean), k.Dry.Share, k.Wait.Seconds(), cost})
		}
		for _, k := range notOverpacked(everyKit(&trip, &s)) {
			mine := [5]float64{k.start, k.mean, k.dry, k.wait, k.price}
			beats := func(f [5]float64) bool { return clearlyBeats(mine, f) }
			if k.within && slices.ContainsFunc(listed, beats) {
				t.Fatalf("%+v beats one that is listed", k)
			}
			covered := func(f [5]float64) bool { return noWorse(f, mine) || near(f, mine) }
			if k.within && !slices.ContainsFunc(listed, covered) {
				t.Fatalf("%+v is beaten by none and not listed", k)
			}
		}
	})
}

// notOverpacked leaves out each kit that one of its family is as good as in mass,
// mean mass and price, and better in one.
func notOverpacked(all []weighed) []weighed {
	byFamily := map[class][]weighed{}
	for _, k := range all {
		byFamily[k.family] = append(byFamily[k.family], k)
	}
	var kept []weighed
	for _, ks := range byFamily {
		for _, k := range ks {
			mine := [5]float64{k.start, k.mean, 0, 0, k.price}
			if !slices.ContainsFunc(ks, func(o weighed) bool { return clearlyBeats([5]float64{o.start, o.mean, 0, 0, o.price}, mine) }) {
				kept = append(kept, k)
			}
		}
	}
	return kept
}

// clearlyBeats is domination by more than rounding, and not between kits alike in
// mass and price, of which either may be shown.
func clearlyBeats(a, b [5]float64) bool {
	better := false
	for _, i := range []int{0, 1, 3, 4} {
		better = better || a[i] < b[i]-1e-7
	}
	return better && noWorse(a, b)
}

func noWorse(a, b [5]float64) bool {
	for i := range a {
		if a[i] > b[i]+1e-7 {
			return false
		}
	}
	return true
}

func near(a, b [5]float64) bool {
	for _, i := range []int{0, 1, 3, 4} {
		if a[i] != b[i] && !(math.Abs(a[i]-b[i]) < 1e-7) {
			return false
		}
	}
	return true
}

// Covers are those of counting every size up and down.
func TestCoversAreThoseOfCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var sizes []size
		for i := range rapid.IntRange(1, 4).Draw(t, "sizes") {
			sizes = append(sizes, size{at: i, holds: float64(rapid.IntRange(1, 9).Draw(t, "holds")), mass: float64(rapid.IntRange(0, 9).Draw(t, "mass")),
				price: float64(rapid.IntRange(0, 9).Draw(t, "price")), most: rapid.SampledFrom([]int{1, 2, math.MaxInt}).Draw(t, "most")})
		}
		need := float64(rapid.IntRange(0, 9).Draw(t, "need"))
		var all []item
		for _, b := range bundles(sizes, 9) {
			ok := b.holds >= need
			for i, n := range b.counts {
				ok = ok && n <= sizes[i].most
			}
			if ok {
				all = append(all, item{start: b.mass, mean: b.mass, price: b.price})
			}
		}
		want, got := front(all), covers(sizes, need)
		if len(want) != len(got) {
			t.Fatalf("%v, counted %v", got, want)
		}
		for i := range want {
			if want[i].start != got[i].start || want[i].price != got[i].price || need > 0 && heldBy(sizes, got[i].picks) < need {
				t.Fatalf("%v, counted %v", got, want)
			}
		}
	})
}
