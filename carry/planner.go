package carry

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

	"fairburn/quantity"
	"fairburn/stats"
)

// Progress is told how much of the work is done. It may be nil.
type Progress func(done, total int)

// Planner answers trips and keeps what it drew, so that a trip changed a little is
// answered at once. The zero Planner is ready; many may use it at a time.
type Planner struct {
	mu    sync.Mutex
	drawn map[string][]float64
	sums  map[string][]scatterSum
}

// mostKept is how many vectors of draws are kept before all are forgotten: about
// 100 MB of ten thousand draws each.
const mostKept = 1200

// kept returns the vector of that name, made when it is not yet known. Vectors are
// never changed once made.
func (d *drawer) kept(name string, fill func() []float64) []float64 {
	key := fmt.Sprintf("%d %d %s", d.trip.Seed, d.trip.draws(), name)
	d.mu.Lock()
	x, ok := d.drawn[key]
	d.mu.Unlock()
	if ok {
		return x
	}
	x = fill()
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.drawn == nil || len(d.drawn) > mostKept {
		d.drawn = map[string][]float64{}
	}
	d.drawn[key] = x
	return x
}

// scatterSum is a sum over the first boils of a kind.
type scatterSum struct {
	count int
	sum   []float64
}

// sumsKept is how many lengths of one sum are kept, for days that go up and down.
const sumsKept = 4

// extended returns the sum over count boils: the longest known sum that is not
// longer, with the rest added one by one.
func (d *drawer) extended(name string, count int, add func(sum []float64, j int)) []float64 {
	key := fmt.Sprintf("%d %d %s", d.trip.Seed, d.trip.draws(), name)
	d.mu.Lock()
	known := slices.Clone(d.sums[key])
	d.mu.Unlock()
	best := scatterSum{sum: make([]float64, d.trip.draws())}
	for _, k := range known {
		if k.count == count {
			return k.sum
		}
		if k.count < count && k.count > best.count {
			best = k
		}
	}
	sum := slices.Clone(best.sum)
	for j := best.count; j < count; j++ {
		add(sum, j)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.sums == nil || len(d.sums) > mostKept/sumsKept {
		d.sums = map[string][]scatterSum{}
	}
	d.sums[key] = append(known[max(0, len(known)-sumsKept+1):], scatterSum{count, sum})
	return sum
}

// stretch is a run of days between chances to get fuel.
type stretch struct {
	legs   []int
	from   int // first day, from 1
	days   int
	use    draws     // kg
	mean   []float64 // kg over each leg
	median float64
}

// draws is one figure in each draw, with a copy that quantiles put in order as far
// as they need.
type draws struct {
	x, ordered []float64
}

// quantile is the smallest value that at least a share q of the draws does not
// exceed.
func (d *draws) quantile(q float64) float64 {
	if d.ordered == nil {
		d.ordered = slices.Clone(d.x)
	}
	return selectAt(d.ordered, placeOf(q, len(d.x)))
}

// placeOf is where a quantile stands among n values in order.
func placeOf(q float64, n int) int {
	return min(max(int(math.Ceil(q*float64(n)-1e-9))-1, 0), n-1)
}

// stretches cuts the trip where the kind of fuel is to be had. A resupply at the
// very end is none.
func (t *Trip) stretches(kind Kind) []stretch {
	var all []stretch
	now, day := stretch{from: 1}, 0
	for i, l := range t.Legs {
		now.legs = append(now.legs, i)
		now.days += l.Days
		day += l.Days
		if last := i == len(t.Legs)-1; last || slices.Contains(l.Resupply, kind) && now.days > 0 {
			all = append(all, now)
			now = stretch{from: day + 1}
		}
	}
	if n := len(all); n > 1 && all[n-1].days == 0 {
		all = all[:n-1]
	}
	return all
}

// sampled is the need of one class, drawn.
type sampled struct {
	*class
	stretches []stretch
	loads     []float64 // kg, that the reserve asks for each stretch
	need      Need
	wait      float64 // s a day, with every range in its middle
	err       error
	// The loads last asked about and their chance: most kits of a class carry alike.
	asked []float64
	told  Chance
}

// sample draws the need of a class.
func (d *drawer) sample(c *class) sampled {
	s := sampled{class: c, stretches: d.trip.stretches(c.stove.Kind), need: Need{By: c.ground()}}
	if c.stove.Kind == NoStove {
		s.loads = make([]float64, len(s.stretches))
		return s
	}
	ref, err := c.reference()
	if err != nil {
		return sampled{class: c, err: err}
	}
	l := d.level(c)
	for i := range s.stretches {
		x := &s.stretches[i]
		x.use.x = make([]float64, d.trip.draws())
		before := 0.0
		for _, leg := range x.legs {
			if err := d.use(x.use.x, c, l, ref, leg); err != nil {
				return sampled{class: c, err: err}
			}
			now := average(x.use.x)
			x.mean, before = append(x.mean, now-before), now
		}
		x.correct(d.trip.corrected(c.stove.Name))
		x.median = x.use.quantile(0.5)
	}
	point, wait, err := d.middle(c, ref)
	s.need.Corrected = d.trip.corrected(c.stove.Name)
	s.need.Point, s.wait, s.err = quantity.Mass(point*s.need.Corrected), wait, err
	if !(point >= 0) || math.IsInf(point, 1) {
		s.err = fmt.Errorf("%s never brings this water to the boil in this air: the pot loses more than the flame gives", c.stove.Name)
	}
	s.loads = d.trip.loads(&s)
	s.whole()
	return s
}

// corrected is the factor that other trips with a stove put on its need: the
// geometric mean of used over planned, drawn towards 1 as if the plan had been right
// once (common practice, no source). Without trips it is 1. What a trip used itself
// does not correct its own plan.
func (t *Trip) corrected(stove string) float64 {
	sum, n := 0.0, 0.0
	for _, p := range t.Past {
		if p.Stove == stove && (p.Trip == "" || p.Trip != t.Title) && p.unusable() == "" {
			sum += math.Log(float64(p.Used.Value / p.Planned.Value))
			n++
		}
	}
	return math.Exp(sum / (n + 1))
}

func (x *stretch) correct(factor float64) {
	if factor == 1 {
		return
	}
	for i := range x.use.x {
		x.use.x[i] *= factor
	}
	for i := range x.mean {
		x.mean[i] *= factor
	}
}

// whole describes the need of the whole trip.
func (s *sampled) whole() {
	total := s.stretches[0].use
	if len(s.stretches) > 1 {
		total = draws{x: slices.Clone(total.x)}
		for _, x := range s.stretches[1:] {
			for i, v := range x.use.x {
				total.x[i] += v
			}
		}
	}
	if s.evidence != nil {
		s.need.Burns = s.evidence.N
	}
	n := &s.need
	n.Mean, n.Median = quantity.Mass(average(total.x)), quantity.Mass(total.quantile(0.5))
	n.Lo, n.Hi = quantity.Mass(total.quantile(0.05)), quantity.Mass(total.quantile(0.95))
}

// middle is the fuel of the trip, kg, and the time waited a day, s, with every
// range in its middle and no scatter: the closed form.
func (d *drawer) middle(c *class, ref reference) (fuel, wait float64, err error) {
	for leg := range d.trip.Legs {
		l := &d.trip.Legs[leg]
		for _, b := range l.Boils {
			kg, seconds, err := d.boiled(c, ref, oneBoil{leg, b, 0.5})
			if err != nil {
				return 0, 0, err
			}
			n := float64(d.trip.count(l, b))
			fuel += n * kg
			wait += n * seconds
		}
	}
	return fuel, wait / float64(max(1, d.trip.days())), nil
}

func average(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// loads is the fuel for each stretch that the reserve asks, kg.
func (t *Trip) loads(s *sampled) []float64 {
	r := t.Reserve.orDefault()
	var loads []float64
	for i := range s.stretches {
		x := &s.stretches[i]
		load := x.median
		switch r.Rule {
		case ByShare:
			load *= 1 + float64(r.Share)
		case ByChance:
			load = x.use.quantile(1 - float64(r.Chance)/float64(len(s.stretches)))
		default:
			load += x.median / float64(max(1, x.days)) * r.Days
		}
		loads = append(loads, s.rounded(load))
	}
	return loads
}

// rounded takes what is poured up to a whole millilitre, as nobody pours finer.
func (c *class) rounded(load float64) float64 {
	if rho := float64(c.stove.fuel().Density); c.stove.Kind == Spirit && rho > 0 {
		mL := rho * 1e-6
		return math.Ceil(load/mL-1e-6) * mL
	}
	return load
}

// selectAt returns the k-th smallest of x, which it reorders.
//
// Source: C. A. R. Hoare, 1961, Algorithm 65: Find, Communications of the ACM 4:321.
func selectAt(x []float64, k int) float64 {
	lo, hi := 0, len(x)-1
	for lo < hi {
		pivot := x[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			break
		}
	}
	return x[k]
}

// selectAll brings the values of several places, all different, in order and counted
// from before x, to where they would stand if x were sorted.
func selectAll(x []float64, places []int, before int) {
	if len(places) == 0 || len(x) < 2 {
		return
	}
	m := len(places) / 2
	k := places[m] - before
	selectAt(x, k)
	selectAll(x[:k], places[:m], before)
	selectAll(x[k+1:], places[m+1:], before+k+1)
}

// chance counts the draws in which some stretch needs more than it carries.
func (s *sampled) chance(carried []float64) Chance {
	if s.stove.Kind == NoStove {
		return Chance{}
	}
	if slices.Equal(s.asked, carried) {
		return s.told
	}
	dry := make([]bool, len(s.stretches[0].use.x))
	for k, x := range s.stretches {
		for i, use := range x.use.x {
			dry[i] = dry[i] || use > carried[k]+tiny
		}
	}
	p := stats.Proportion{N: len(dry)}
	for _, d := range dry {
		if d {
			p.S++
		}
	}
	interval, _ := p.Jeffreys(0.95) // counts of draws are always in range
	s.asked, s.told = carried, Chance{float64(p.S) / float64(p.N), interval.Lo, interval.Hi}
	return s.told
}

// sampleAll draws every family on all processors; the result does not depend on
// how many there are.
func (d *drawer) sampleAll(ctx context.Context, fs []family, done Progress) ([]sampled, error) {
	all := make([]sampled, len(fs))
	next, finished := make(chan int), make(chan int)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(fs)) {
		wg.Go(func() {
			for i := range next {
				if ctx.Err() == nil {
					all[i] = d.sample(&fs[i].class)
				}
				finished <- i
			}
		})
	}
	go func() {
		for i := range fs {
			next <- i
		}
		close(next)
		wg.Wait()
		close(finished)
	}()
	n := 0
	for range finished {
		if n++; done != nil {
			done(n, len(fs))
		}
	}
	return all, ctx.Err()
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
