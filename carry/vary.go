package carry

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"fairburn/finding"
	"fairburn/quantity"
)

// Sweep is how the lightest kit changes with the days of a trip.
type Sweep struct {
	Kits  []Kit      `json:"kits"`  // one for each stove and pot
	Days  []SweepDay `json:"days"`  // from 1
	Turns []Turn     `json:"turns"` // days at which the lightest changes
	// Findings say why there is nothing to show.
	Findings []finding.Finding `json:"findings,omitempty"`
}

// SweepDay is one length of the trip: the least mass of each kit at the start and,
// apart, over the mornings, in kg; −1 where the vessels do not hold enough.
type SweepDay struct {
	Days  int             `json:"days"`
	Start []quantity.Mass `json:"start_kg"`
	Mean  []quantity.Mass `json:"mean_kg"`
}

// Turn is a day from which another kit is the lightest.
type Turn struct {
	By   Objective `json:"by"` // LeastStart or LeastMean
	Days int       `json:"days"`
	From int       `json:"from"` // index of the kit that was lightest
	To   int       `json:"to"`
	Tie  bool      `json:"tie,omitempty"` // on the day before, both weighed the same
}

// sweepDraws is enough draws to compare masses, all trips being drawn alike: the
// reserve's quantile moves by less than a gram or two with more.
const sweepDraws = 2000

// Sweep lasts the trip 1 to days long, with bottles, cartridges and tablets in
// their real steps. Limits do not bind here; the reserve does. It draws at most
// 2000 trips of each length.
func (p *Planner) Sweep(ctx context.Context, t Trip, s Shelf, days int, done Progress) (*Sweep, error) {
	t.Draws, t.Limits, t.Choose = min(t.draws(), sweepDraws), Limits{}, LeastStart
	out := &Sweep{}
	days = min(days, mostDays)
	for n := 1; n <= days; n++ {
		now := t.Lasting(n)
		c, all, err := p.tried(ctx, &now, &s, pin{}, nil)
		if err != nil {
			return nil, err
		}
		if len(all) == 0 {
			out.Findings = c.found
			return out, nil
		}
		out.add(n, c, all)
		if done != nil {
			done(n, days)
		}
	}
	out.turn(LeastStart, func(d SweepDay) []quantity.Mass { return d.Start })
	out.turn(LeastMean, func(d SweepDay) []quantity.Mass { return d.Mean })
	return out, nil
}

// add writes the least masses of one length.
func (w *Sweep) add(days int, c *chooser, all []*candidate) {
	if len(w.Kits) == 0 {
		slices.SortStableFunc(all, LeastStart.better)
	}
	day := SweepDay{Days: days, Start: slices.Repeat([]quantity.Mass{-1}, len(w.Kits)), Mean: slices.Repeat([]quantity.Mass{-1}, len(w.Kits))}
	for _, k := range all {
		kit := c.shelf.kit(k.family, k.parts)
		i := slices.IndexFunc(w.Kits, func(o Kit) bool { return o.Name() == kit.Name() })
		if i < 0 {
			i = len(w.Kits)
			w.Kits = append(w.Kits, kit)
			day.Start, day.Mean = append(day.Start, -1), append(day.Mean, -1)
		}
		day.Start[i] = least(day.Start[i], k.start)
		day.Mean[i] = least(day.Mean[i], k.mean)
	}
	w.Days = append(w.Days, day)
}

func least(so quantity.Mass, mass float64) quantity.Mass {
	if so < 0 {
		return quantity.Mass(mass)
	}
	return min(so, quantity.Mass(mass))
}

// turn finds the days from which another kit is lightest. A kit that only draws
// level does not yet take over.
func (w *Sweep) turn(by Objective, masses func(SweepDay) []quantity.Mass) {
	now := -1
	tied := -1
	for _, d := range w.Days {
		m := masses(d)
		best := w.lightest(m)
		switch {
		case best < 0:
			continue
		case now < 0 || now < len(m) && m[now] < 0:
			if now >= 0 {
				w.Turns = append(w.Turns, Turn{By: by, Days: d.Days, From: now, To: best})
			}
			now = best
		case m[best] < m[now]-tiny:
			w.Turns = append(w.Turns, Turn{By: by, Days: d.Days, From: now, To: best, Tie: tied == best})
			now = best
		}
		tied = -1
		for i := range m {
			if i != now && w.Kits[i].Kind != NoStove && m[i] >= 0 && math.Abs(float64(m[i]-m[now])) <= tiny {
				tied = i
			}
		}
	}
}

// lightest is the index of the least mass that is known, of kits that heat, −1
// without one.
func (w *Sweep) lightest(m []quantity.Mass) int {
	best := -1
	for i, x := range m {
		if w.Kits[i].Kind != NoStove && x >= 0 && (best < 0 || x < m[best]-tiny) {
			best = i
		}
	}
	return best
}

// Driver is one input of the answer, put at its low and its high end while all
// others stay as they are.
type Driver struct {
	Input string `json:"input"`
	Low   End    `json:"low"`
	High  End    `json:"high"`
}

// End is what the answer is at one end of an input.
type End struct {
	Load  quantity.Mass `json:"load_kg"`  // the reserve's load for the kit that was best, all stretches
	Start quantity.Mass `json:"start_kg"` // of that kit
	Dry   float64       `json:"dry"`      // chance that the load first planned runs dry
	Best  string        `json:"best"`     // the kit that is best then
}

// span is the greatest change of the load.
func (d Driver) span() float64 { return math.Abs(float64(d.High.Load - d.Low.Load)) }

// Drive says what drives the answer, greatest change of load first: each input that
// is drawn is held at its 5 % and 95 % points, and days and reserve are changed by
// one day. It is empty when there is no best kit or that needs no fuel. Like Sweep it
// draws at most 2000 trips.
func (p *Planner) Drive(ctx context.Context, t Trip, s Shelf, done Progress) ([]Driver, error) {
	t.Draws = min(t.draws(), sweepDraws)
	_, all, err := p.tried(ctx, &t, &s, pin{}, nil)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	choose := cmp.Or(t.Choose, LeastStart)
	base := slices.MinFunc(all, choose.better)
	if base.stove.Kind == NoStove || base.breaks != "" {
		return nil, nil
	}
	inputs := []string{windInput, startInput, simmerInput, primingInput, fuelInput, partsInput, planningInput}
	var out []Driver
	for i := 0; i <= len(inputs); i++ {
		low, high := t, t
		d, from, to := Driver{}, pin{}, pin{}
		if i < len(inputs) {
			d.Input, from, to = inputs[i], pin{inputs[i], 0.05}, pin{inputs[i], 0.95}
		} else {
			d.Input, low, high = fmt.Sprintf("one day less or more than %d", t.days()), t.Lasting(max(1, t.days()-1)), t.Lasting(t.days()+1)
		}
		if d.Low, err = p.end(ctx, &low, &s, from, base); err != nil {
			return nil, err
		}
		if d.High, err = p.end(ctx, &high, &s, to, base); err != nil {
			return nil, err
		}
		if out = append(out, d); done != nil {
			done(i+1, len(inputs)+1)
		}
	}
	out = slices.DeleteFunc(out, func(d Driver) bool { return d.span() < tiny })
	sort.SliceStable(out, func(i, j int) bool { return cmp.Less(out[j].span(), out[i].span()) })
	return out, nil
}

// end answers the changed trip and finds the kit that was best again.
func (p *Planner) end(ctx context.Context, t *Trip, s *Shelf, at pin, base *candidate) (End, error) {
	_, all, err := p.tried(ctx, t, s, at, nil)
	if err != nil || len(all) == 0 {
		return End{}, err
	}
	choose := cmp.Or(t.Choose, LeastStart)
	slices.SortStableFunc(all, choose.better)
	e := End{Best: all[0].name}
	i := slices.IndexFunc(all, func(k *candidate) bool { return k.name == base.name })
	if i < 0 {
		return e, nil
	}
	same := all[i]
	e.Start = quantity.Mass(same.start)
	for _, load := range same.loads {
		e.Load += quantity.Mass(load)
	}
	if len(same.stretches) == len(base.carried) {
		e.Dry = same.chance(base.carried).Share
	}
	return e, nil
}
