package carry

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/matter/water"
	"fairburn/quantity"
	"fairburn/trial"
)

// plain is a trip of boils like those on the bench, one a day.
func plain(days int) Trip {
	return Trip{People: 1, Seed: 3, Draws: 40_000, Legs: []Leg{{Days: days, WaterStart: celsius(20, 0), Air: celsius(20, 0), Boils: []Boil{{Mass: g(500), PerDay: 1}}}}}
}

// needOf draws the need of the first family of a shelf with one stove.
func needOf(t testing.TB, trip Trip, e Evidence) sampled {
	t.Helper()
	s := Shelf{Stoves: []Stove{{Name: "a", Kind: Spirit, Mass: g(10), Evidence: []Evidence{e}}}, Parts: []Part{{Name: "pot", Slot: Pot, Mass: g(0), Material: "titanium"}}}
	c := newChooser(new(Planner), &trip, &s, pin{})
	if len(c.families) != 1 || len(c.found) > 0 {
		t.Fatal(len(c.families), c.found)
	}
	n := c.sample(&c.families[0].class)
	if n.err != nil {
		t.Fatal(n.err)
	}
	return n
}

// bare is evidence without anything but scatter.
func bare(n int, sd float64) Evidence {
	e := seen(trial.Entry{Name: "a", Burner: "a", Pot: "pot"}, n, 13, sd)
	e.SharedLog, e.Tried, e.Boiled = 0, 0, 0
	return e
}

// reckoned is the closed form for a boil of 500 g on a pot without mass: the share
// of the reference's fuel that a boil to 99.974 °C takes, both with the same power
// and a loss of 1 W/K, by integrating the balance step by step.
func reckoned(t testing.TB, start, boils, airAt float64, snow, snowAt float64) float64 {
	t.Helper()
	heat := func(from, to float64) float64 {
		a, errA := water.Enthalpy(quantity.Celsius(from), quantity.StandardAtmosphere)
		b, errB := water.Enthalpy(quantity.Celsius(to), quantity.StandardAtmosphere)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		return float64(b - a)
	}
	power := func() float64 { // by bisection: which power takes 390 s
		lo, hi := 100.0, 2000.0
		for range 60 {
			if mid := (lo + hi) / 2; climb(0.5*heat(20, 100)/80, 20, 100, 20, mid) > 390 {
				lo = mid
			} else {
				hi = mid
			}
		}
		return lo
	}()
	mixed := (1 - snow) * start
	rise := 0.5 * ((1-snow)*heat(start, boils) + snow*heat(0, boils))
	melt := 0.5 * snow * (333.42e3 - 2.03e3*snowAt)
	return (melt/(power+airAt) + climb(rise/(boils-mixed), mixed, boils, airAt, power)) / 390
}

// climb is the time of C dT/dt = P − (T − T_a), by midpoint steps.
func climb(capacity, from, to, airAt, power float64) float64 {
	const steps = 20_000
	dt, sum := (to-from)/steps, 0.0
	for i := range steps {
		sum += capacity * dt / (power - (from + (float64(i)+0.5)*dt - airAt))
	}
	return sum
}

// Without scatter every draw is the closed form.
func TestNeedWithoutScatterIsTheClosedForm(t *testing.T) {
	for _, row := range []struct{ start, air, snow, snowAt float64 }{{20, 20, 0, 0}, {4, 20, 0, 0}, {4, -10, 0, 0}, {4, -10, 0.5, -8}, {10, 5, 1, 0}} {
		trip := plain(3)
		l := &trip.Legs[0]
		l.WaterStart, l.Air = celsius(row.start, 0), celsius(row.air, 0)
		l.SnowShare, l.SnowTemperature = quantity.Given(quantity.Ratio(row.snow)), celsius(row.snowAt, 0)
		trip.Draws = 100
		n := needOf(t, trip, bare(4, 0))
		priming := 0.0
		if row.air < 0 {
			priming = 3 * 2e-6 * float64(ethanol96().Density)
		}
		want := 3*0.013*reckoned(t, row.start, 99.974, row.air, row.snow, row.snowAt) + priming
		if math.Abs(float64(n.need.Point)-want) > 2e-5*want {
			t.Errorf("%+v: %.6g g, by steps %.6g g", row, n.need.Point*1e3, want*1e3)
		}
		for _, x := range n.stretches[0].use.x {
			if row.air >= 0 && math.Abs(x-float64(n.need.Point)) > 1e-9 {
				t.Fatalf("%+v: a draw of %g, closed form %g", row, x, n.need.Point)
			}
		}
	}
}

// One boil follows Student's t of the log: quantiles within five standard errors.
func TestOneBoilFollowsT(t *testing.T) {
	for _, burns := range []int{3, 4, 8} {
		trip := plain(1)
		n := needOf(t, trip, bare(burns, 0.08))
		law := distuv.StudentsT{Mu: math.Log(float64(n.need.Point)), Sigma: 0.08 * math.Sqrt(1+1/float64(burns)), Nu: float64(burns - 1)}
		for _, q := range []float64{0.05, 0.25, 0.5, 0.9, 0.95, 0.99} {
			want := math.Exp(law.Quantile(q))
			se := math.Sqrt(q*(1-q)/float64(trip.Draws)) / law.Prob(law.Quantile(q)) * want
			if got := n.stretches[0].use.quantile(q); math.Abs(got-want) > 5*se {
				t.Errorf("%d burns, %g: %.5g, t says %.5g ± %.2g", burns, q, got, want, se)
			}
		}
	}
}

// Many boils with a level known well add up as a lognormal of the same mean and
// variance (Fenton 1960, Wilkinson), to half a per cent.
func TestManyBoilsAddUpAsFentonWilkinson(t *testing.T) {
	const boils, sd = 12, 0.25
	trip := plain(boils)
	n := needOf(t, trip, bare(1_000_000, sd))
	one := float64(n.need.Point) / boils
	mean := boils * one * math.Exp(sd*sd/2)
	variance := boils * one * one * math.Exp(sd*sd) * math.Expm1(sd*sd)
	sigma := math.Sqrt(math.Log1p(variance / (mean * mean)))
	law := distuv.LogNormal{Mu: math.Log(mean) - sigma*sigma/2, Sigma: sigma}
	for _, q := range []float64{0.05, 0.5, 0.95, 0.99} {
		if got, want := n.stretches[0].use.quantile(q), law.Quantile(q); math.Abs(got-want) > 5e-3*want {
			t.Errorf("%g: %.5g, Fenton and Wilkinson %.5g", q, got, want)
		}
	}
}

// A boil fails with the mean of Beta(f + ½, s + ½) and then counts twice.
func TestFailuresCountTwice(t *testing.T) {
	e := bare(4, 0)
	e.Tried, e.Boiled = 9, 6
	trip := plain(4)
	n := needOf(t, trip, e)
	if got, want := float64(n.need.Mean/n.need.Point), 1+3.5/10; math.Abs(got-want) > 0.01 {
		t.Errorf("mean over closed form %.4f, expected %.4f", got, want)
	}
}

// The chance that a boil fails follows Beta(f + ½, s + ½), though it is made of two sums
// of squares: mean, variance and the whole distribution, against gonum's, with a tester
// who saw nothing fail, one who saw nothing else, and few and many burns.
func TestChanceOfAFailureIsJeffreys(t *testing.T) {
	for _, c := range []struct{ failed, boiled int }{{0, 1}, {1, 0}, {0, 4}, {3, 6}, {5, 0}, {1, 29}} {
		e := bare(4, 0.05)
		e.Tried, e.Boiled = c.failed+c.boiled, c.boiled
		trip := plain(1)
		s := Shelf{Stoves: []Stove{{Name: "a", Kind: Spirit, Mass: g(10), Evidence: []Evidence{e}}}, Parts: []Part{{Name: "pot", Slot: Pot, Mass: g(0), Material: "titanium"}}}
		x := slices.Clone(newChooser(new(Planner), &trip, &s, pin{}).burns(&e).fails)
		law := distuv.Beta{Alpha: float64(c.failed) + 0.5, Beta: float64(c.boiled) + 0.5}
		n := float64(len(x))
		mean, square := 0.0, 0.0
		for _, p := range x {
			mean += p / n
			square += (p - law.Mean()) * (p - law.Mean()) / n
		}
		if se := law.StdDev() / math.Sqrt(n); math.Abs(mean-law.Mean()) > 4*se {
			t.Errorf("%+v: mean %.5f, expected %.5f ± %.5f", c, mean, law.Mean(), se)
		}
		if se := law.Variance() * math.Sqrt((law.ExKurtosis()+2)/n); math.Abs(square-law.Variance()) > 4*se {
			t.Errorf("%+v: variance %.6f, expected %.6f ± %.6f", c, square, law.Variance(), se)
		}
		slices.Sort(x)
		apart := 0.0
		for i, p := range x {
			at := law.CDF(p)
			apart = max(apart, at-float64(i)/n, float64(i+1)/n-at)
		}
		if limit := 1.95 / math.Sqrt(n); apart > limit { // Kolmogorov's distance at 0.1 %
			t.Errorf("%+v: %.4f from the distribution, expected below %.4f", c, apart, limit)
		}
	}
}

// Longer trips, more people, stronger wind and colder water never need less, in any
// draw: weather and scatter are common.
func TestMoreNeverNeedsLess(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trip := plain(rapid.IntRange(1, 6).Draw(rt, "days"))
		trip.Draws = 100
		l := &trip.Legs[0]
		l.Wind = rapid.SampledFrom(Winds()).Draw(rt, "wind")
		l.WaterStart = celsius(rapid.Float64Range(6, 15).Draw(rt, "start"), 3)
		e := bare(rapid.IntRange(1, 6).Draw(rt, "burns"), 0.1)
		e.Tried, e.Boiled = 5, rapid.IntRange(0, 5).Draw(rt, "boiled")
		less := needOf(t, trip, e)
		trip.Legs = slices.Clone(trip.Legs)
		l = &trip.Legs[0]
		switch rapid.SampledFrom([]string{"day", "person", "wind", "cold"}).Draw(rt, "more") {
		case "day":
			l.Days++
		case "person":
			trip.People, l.Boils = 2, []Boil{{Mass: g(500), PerDay: 1, PerPerson: true}}
		case "wind":
			l.Wind = Winds()[min(3, slices.Index(Winds(), l.Wind)+1)]
		case "cold":
			l.WaterStart = celsius(l.WaterStart.Value.Celsius()-3, 3)
		}
		more := needOf(t, trip, e)
		for i, x := range less.stretches[0].use.x {
			if y := more.stretches[0].use.x[i]; y < x-1e-12 {
				rt.Fatalf("draw %d: %g needs less than %g", i, y, x)
			}
		}
	})
}

// Two kits meet the same weather and the same luck: with equal evidence but twice
// the fuel, each draw needs exactly twice as much.
func TestDrawsAreCommon(t *testing.T) {
	trip := plain(3)
	trip.Draws, trip.Legs[0].Wind, trip.Legs[0].WaterStart = 200, Windy, celsius(10, 5)
	a, b := bare(5, 0.1), bare(5, 0.1)
	b.MeanLog += math.Log(2)
	one, two := needOf(t, trip, a), needOf(t, trip, b)
	for i, x := range one.stretches[0].use.x {
		if y := two.stretches[0].use.x[i]; math.Abs(y-2*x) > 1e-12 {
			t.Fatalf("draw %d: %g is not twice %g", i, y, x)
		}
	}
}

// bench is an invented trial of one entry: four boils snuffed and weighed, one only
// prorated, one that went out before the boil.
func bench() *trial.Trial {
	tr := &trial.Trial{Title: "invented", Settings: trial.DefaultSettings(),
		Site: burn.Site{Station: quantity.Given(1013.25 * quantity.Hectopascal), Air: celsius(20, 0)}}
	tr.Shelf = gear.Shelf{
		Burners: []gear.Burner{{Name: "cat can", DryMass: g(8)}},
		Pots:    []gear.Pot{{Name: "pot", Mass: g(98), Material: "titanium"}},
		Batches: []gear.FuelBatch{{Name: "spirit", Strength: quantity.Given(quantity.Strength{Basis: quantity.ByVolume, Value: 0.96})}},
	}
	tr.Entries = []trial.Entry{{Name: "cat", Burner: "cat can", Pot: "pot", Fuel: "spirit"}}
	at := func(s float64) quantity.Reading[time.Duration] { return quantity.Given(seconds(s)) }
	for i, left := range []float64{7.1, 6.8, 7.4, 6.9, 0, 0} {
		r := burn.Record{ID: string(rune('1' + i)), Entry: "cat", Water: burn.Water{Mass: g(500), Start: celsius(20, 0)},
			Fuel:  burn.Fuel{Weighed: burn.FuelOnly, Poured: g(20), Left: g(left)},
			Marks: map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: at(30), burn.Boil: at(430 + 5*float64(i)), burn.Snuffed: at(431 + 5*float64(i))}}
		switch i {
		case 4:
			delete(r.Marks, burn.Snuffed)
			r.Marks[burn.Out] = at(650)
		case 5:
			r.Fuel.Poured, r.Water.Peak = g(12), celsius(90, 0)
			r.Marks = map[burn.Mark]quantity.Reading[time.Duration]{burn.PotOn: at(30), burn.Out: at(400)}
		}
		tr.Burns = append(tr.Burns, r)
	}
	return tr
}

// What burns say, asked again for the conditions of the bench, is what they burned.
func TestObserveGivesTheBurnsBack(t *testing.T) {
	e, ok := Observe(bench().Reduce(), "cat")
	if !ok || e.N != 5 || e.Estimated != 1 || e.Prorated != 0 || e.Tried != 6 || e.Boiled != 5 || !e.AirKnown || e.Air != 20 {
		t.Fatalf("%+v", e)
	}
	var s Shelf
	s.Learn(bench().Reduce())
	s.Learn(bench().Reduce()) // the same things again: only the burns are added
	if len(s.Stoves) != 1 || len(s.Parts) != 1 || len(s.Stoves[0].Evidence) != 2 || s.Stoves[0].Fuel.Name != "spirit" {
		t.Fatalf("%+v", s)
	}
	e.Tried = 0
	s.Stoves[0].Evidence = []Evidence{e}
	trip := plain(1)
	c := newChooser(new(Planner), &trip, &s, pin{})
	n := c.sample(&c.families[0].class)
	if got := float64(n.need.Point) * 1e3; got < 12.9 || got > 13.4 { // 12.9, 13.2, 12.6, 13.1 and one of about 14
		t.Errorf("%.3f g, the burns took about 13", got)
	}
	if got := n.wait; math.Abs(got-437) > 6 {
		t.Errorf("waits %.1f s, the burns 430 to 450", got)
	}
}

func TestObserveCountsProratedFuelOnlyWhenItMust(t *testing.T) {
	tr := bench()
	tr.Burns = tr.Burns[3:5]
	e, ok := Observe(tr.Reduce(), "cat")
	if !ok || e.N != 2 || e.Prorated != 1 || e.SharedLog < 0.03 {
		t.Errorf("%+v", e)
	}
	if _, ok := Observe(tr.Reduce(), "nobody"); ok {
		t.Error("an entry without burns has evidence")
	}
}

// An entry that was burned with these very parts is preferred, then the same pot,
// then more burns.
func TestWhichBurnsCount(t *testing.T) {
	entry := func(pot, lid string) trial.Entry {
		return trial.Entry{Name: pot + lid, Burner: "a", Pot: pot, Lid: lid}
	}
	v := Stove{Name: "a", Kind: Spirit, Mass: g(1), Evidence: []Evidence{
		seen(entry("big", ""), 9, 20, 0.1), seen(entry("small", "foil"), 4, 12, 0.1), seen(entry("small", ""), 3, 15, 0.1), seen(entry("small", ""), 5, 14, 0.1)}}
	s := Shelf{Stoves: []Stove{v}, Parts: []Part{{Name: "small", Slot: Pot, Mass: g(1)}, {Name: "other", Slot: Pot, Mass: g(1)}, {Name: "foil", Slot: Lid, Mass: g(1)}, {Name: "heavy", Slot: Lid, Mass: g(1)}}}
	for _, row := range []struct {
		pot, lid int
		n        int
		borrowed bool
	}{{0, empty, 5, false}, {0, 2, 4, false}, {0, 3, 5, true}, {1, empty, 9, true}} {
		c := s.classOf(&s.Stoves[0], row.pot, [3]int{row.lid, empty, empty})
		if c.evidence.N != row.n || c.borrowed != row.borrowed {
			t.Errorf("%+v: %d burns, borrowed %v", row, c.evidence.N, c.borrowed)
		}
	}
}

// What all burns of an entry share widens the whole trip and does not average out.
func TestSharedErrorStaysWhole(t *testing.T) {
	e := bare(1_000_000, 0.001)
	e.SharedLog = 0.1
	n := needOf(t, plain(10), e)
	x := &n.stretches[0].use
	if got := math.Log(x.quantile(0.95)/x.quantile(0.05)) / (2 * 1.6449); math.Abs(got-0.1) > 0.003 {
		t.Errorf("standard deviation of the log %.4f, expected 0.1", got)
	}
}

// Fuel burned before the pot is on is scaled by neither rise nor wind.
func TestPrimeIsNotScaled(t *testing.T) {
	e := bare(4, 0)
	e.Prime, e.AirKnown = 0.2, false // plain ratio of heats
	trip := plain(1)
	trip.Draws, trip.Legs[0].Wind = 100, Windy
	s := Shelf{Stoves: []Stove{{Name: "a", Kind: Spirit, Mass: g(10), Evidence: []Evidence{e}}}, Parts: []Part{{Name: "pot", Slot: Pot, Mass: g(0), Material: "titanium"}}}
	c := newChooser(new(Planner), &trip, &s, pin{windInput, 1}) // three times the fuel, without a screen
	n := c.sample(&c.families[0].class)
	k := 1 - 0.026/80 // the boil at 99.974 °C
	for _, x := range n.stretches[0].use.x {
		if want := 0.013 * (0.2 + 0.8*3*k); math.Abs(x-want) > 1e-5 {
			t.Fatalf("%g kg, expected %g", x, want)
		}
	}
}

// An input that the need of the best kit does not hang on changes nothing: what else
// is drawn stays as it was.
func TestDriversLeaveTheOtherDrawsAlone(t *testing.T) {
	trip, s := demo()
	trip.Draws = 200
	s.Stoves = s.Stoves[:1] // which has burns
	d, err := new(Planner).Drive(context.Background(), trip, s, nil)
	if err != nil || len(d) == 0 {
		t.Fatal(err, d)
	}
	for _, x := range d {
		if x.Input == planningInput {
			t.Errorf("the planning figure changes a stove with burns: %v", x)
		}
	}
}
