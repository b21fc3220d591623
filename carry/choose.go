package carry

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"fairburn/finding"
)

// Choose answers a trip. Faults of the trip or the shelf are findings and leave
// the answer without kits; the only error is that of the context.
//
// The best is exact for the sample drawn. A kit's need depends on its family
// alone; what else is in it only adds mass and price, so within a family only the
// parts and vessels that no others beat on first mass, mean mass and price can be
// best, and all of these are tried.
func (p *Planner) Choose(ctx context.Context, t Trip, s Shelf, done Progress) (*Answer, error) {
	a := &Answer{Title: t.Title, Invented: t.Invented, Days: t.days(), Draws: t.draws(), Seed: t.Seed,
		Choose: cmp.Or(t.Choose, LeastStart), Currency: t.Currency, Rules: t.Rules}
	c, all, err := p.tried(ctx, &t, &s, pin{}, done)
	if err != nil {
		return nil, err
	}
	a.Findings = append(s.Check(), c.found...)
	finding.Sort(a.Findings)
	a.Among = c.among
	c.fill(a, all)
	return a, nil
}

// tried builds every kit that can be best; none when the trip cannot be answered,
// and the chooser says why.
func (p *Planner) tried(ctx context.Context, t *Trip, s *Shelf, at pin, done Progress) (*chooser, []*candidate, error) {
	c := newChooser(p, t, s, at)
	if worst, ok := finding.Worst(c.found); ok && worst == finding.Fault {
		return c, nil, ctx.Err()
	}
	all, err := c.candidates(ctx, done)
	return c, all, err
}

// chooser is one choice being made.
type chooser struct {
	drawer
	shelf    *Shelf
	families []family
	among    int
	boils    bool // the trip asks for any
	found    []finding.Finding
}

// newChooser checks the trip, looks up where its legs lie and sorts the kits.
func newChooser(p *Planner, t *Trip, s *Shelf, at pin) *chooser {
	c := &chooser{drawer: drawer{Planner: p, trip: t, pin: at}, shelf: s, found: t.Check()}
	for i := range t.Legs {
		k, err := newClimate(&t.Legs[i])
		if err != nil {
			c.say(finding.Fault, "leg_out_of_range", t.legName(i), err.Error(), "correct the leg")
		}
		c.climates = append(c.climates, k)
		for _, b := range t.Legs[i].Boils {
			c.boils = c.boils || t.count(&t.Legs[i], b) > 0
		}
	}
	c.families, c.among = s.families()
	if c.among == 0 {
		c.say(finding.Fault, "no_kit_fits", "shelf", "no combination of what is on the shelf makes a kit", "list a stove with a pot and what it needs, or no stove")
	}
	return c
}

// candidate is one kit with vessels and fuel.
type candidate struct {
	*sampled
	family       *family
	parts        item
	vessels      item
	carried      []float64 // fuel on each stretch, kg
	start, mean  float64
	price        float64
	dry          Chance
	breaks, name string
}

// candidates draws every family and builds every kit that can be best.
func (c *chooser) candidates(ctx context.Context, done Progress) ([]*candidate, error) {
	drawn, err := c.sampleAll(ctx, c.families, done)
	if err != nil {
		return nil, err
	}
	var all []*candidate
	for i := range drawn {
		all = append(all, c.built(&drawn[i], &c.families[i])...)
	}
	return all, nil
}

// built is the front of one family's kits.
func (c *chooser) built(s *sampled, f *family) []*candidate {
	if s.err != nil {
		c.say(finding.Fault, "cannot_heat", s.stove.Name, s.err.Error(), "change the leg or leave the stove out")
		return nil
	}
	c.judge(s)
	sizes := c.shelf.sizesOf(s.stove.Kind, s.stove.fuel())
	if cmp.Or(c.trip.Choose, LeastStart) == LeastDry && s.stove.Kind != NoStove {
		return c.filled(s, f, sizes)
	}
	ways := c.packed(s, sizes, s.loads)
	if len(ways) == 0 {
		c.say(finding.Caution, "vessels_too_few", s.stove.Name, "the bottles, cartridges or tablets on the shelf do not hold what the trip needs", "add some, or one more resupply")
	}
	var pairs []item
	for i, parts := range f.parts {
		for j, way := range ways {
			both := parts.plus(way)
			both.picks = []int{i, j}
			pairs = append(pairs, both)
		}
	}
	var all []*candidate
	for _, both := range front(pairs) { // a price unknown in one makes the other's count for nothing
		all = append(all, c.candidate(s, f, f.parts[both.picks[0]], ways[both.picks[1]], s.loads))
	}
	return all
}

// packed is the front of all ways to hold the loads: bottles once for the whole
// trip, the rest anew for each stretch. A pick is stretch · number of vessels on
// the shelf + place of the vessel.
func (c *chooser) packed(s *sampled, sizes []size, loads []float64) []item {
	switch s.stove.Kind {
	case NoStove:
		return []item{{}}
	case Spirit:
		return covers(sizes, slices.Max(loads))
	}
	ways := []item{{}}
	for k, load := range loads {
		these := covers(sizes, load)
		for i := range these {
			it := &these[i]
			it.mean *= float64(s.stretches[k].days) / float64(c.trip.days())
			if k > 0 {
				it.start = 0
			}
			it.picks = slices.Clone(it.picks)
			for j := range it.picks {
				it.picks[j] += k * len(c.shelf.Vessels)
			}
		}
		ways = sums(ways, these)
	}
	return ways
}

// filled is, for each choice of parts, the vessels that leave the least chance of
// running dry within the greatest mass at the start, and within the greatest cost
// where that can be kept: what holds most, of two alike the lighter.
func (c *chooser) filled(s *sampled, f *family, sizes []size) []*candidate {
	budget := float64(c.trip.Limits.Start.Value)
	ways, held := within(sizes, budget-f.parts[0].start) // the lightest parts come first
	var all []*candidate
	for _, parts := range f.parts {
		var best *candidate
		for i, way := range ways {
			left := budget - parts.start - way.start
			if left < 0 {
				continue
			}
			load := held[i]
			if s.stove.Kind == Spirit {
				load = min(load, left)
			}
			k := &candidate{vessels: way, carried: []float64{load}}
			if limit := c.trip.Limits.Cost; limit.Given && !(parts.price+c.everyStretch(s, way).price <= float64(limit.Value)) {
				k.breaks = "cost"
			}
			if best == nil || k.holdsMore(best) {
				best = k
			}
		}
		if best != nil {
			all = append(all, c.candidate(s, f, parts, c.everyStretch(s, best.vessels), slices.Repeat(best.carried, len(s.stretches))))
		}
	}
	return all
}

// holdsMore orders ways to pack one choice of parts.
func (k *candidate) holdsMore(o *candidate) bool {
	if k.breaks != o.breaks {
		return k.breaks == ""
	}
	return cmp.Or(-cmp.Compare(k.carried[0], o.carried[0]), cmp.Compare(k.vessels.start, o.vessels.start)) < 0
}

// everyStretch takes the same vessels anew on each stretch.
func (c *chooser) everyStretch(s *sampled, way item) item {
	if s.stove.Kind == Spirit {
		return way
	}
	one, n := way, len(c.shelf.Vessels)
	way.picks, way.price = nil, 0
	for k := range s.stretches {
		way.price += one.price
		for _, at := range one.picks {
			way.picks = append(way.picks, k*n+at)
		}
	}
	return way
}

// candidate reckons a kit: fuel falls by the median use, day by day.
func (c *chooser) candidate(s *sampled, f *family, parts, vessels item, loads []float64) *candidate {
	k := &candidate{sampled: s, family: f, parts: parts, vessels: vessels, carried: loads,
		start: parts.start + vessels.start, mean: parts.mean + vessels.mean, price: parts.price + vessels.price, name: f.name(c.shelf, parts)}
	if s.stove.Kind == Gas || s.stove.Kind == Tablets {
		k.carried = make([]float64, len(loads))
		sizes := c.shelf.sizesOf(s.stove.Kind, s.stove.fuel())
		for i := range loads {
			k.carried[i] = heldBy(sizes, c.picksOf(vessels, i))
		}
	}
	k.dry = s.chance(k.carried)
	if s.stove.Kind == Spirit {
		k.start += k.carried[0]
		k.mean += c.fuelMean(s, k.carried)
		k.price += bought(s, k.carried) / float64(s.stove.fuel().Density) * 1000 * float64(s.stove.Fuel.Price.Value)
	} else {
		k.mean -= c.usedMean(s, k.carried)
	}
	k.breaks = c.breaks(k)
	return k
}

// bought is the fuel poured in over the trip, kg: each stretch starts from what the
// one before left over.
func bought(s *sampled, loads []float64) float64 {
	sum, left := 0.0, 0.0
	for i, load := range loads {
		sum += max(0, load-left)
		left = max(0, load-s.stretches[i].median)
	}
	return sum
}

// picksOf are the vessels of a stretch, as places on the shelf.
func (c *chooser) picksOf(vessels item, k int) []int {
	var picks []int
	n := len(c.shelf.Vessels)
	for _, at := range vessels.picks {
		if at/n == k {
			picks = append(picks, at%n)
		}
	}
	return picks
}

// used lists the fuel gone on each morning of a stretch, and after it, kg: the
// median use, spread as the legs' mean use, and never more than there was.
func (c *chooser) used(s *sampled, k int, load float64) []float64 {
	x := &s.stretches[k]
	total := 0.0
	for _, m := range x.mean {
		total += m
	}
	gone := []float64{0}
	sum := 0.0
	for i, leg := range x.legs {
		days := c.trip.Legs[leg].Days
		for range days {
			if total > 0 {
				sum += x.median * x.mean[i] / total / float64(days)
			}
			gone = append(gone, min(sum, load))
		}
	}
	return gone
}

// fuelMean is the fuel carried, usedMean the fuel gone, over the mornings, kg.
func (c *chooser) fuelMean(s *sampled, loads []float64) float64 {
	sum := 0.0
	for k, load := range loads {
		sum += load * float64(s.stretches[k].days)
	}
	return sum/float64(c.trip.days()) - c.usedMean(s, loads)
}

func (c *chooser) usedMean(s *sampled, loads []float64) float64 {
	sum := 0.0
	for k := range loads {
		gone := c.used(s, k, loads[k])
		for _, g := range gone[:len(gone)-1] {
			sum += g
		}
	}
	return sum / float64(c.trip.days())
}

// name is what ties are broken by.
func (f *family) name(s *Shelf, parts item) string {
	words := []string{f.stove.Name}
	for _, p := range s.kit(f, parts).Parts {
		words = append(words, p.Name)
	}
	return strings.Join(words, ", ")
}

// breaks names the first limit that a candidate passes.
func (c *chooser) breaks(k *candidate) string {
	l := c.trip.Limits
	switch {
	case k.stove.Kind == NoStove && c.boils:
		return "heats nothing, and the trip asks for hot water"
	case l.Start.Given && k.start > float64(l.Start.Value)+tiny:
		return "heavier at the start than " + l.Start.Text
	case l.Cost.Given && !(k.price <= float64(l.Cost.Value)):
		return "dearer than the limit, or without a price"
	case l.Wait.Given && k.wait > l.Wait.Value.Seconds():
		return "more waiting a day than " + l.Wait.Text
	}
	return ""
}

// value is what the objective has least of.
func (o Objective) value(k *candidate) float64 {
	switch o {
	case LeastMean:
		return k.mean
	case LeastDry:
		return k.dry.Share
	case LeastWait:
		return k.wait
	case LeastCost:
		return k.price
	}
	return k.start
}

// better orders candidates: those within the limits first, by the objective, then
// by mass at the start, on average, price, and name.
func (o Objective) better(a, b *candidate) int {
	inside := func(k *candidate) int { return min(1, len(k.breaks)) }
	return cmp.Or(
		cmp.Compare(inside(a), inside(b)), cmp.Compare(o.value(a), o.value(b)), cmp.Compare(a.start, b.start),
		cmp.Compare(a.mean, b.mean), cmp.Compare(a.price, b.price), cmp.Compare(a.name, b.name))
}

// unbeaten keeps the candidates within the limits that no other is as good as on
// all axes and better on one.
func unbeaten(all []*candidate) []*candidate {
	axes := func(k *candidate) [5]float64 {
		return [5]float64{k.start, k.mean, k.dry.Share, k.wait, k.price}
	}
	var kept []*candidate
	for _, k := range all {
		mine := axes(k)
		beaten := slices.ContainsFunc(all, func(o *candidate) bool { return o.breaks == "" && dominates(axes(o), mine) })
		if k.breaks == "" && !beaten {
			kept = append(kept, k)
		}
	}
	return kept
}

func dominates(a, b [5]float64) bool {
	better := false
	for i := range a {
		if a[i] > b[i] {
			return false
		}
		better = better || a[i] < b[i]
	}
	return better
}
