package carry

import (
	"cmp"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"fairburn/matter/water"
	"fairburn/quantity"
	"fairburn/stats"
)

// class is what the need of a kit depends on; kits that differ otherwise only add
// mass and price.
type class struct {
	stove    *Stove
	pot      *Part
	evidence *Evidence // nil: a planning figure
	tested   *Part     // the pot of the evidence, where the shelf knows it
	borrowed bool      // some part is not the one of the burns
	screened bool
	onFlame  vessel // the pot
}

func (c *class) ground() Ground {
	switch {
	case c.stove.Kind == NoStove:
		return Nothing
	case c.evidence == nil && c.stove.PerLitre.Given:
		return OwnFigure
	case c.evidence == nil:
		return Published
	case c.evidence.N < leastWeighed:
		return FewBurns
	case c.borrowed:
		return OtherParts
	}
	return OwnBurns
}

// planning is fuel in kg a kg of water, for a class without burns.
func (c *class) planning() Range {
	if r := c.stove.PerLitre; r.Given {
		v := float64(r.Value)
		return Range{v - r.Tolerance, v + r.Tolerance, "its owner's own figure, " + r.Text}
	}
	return planningFuel(c.stove.Kind)
}

// referenceRise is the heat that a kilogram of water takes from 20 to 100 °C, J.
//
// Source: IAPWS R7-97(2012), equation 7.
const referenceRise = 335.2e3

// reference is the boil that the need of one boil is a multiple of.
type reference struct {
	heat        float64 // J, into water and pot
	power       float64 // W, useful; 0 unknown
	energy      float64 // J of fuel, in the middle
	prime       float64 // share of it burned before the pot is on
	potOn, wait float64 // s from light
}

// reference looks up the class's boil: of own burns with the power that their time
// shows, else a kilogram from 20 to 100 °C by the planning figure.
func (c *class) reference() (reference, error) {
	e := c.evidence
	if e == nil {
		p := planningPower(c.stove.Kind).at(0.5)
		if c.stove.Power.Given {
			p = float64(c.stove.Power.Value)
		}
		return reference{heat: referenceRise, energy: c.planning().at(0.5) * float64(c.stove.fuel().LHV), wait: referenceRise / p}, nil
	}
	from, errFrom := water.Enthalpy(quantity.Celsius(e.From), quantity.StandardAtmosphere)
	to, errTo := water.Enthalpy(quantity.Celsius(e.To), quantity.StandardAtmosphere)
	if err := cmp.Or(errFrom, errTo); err != nil {
		return reference{}, err
	}
	v := c.onFlame
	if c.tested != nil && c.tested != c.pot {
		v = vesselOf(c.tested)
	}
	h := heating{heat: e.Water*float64(to-from) + v.capacity*(e.To-e.From), from: e.From, to: e.To, loss: v.loss, air: e.Air}
	r := reference{heat: h.heat, energy: math.Exp(e.MeanLog), prime: e.Prime, potOn: e.PotOn, wait: e.Wait}
	switch {
	case e.Wait <= e.PotOn:
		r.potOn, r.wait = 0, h.heat/planningPower(c.stove.Kind).at(0.5)
	case e.AirKnown:
		r.power = h.power(e.Wait - e.PotOn)
	}
	return r, nil
}

// kilograms is the water of a boil.
func (b Boil) kilograms() float64 {
	if b.Mass.Given {
		return float64(b.Mass.Value)
	}
	return float64(b.Volume.Value) * 998.2 // kg/m³ at 20 °C, IAPWS R7-97(2012)
}

// boilOf is the class's boil on a leg as a curve of multiples of its reference: of
// its time where the useful power and both airs are known, else of its heat. A
// planning figure holds its pot already.
func (c *class) boilOf(at climate, b Boil, r reference) (curve, error) {
	what, cost := boil{water: b.kilograms()}, r.heat
	if c.evidence != nil {
		what.vessel = c.onFlame
	}
	if r.power > 0 && at.airKnown {
		what.power, cost = r.power, r.wait-r.potOn
	}
	return at.curveOf(what, cost)
}

// simmer is the heat of fuel burned when turned down, W.
func (c *class) simmer() Range {
	if c.evidence != nil && c.evidence.Simmer > 0 {
		return Range{c.evidence.Simmer, c.evidence.Simmer, "measured"}
	}
	return planningSimmer()
}

// pin holds one input at a share of its range while all others are drawn.
type pin struct {
	input string
	at    float64
}

// The inputs that are drawn.
const (
	windInput     = "wind"
	startInput    = "start temperature"
	simmerInput   = "simmering"
	primingInput  = "priming in the cold"
	fuelInput     = "fuel of one boil"
	partsInput    = "parts other than tested"
	planningInput = "planning figure"
)

// drawer draws one trip. Common random numbers: weather is drawn by leg, scatter
// by boil, what burns say by entry, whatever kit asks; so kits are compared on the
// same days and a trip changed a little keeps its weather.
type drawer struct {
	*Planner
	trip     *Trip
	climates []climate
	pin      pin
}

// stream is a source of random numbers of its own for each name.
func (d *drawer) stream(name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name))
	return rand.New(rand.NewPCG(d.trip.Seed, h.Sum64()))
}

// uniform returns one number from 0 to 1 for each draw.
func (d *drawer) uniform(input, where string) []float64 {
	if d.pin.input == input {
		return slices.Repeat([]float64{d.pin.at}, d.trip.draws())
	}
	return d.kept(input+" "+where, func() []float64 {
		u := make([]float64, d.trip.draws())
		r := d.stream(input + " " + where)
		for i := range u {
			u[i] = r.Float64()
		}
		return u
	})
}

// levels is what the burns of an entry, or a planning range, say in each draw: the
// energy of the reference boil, the scatter of its log from boil to boil, and the
// chance that a boil fails.
type levels struct {
	energy, scatter []float64
	fails           []float64 // nil: not counted
}

// level draws them. With n burns of mean m and standard deviation s of the log,
// σ² = s²(n−1)/χ²(n−1) and μ = m + σ z/√n, so that one boil follows Student's t
// about m with n−1 degrees of freedom and scale s √(1 + 1/n), while the boils of
// one trip share μ and σ. A boil fails with a chance drawn from Beta(f + ½, s + ½).
//
// Source: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., sections 2.4 and
// 3.2 (prior flat in mean and log standard deviation; Jeffreys).
func (d *drawer) level(c *class) levels {
	n := d.trip.draws()
	if c.evidence == nil {
		u := d.uniform(planningInput, string(c.stove.Kind))
		r, lhv := c.planning(), float64(c.stove.fuel().LHV)
		l := levels{energy: make([]float64, n), scatter: slices.Repeat([]float64{planningScatter}, n)}
		if r.Low == r.High {
			l.scatter = make([]float64, n)
		}
		for i := range u {
			l.energy[i] = r.at(u[i]) * lhv
		}
		return l
	}
	l := d.burns(c.evidence)
	if !c.borrowed {
		return l
	}
	other := levels{make([]float64, n), l.scatter, l.fails}
	for i, u := range d.uniform(partsInput, c.stove.Name+"/"+c.pot.Name) {
		other.energy[i] = l.energy[i] * notAsTested.at(u)
	}
	return other
}

// burns draws the levels of an entry's own burns.
func (d *drawer) burns(e *Evidence) levels {
	name := fmt.Sprint(*e)
	get := func(what string, fill func(r *rand.Rand, x []float64)) []float64 {
		return d.kept(what+name, func() []float64 {
			x := make([]float64, d.trip.draws())
			fill(d.stream(what+e.Trial+"/"+e.Entry.Name), x)
			return x
		})
	}
	l := levels{scatter: get("scatter", func(r *rand.Rand, x []float64) {
		for i := range x {
			x[i] = planningScatter
		}
		if nu := float64(e.N - 1); e.N >= leastWeighed {
			for i := range x {
				x[i] = e.SDLog * math.Sqrt(nu/stats.ChiSquared(r, nu))
			}
		}
	})}
	if at, ok := d.pinned(fuelInput); ok {
		l.energy = slices.Repeat([]float64{e.levelAt(at)}, d.trip.draws())
	} else {
		l.energy = get("level", func(r *rand.Rand, x []float64) {
			for i := range x {
				own, shared := r.NormFloat64(), r.NormFloat64()
				x[i] = math.Exp(e.MeanLog + l.scatter[i]/math.Sqrt(float64(e.N))*own + e.SharedLog*shared)
			}
		})
	}
	if e.Tried > 0 {
		l.fails = get("fails", func(r *rand.Rand, x []float64) {
			for i := range x { // Beta(failed + 1/2, boiled + 1/2) of two sums of squares
				failed, boiled := stats.ChiSquared(r, float64(2*(e.Tried-e.Boiled)+1)), stats.ChiSquared(r, float64(2*e.Boiled+1))
				x[i] = failed / (failed + boiled)
			}
		})
	}
	return l
}

func (d *drawer) pinned(input string) (float64, bool) { return d.pin.at, d.pin.input == input }

// levelAt is the quantile of the level at share p: Student's t about the mean for
// the burns' own scatter, with what they share added in quadrature.
func (e *Evidence) levelAt(p float64) float64 {
	sd, quantile := planningScatter, mathext.NormalQuantile(p)
	shared := quantile * e.SharedLog
	if e.N >= leastWeighed {
		sd, quantile = e.SDLog, stats.StudentsT{Sigma: 1, Nu: float64(e.N - 1)}.Quantile(p)
	}
	own := quantile * sd / math.Sqrt(float64(e.N))
	return math.Exp(e.MeanLog + math.Copysign(math.Hypot(own, shared), p-0.5))
}

// scattered is the sum over the boils of one kind on one leg of what scatter makes
// of each, Σ exp(σ z), a boil that fails counted twice: it burns the fuel of a
// boil and is done over with as much again (a planner's rule, no source).
func (d *drawer) scattered(c *class, l levels, leg, kind, count int) []float64 {
	who := "planning " + string(c.stove.Kind)
	if c.evidence != nil {
		who = fmt.Sprint(*c.evidence)
	} else if l.scatter[0] == 0 {
		who = "exact"
	}
	return d.extended(fmt.Sprintf("boils %d %d %s", leg, kind, who), count, func(sum []float64, j int) {
		r := d.stream(fmt.Sprintf("boil %d %d %d", leg, kind, j))
		for i := range sum {
			e := math.Exp(l.scatter[i] * r.NormFloat64())
			if u := r.Float64(); l.fails != nil && u < l.fails[i] {
				e *= 2
			}
			sum[i] += e
		}
	})
}

// use adds the fuel of a leg in each draw, kg:
//
//	Σ over its boils of E/LHV · [φ + (1 − φ) K W] · Σ exp(σ z) + priming + simmering
//
// with φ the share burned before the pot is on, which neither rise nor wind scale,
// K the cost of the boil against the reference's, W the wind's factor.
func (d *drawer) use(sum []float64, c *class, l levels, ref reference, leg int) error {
	at, fuel, place := &d.trip.Legs[leg], c.stove.fuel(), fmt.Sprint(leg)
	wind, lhv := at.Wind.Factor(c.screened), float64(fuel.LHV)
	windAt, startAt := d.uniform(windInput, place), d.uniform(startInput, place)
	for kind, b := range at.Boils {
		count := d.trip.count(at, b)
		if count == 0 {
			continue
		}
		k, err := c.boilOf(d.climates[leg], b, ref)
		if err != nil {
			return err
		}
		boils := d.scattered(c, l, leg, kind, count)
		for i, e := range l.energy {
			sum[i] += e / lhv * boils[i] * (ref.prime + (1-ref.prime)*k.at(startAt[i])*wind.at(windAt[i]))
		}
		d.addPriming(sum, c, leg, count)
		d.addSimmer(sum, c, leg, float64(count)*b.Simmer.Value.Seconds())
	}
	return nil
}

func (d *drawer) addPriming(sum []float64, c *class, leg, count int) {
	r := primingFuel(d.trip.Legs[leg].Air)
	if c.stove.Kind != Spirit || r.High == 0 {
		return
	}
	rho := float64(c.stove.fuel().Density)
	for i, u := range d.uniform(primingInput, fmt.Sprint(leg)) {
		sum[i] += float64(count) * r.at(u) * rho
	}
}

func (d *drawer) addSimmer(sum []float64, c *class, leg int, seconds float64) {
	if seconds == 0 {
		return
	}
	r, lhv := c.simmer(), float64(c.stove.fuel().LHV)
	for i, u := range d.uniform(simmerInput, fmt.Sprint(leg)) {
		sum[i] += r.at(u) * seconds / lhv
	}
}
