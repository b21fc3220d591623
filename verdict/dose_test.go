package verdict

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/stats"
	"fairburn/trial"
)

// Without a failed burn the limit is the tolerance limit of noncentral t.
func TestDoseLimitIsTheToleranceLimit(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, n := range []int{5, 6, 9, 20} {
		for _, share := range []float64{0.75, 0.9, 0.99} {
			var seen []stats.Observed
			var logs []float64
			for range n {
				x := math.Log(0.012) + 0.05*r.NormFloat64()
				seen, logs = append(seen, stats.Observed{Time: math.Exp(x), Event: true}), append(logs, x)
			}
			got, err := toleranceLimit(seen, share, 0)
			want, errWant := stats.UpperTolerance(stats.Summarize(logs), share, 0.95)
			if err != nil || errWant != nil || math.Abs(got-want) > 1e-7 {
				t.Errorf("n %d, share %g: %g (%v), want %g (%v)", n, share, got, err, want, errWant)
			}
			wide, _ := toleranceLimit(seen, share, 0.08)
			mean := stats.Summarize(logs).Mean
			if want := mean + math.Hypot(got-mean, 1.6448536269514722*0.08); math.Abs(wide-want) > 1e-9 {
				t.Errorf("shared: %g, want %g", wide, want)
			}
		}
	}
}

// A dose that boils in fewer than nine of ten burns is stated in at most one
// trial of twenty. Trials with fewer than five boils state none.
func TestDoseKeepsItsWord(t *testing.T) {
	table("\n| burns | boil on the dose burned | a dose is stated | of those, enough | a dose too small, of all trials |\n|---|---|---|---|---|")
	enough := distuv.UnitNormal.Quantile(0.9)
	for _, n := range []int{5, 6, 8, 12, 20} {
		for _, boil := range []float64{0.4, 0.6, 0.8, 0.9, 0.99} {
			dose := distuv.UnitNormal.Quantile(boil)
			trials, stated, small := max(60, *simulate), 0, 0
			for seed := range trials {
				limit, ok := simulatedDose(rand.New(rand.NewPCG(uint64(100*n)+uint64(100*boil), uint64(seed))), n, dose)
				if ok {
					stated++
				}
				if ok && limit < enough {
					small++
				}
			}
			atMost(t, "dose too small", world{burns: n, sds: []float64{1}, boils: boil}, small, trials, 0.05)
			table("| %d | %.0f %% | %.0f %% | %.1f %% | %.1f %% |", n, boil*100, 100*float64(stated)/float64(trials), 100*(1-float64(small)/float64(max(stated, 1))), 100*float64(small)/float64(trials))
		}
	}
}

// simulatedDose is the limit in standard deviations above the mean of a trial
// of n burns on one dose.
func simulatedDose(r *rand.Rand, n int, dose float64) (float64, bool) {
	const sd = 0.05
	var seen []stats.Observed
	boils := 0
	for range n {
		need := r.NormFloat64()
		o := stats.Observed{Time: math.Exp(sd * min(need, dose)), Event: need <= dose}
		if o.Event {
			boils++
		}
		seen = append(seen, o)
	}
	if boils < leastForDose {
		return 0, false
	}
	limit, err := toleranceLimit(seen, 0.9, 0)
	return limit / sd, err == nil
}

// ranOut adds a burn to flame-out after the boil, weighed at the end.
func (b bench) ranOut(entry string, seconds, grams float64) *burn.Record {
	b.boiled(entry, "", seconds, grams)
	r := &b.t.Burns[len(b.t.Burns)-1]
	delete(r.Marks, burn.Snuffed)
	r.Marks[burn.Out] = at(seconds * 1.2)
	return r
}

func TestResidue(t *testing.T) {
	given := func(g float64) quantity.Reading[quantity.Mass] { return quantity.Given(quantity.Mass(g * 1e-3)) }
	dry := gear.Burner{DryMass: given(10)}
	for _, c := range []struct {
		name   string
		fuel   burn.Fuel
		burner gear.Burner
		want   float64
		known  bool
	}{
		{"fuel alone", burn.Fuel{Weighed: burn.FuelOnly, Left: given(0.7)}, dry, 0.7e-3, true},
		{"with the burner", burn.Fuel{Weighed: burn.BurnerAndFuel, Left: given(10.7)}, dry, 0.7e-3, true},
		{"burner never weighed, dose known", burn.Fuel{Weighed: burn.BurnerAndFuel, Poured: given(25), DoseMass: given(15), Left: given(10.7)}, gear.Burner{}, 0.7e-3, true},
		{"burner never weighed", burn.Fuel{Weighed: burn.BurnerAndFuel, Poured: given(25), Left: given(10.7)}, gear.Burner{}, 0, false},
		{"lighter than dry, by the scale's error", burn.Fuel{Weighed: burn.BurnerAndFuel, Left: given(9.9)}, dry, 0, true},
		{"the whole stack", burn.Fuel{Weighed: burn.Stack, Left: given(600)}, dry, 0, false},
		{"not weighed", burn.Fuel{Weighed: burn.FuelOnly}, dry, 0, false},
		{"seen dry", burn.Fuel{Weighed: burn.FuelOnly, LeftNothing: true}, dry, 0, true},
	} {
		b := &trial.Burned{Record: burn.Record{Fuel: c.fuel}}
		b.Result.Outcome.End = 600
		got, known := residueOf(b, c.burner)
		if math.Abs(got-c.want) > 1e-9 || known != c.known {
			t.Errorf("%s: %g %v, want %g %v", c.name, got, known, c.want, c.known)
		}
		b.Result.Outcome.Snuffed = true
		if got, known := residueOf(b, c.burner); got != 0 || known {
			t.Errorf("%s, snuffed: %g %v", c.name, got, known)
		}
	}
}

func TestLeastDoseOfATrial(t *testing.T) {
	b := newBenchTrial("Ash")
	for n, d := range []float64{0.1, -0.2, 0.2, -0.1} {
		b.boiled("Ash", "", 400+float64(n), 12+d)
	}
	if got := b.judge().Entries[0].LeastDose; got.Known || got.Why != "needs fuel to boil in five burns; 4 have it" {
		t.Errorf("four burns: %+v", got)
	}
	b.boiled("Ash", "", 404, 12)
	five := b.judge().Entries[0].LeastDose
	if !five.Known || five.Approx || !five.ResidueUnknown || five.Mass < 0.0118 || five.Mass > 0.0132 || five.Volume < five.Mass/850 || five.Volume > five.Mass/780 {
		t.Errorf("five burns: %+v", five)
	}
	// A prorated burn adds its residue (30 − 18.2 burned − 10 of burner) and nothing else.
	r := b.ranOut("Ash", 400, 18.2)
	r.Fuel.ToBoilBy = burn.Prorated
	six := b.judge().Entries[0].LeastDose
	if six.ResidueUnknown || math.Abs(six.Residue-1.8e-3) > 1e-9 || math.Abs(six.Mass-five.Mass-1.8e-3) > 1e-9 || six.N != 5 {
		t.Errorf("with a burn that ran out: %+v", six)
	}
	// A burn that did not boil counts as needing more than it burned.
	b.failed("Ash", "", 500, 12.5, 95)
	seven := b.judge().Entries[0].LeastDose
	if !seven.Known || !seven.Approx || seven.Mass <= six.Mass || seven.N != 7 {
		t.Errorf("with a failed burn: %+v", seven)
	}
	b.t.Burns[len(b.t.Burns)-1].Fuel.Left = quantity.Reading[quantity.Mass]{}
	if got := b.judge().Entries[0].LeastDose; got.Known || got.Why != "burn 7 did not boil and the fuel it burned was not weighed" {
		t.Errorf("failed and not weighed: %+v", got)
	}
}

// Prorating is one error for all burns of an entry: it widens the dose.
func TestProratedDoseIsWider(t *testing.T) {
	b, p := newBenchTrial("Ash"), newBenchTrial("Ash")
	for n, d := range []float64{0.1, -0.2, 0.2, -0.1, 0, 0.15} {
		b.boiled("Ash", "", 400+float64(n), 12+d)
		r := p.ranOut("Ash", 400+float64(n), (12+d)*1.2)
		r.Fuel.ToBoilBy, r.Fuel.LeftNothing = burn.Prorated, false
	}
	weighed, prorated := b.judge().Entries[0].LeastDose, p.judge().Entries[0].LeastDose
	if !prorated.Known || !prorated.Approx || prorated.Mass-prorated.Residue < weighed.Mass*1.08 {
		t.Errorf("weighed %+v, prorated %+v", weighed, prorated)
	}
}
