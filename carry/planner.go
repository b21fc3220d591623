package carry

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"time"

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
	legs    []int
	from    int // first day, from 1
	days    int
	use     []float64 // kg in each draw
	mean    []float64 // kg over each leg
	median  float64
	point   float64
	scratch []float64
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
	total     []float64
	wait      float64 // s a day, with every range in its middle
	point     float64 // kg
	err       error
}

// sample draws the need of a class.
func (d *drawer) sample(c *class) sampled {
	s := sampled{class: c, stretches: d.trip.stretches(c.stove.Kind)}
	if c.stove.Kind == NoStove {
		return s
	}
	ref, err := c.reference()
	if err != nil {
		return sampled{class: c, err: err}
	}
	l := d.level(c)
	s.total = make([]float64, d.trip.draws())
	for i := range s.stretches {
		x := &s.stretches[i]
		x.use = make([]float64, d.trip.draws())
		for _, leg := range x.legs {
			use, err := d.use(c, l, ref, leg)
			if err != nil {
				return sampled{class: c, err: err}
			}
			add(x.use, use)
			x.mean = append(x.mean, average(use))
		}
		add(s.total, x.use)
		x.median = quantileOf(x.use, 0.5)
	}
	s.point, s.wait, s.err = d.middle(c, ref)
	if !(s.point >= 0) || math.IsInf(s.point, 1) {
		s.err = fmt.Errorf("%s never brings this water to the boil in this air: the pot loses more than the flame gives", c.stove.Name)
	}
	return s
}

// middle is the fuel of the trip, kg, and the time waited a day, s, with every
// range in its middle and no scatter: the closed form.
func (d *drawer) middle(c *class, ref reference) (fuel, wait float64, err error) {
	carried := c.stove.fuel()
	for leg := range d.trip.Legs {
		l := &d.trip.Legs[leg]
		wind, priming := l.Wind.Factor(c.screened).at(0.5), 0.0
		if c.stove.Kind == Spirit {
			priming = Priming(l.Air).at(0.5) * float64(carried.Density)
		}
		for _, b := range l.Boils {
			k, err := c.boilOf(d.climates[leg], b, ref)
			if err != nil {
				return 0, 0, err
			}
			n, times, simmer := float64(d.trip.count(l, b)), k.at(0.5)*wind, b.Simmer.Value.Seconds()
			energy := ref.energy
			if c.borrowed {
				energy *= notAsTested.at(0.5)
			}
			fuel += n * (energy/float64(carried.LHV)*(ref.prime+(1-ref.prime)*times) + priming + simmer*c.simmer().at(0.5)/float64(carried.LHV))
			wait += n * (ref.potOn + (ref.wait-ref.potOn)*times + simmer)
		}
	}
	return fuel, wait / float64(max(1, d.trip.days())), nil
}

func add(sum, x []float64) {
	for i, v := range x {
		sum[i] += v
	}
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
	if s.stove.Kind == NoStove {
		return make([]float64, len(s.stretches))
	}
	var loads []float64
	for i := range s.stretches {
		x := &s.stretches[i]
		load := x.median
		switch r.Rule {
		case ByShare:
			load *= 1 + float64(r.Share)
		case ByChance:
			load = quantileOf(x.use, 1-float64(r.Chance)/float64(len(s.stretches)))
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

// quantileOf is the smallest value that at least a share q of x does not exceed.
func quantileOf(x []float64, q float64) float64 {
	y := slices.Clone(x)
	k := int(math.Ceil(q*float64(len(y))-1e-9)) - 1
	return selectAt(y, min(max(k, 0), len(y)-1))
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

// chance counts the draws in which some stretch needs more than it carries.
func (s *sampled) chance(carried []float64) Chance {
	if len(s.total) == 0 {
		return Chance{}
	}
	n := 0
	for i := range s.total {
		for k := range s.stretches {
			if s.stretches[k].use[i] > carried[k]+tiny {
				n++
				break
			}
		}
	}
	p := stats.Proportion{S: n, N: len(s.total)}
	interval, _ := p.Jeffreys(0.95) // counts of draws are always in range
	return Chance{float64(n) / float64(p.N), interval.Lo, interval.Hi}
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
