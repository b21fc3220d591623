package carry

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"fairburn/quantity"
)

// item is something to take, by what counts: mass on the first morning, mass over
// the mornings of the trip (both kg) and price (+Inf unknown). Items add up.
type item struct {
	start, mean, price float64
	holds              float64 // kg of fuel; it decides only between items alike in the rest
	picks              []int   // what it is made of; its maker knows the meaning
}

func (a item) plus(b item) item {
	return item{a.start + b.start, a.mean + b.mean, a.price + b.price, a.holds + b.holds, append(a.picks[:len(a.picks):len(a.picks)], b.picks...)}
}

// beats reports an item that is no worse than b in anything.
func (a item) beats(b item) bool {
	return a.start <= b.start && a.mean <= b.mean && a.price <= b.price
}

// front keeps the items that no other beats, of equals the one that holds most.
// Whatever is best under an objective and limits that grow with mass, mean mass and
// price is among them.
func front(items []item) []item {
	slices.SortStableFunc(items, func(a, b item) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(a.mean, b.mean), cmp.Compare(a.price, b.price), cmp.Compare(b.holds, a.holds))
	})
	var kept []item
	for _, it := range items {
		if !slices.ContainsFunc(kept, func(k item) bool { return k.beats(it) }) {
			kept = append(kept, it)
		}
	}
	return kept
}

// sums is the front of one of each.
func sums(a, b []item) []item {
	all := make([]item, 0, len(a)*len(b))
	for _, x := range a {
		for _, y := range b {
			all = append(all, x.plus(y))
		}
	}
	return front(all)
}

// size is a bottle, cartridge or tablet ready for counting.
type size struct {
	at    int     // in the shelf's list
	holds float64 // kg of fuel
	mass  float64 // kg: of a bottle empty, of a cartridge or tablet full
	price float64
	most  int
}

// sizesOf lists the vessels of a kind that can be counted on, largest first.
func (s *Shelf) sizesOf(kind Kind, fuel Fuel) []size {
	var all []size
	for i, v := range s.Vessels {
		if v.For != kind || v.unusable() != "" {
			continue
		}
		z := size{i, float64(v.Fuel.Value), float64(v.Mass.Value), priceOf(v.Price), cmp.Or(v.Count, math.MaxInt)}
		if kind == Spirit {
			z.holds = float64(v.Holds.Value) * float64(fuel.Density)
		}
		all = append(all, z)
	}
	sort.SliceStable(all, func(i, j int) bool { return cmp.Less(all[j].holds, all[i].holds) })
	return all
}

// priceOf is a price, +Inf where none is known.
func priceOf(p quantity.Reading[Money]) float64 {
	if !p.Given {
		return math.Inf(1)
	}
	return float64(p.Value)
}

// tiny is a mass that nobody can pour, kg.
const tiny = 1e-9

// covers is the front of all ways to hold a mass of fuel in vessels, every count of
// every size considered; empty when there are not enough. Picks are the vessels'
// places on the shelf.
func covers(sizes []size, need float64) []item {
	c := covering{sizes: sizes}
	for i := range sizes {
		worst := item{start: math.Inf(1), mean: math.Inf(1), price: math.Inf(1)}
		for _, z := range sizes[i:] {
			worst.start = min(worst.start, z.mass/z.holds)
			worst.price = min(worst.price, z.price/z.holds)
		}
		c.least = append(c.least, worst)
	}
	c.take(0, need, item{})
	return c.best
}

// covering is a search by depth: from the largest vessel down, how many of each.
type covering struct {
	sizes []size
	least []item // of the sizes from here on, mass and price a kilogram held
	best  []item
}

func (c *covering) take(i int, left float64, so item) {
	if left <= tiny {
		c.best = front(append(c.best, so))
		return
	}
	if i == len(c.sizes) {
		return
	}
	bound := item{start: so.start + left*c.least[i].start, price: so.price + left*c.least[i].price}
	bound.mean = bound.start
	if slices.ContainsFunc(c.best, func(b item) bool { return b.beats(bound) && !bound.beats(b) }) {
		return
	}
	z := c.sizes[i]
	most := int(math.Min(math.Ceil((left-tiny)/z.holds), float64(z.most)))
	for n := most; n >= 0; n-- {
		c.take(i+1, left-float64(n)*z.holds, so.plus(z.times(n)))
	}
}

// times is n vessels of the size.
func (z size) times(n int) item {
	if n == 0 {
		return item{}
	}
	mass := float64(n) * z.mass
	return item{mass, mass, float64(n) * z.price, float64(n) * z.holds, slices.Repeat([]int{z.at}, n)}
}

// within lists all ways to take vessels that weigh no more than a mass, empty for
// what is poured, full for the rest, the front of what each amount held costs: with
// the mass that they hold.
func within(sizes []size, budget float64) (ways []item, held []float64) {
	var take func(i int, so item, holds float64)
	take = func(i int, so item, holds float64) {
		if i == len(sizes) {
			ways, held = append(ways, so), append(held, holds)
			return
		}
		z := sizes[i]
		for n := 0; n <= z.most && n <= mostAtOnce && so.start+float64(n)*z.mass <= budget; n++ {
			take(i+1, so.plus(z.times(n)), holds+float64(n)*z.holds)
		}
	}
	take(0, item{}, 0)
	return ways, held
}

// mostAtOnce is how many vessels of one size anybody packs, where mass alone would
// set no end (common practice, no source).
const mostAtOnce = 12

// heldBy is the mass of fuel that picked vessels hold.
func heldBy(sizes []size, picks []int) float64 {
	sum := 0.0
	for _, at := range picks {
		i := slices.IndexFunc(sizes, func(z size) bool { return z.at == at })
		sum += sizes[i].holds
	}
	return sum
}
