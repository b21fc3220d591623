package verdict

import (
	"flag"
	"fmt"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"fairburn/reduce"
	"fairburn/stats"
)

var simulate = flag.Int("simulate", 0, "trials a cell of the simulations in docs/verdict-error-rates.md, whose tables are then printed; 0: a few, checked only")

// world is how burns of a simulated trial come about.
type world struct {
	burns   int
	blocked bool
	sds     []float64 // of the log of one burn, by entry
	means   []float64 // of the log, by entry; nil: no difference
	// share of burns that boil on a dose common to all; 0: no dose runs out.
	boils float64
}

func (w world) String() string {
	blocks := "no"
	if w.blocked {
		blocks = "yes"
	}
	spread := slices.Max(w.sds) / slices.Min(w.sds)
	return fmt.Sprintf("%d | %d | %s | %.0f", len(w.sds), w.burns, blocks, spread)
}

// spreads are standard deviations of k entries in even ratios from low to
// ratio times low.
func spreads(k int, low, ratio float64) []float64 {
	sds := make([]float64, k)
	for i := range sds {
		sds[i] = low * math.Pow(ratio, float64(i)/float64(max(k-1, 1)))
	}
	return sds
}

// draw makes one trial. With a dose, T = Q/(η·q): q scatters by w.sds and η by
// 6 %, and a burn boils when its η is enough for the dose.
func (w world) draw(r *rand.Rand) sample {
	var s sample
	for e := range w.sds {
		s.entries = append(s.entries, string(rune('A'+e)))
	}
	for b := range w.burns {
		day := 0.1 * r.NormFloat64()
		for e, sd := range w.sds {
			v := value{entry: e, burn: fmt.Sprintf("%d%s", b+1, s.entries[e]), status: reduce.Boiled, log: math.Log(400) + sd*r.NormFloat64()}
			if w.means != nil {
				v.log += w.means[e]
			}
			if w.blocked {
				v.block = fmt.Sprint("day ", b+1)
				v.log += day
			}
			if w.boils > 0 {
				eta := r.NormFloat64()
				v.log -= 0.06 * eta
				if eta < -math.Sqrt2*math.Erfinv(2*w.boils-1) {
					v.log, v.status = math.Inf(1), reduce.NoBoil
				}
			}
			s.values = append(s.values, v)
		}
	}
	return s
}

var usual = rules{level: 0.95, margin: math.Log(1.05), cap: 900, power: 0.8, seed: 1}

// counts is in how many trials each thing happened.
type counts struct {
	trials, different, winner, bestOut, depends, equal, asGood, decided, tooFew int
}

func (c counts) rate(n int) float64 { return float64(n) / float64(c.trials) }

// run judges trials of a world. Entry 0 is the best, or as good as any. Every
// world has draws of its own.
func (w world) run(trials int, seed uint64) counts {
	c := counts{trials: trials}
	h := fnv.New64a()
	fmt.Fprint(h, w, w.means, w.boils)
	seed += h.Sum64()
	for n := range trials {
		r := rand.New(rand.NewPCG(seed, uint64(n)))
		s := w.draw(r)
		suspects := suspectsOf(s, reduce.RefTime)
		got := settle(s, speed, usual, suspects)
		var different, depends, equal, decided, tooFew bool
		for _, p := range got.pairs {
			d := p.Class == Different || p.Class == WorthHaving
			different = different || d
			equal = equal || p.Class == EqualInPractice
			depends = depends || len(p.DependsOn) > 0
			tooFew = tooFew || p.Class == TooFew
			if p.i == 0 && p.j == len(w.sds)-1 {
				decided = d
			}
		}
		best := got.couldBeBest(s)
		for count, happened := range map[*int]bool{
			&c.different: different, &c.depends: depends, &c.equal: equal, &c.decided: decided, &c.tooFew: tooFew,
			&c.winner: len(best) == 1, &c.bestOut: !slices.Contains(best, "A"),
			&c.asGood: slices.Contains(got.asGood(s), s.entries[len(s.entries)-1]),
		} {
			if happened {
				*count++
			}
		}
	}
	return c
}

// size is how many trials a cell has: by flag, a tenth of that where each trial
// draws a null distribution of its own; else few enough to run always, or none.
func size(w world) int {
	switch {
	case *simulate > 0 && w.blocked && len(w.sds) > 2:
		return *simulate / 10
	case *simulate > 0:
		return *simulate
	case w.blocked && len(w.sds) > 2:
		return 0
	case w.burns >= stats.MinBootstrap:
		return 4
	}
	return 25
}

// atMost fails a rate that is above its bound by more than chance: three
// standard errors, and at least one trial.
func atMost(t *testing.T, name string, w world, hits, trials int, bound float64) {
	t.Helper()
	allowed := bound*float64(trials) + 3*math.Sqrt(bound*(1-bound)*float64(trials)) + 1
	if float64(hits) > allowed {
		t.Errorf("%s, %v: %d of %d trials, expected at most %.1f %%", name, w, hits, trials, bound*100)
	}
}

// table prints a row where the tables of the document are asked for.
func table(format string, a ...any) {
	if *simulate > 0 {
		fmt.Fprintf(os.Stdout, format+"\n", a...)
	}
}

// Equal entries: no difference is found, nobody is ruled out, in more than one
// trial of twenty.
func TestEqualEntriesAreNotToldApart(t *testing.T) {
	table("| entries | burns each | blocks | spread 1 to | false difference | false winner | one named entry ruled out | depends on a burn |\n|---|---|---|---|---|---|---|---|")
	for _, blocked := range []bool{false, true} {
		for _, k := range []int{2, 3, 6} {
			for _, n := range []int{3, 5, 8} {
				for _, ratio := range []float64{1, 4} {
					w := world{burns: n, blocked: blocked, sds: spreads(k, 0.04, ratio)}
					c := w.run(size(w), 11)
					atMost(t, "false difference", w, c.different, c.trials, 0.05)
					atMost(t, "false winner", w, c.winner, c.trials, 0.05)
					atMost(t, "best ruled out", w, c.bestOut, c.trials, 0.05)
					if ratio == 1 {
						atMost(t, "depends on a burn", w, c.depends, c.trials, 0.02)
					}
					table("| %v | %.1f %% | %.1f %% | %.1f %% | %.1f %% |", w, 100*c.rate(c.different), 100*c.rate(c.winner), 100*c.rate(c.bestOut), 100*c.rate(c.depends))
				}
			}
		}
	}
}

// Entries that differ: the best is not ruled out, and what power promises is there.
func TestTheBestIsNotRuledOut(t *testing.T) {
	table("\n| entries | burns each | blocks | spread 1 to | steps of | best ruled out | winner named | first and last told apart | depends on a burn |\n|---|---|---|---|---|---|---|---|---|")
	for _, blocked := range []bool{false, true} {
		for _, k := range []int{2, 4} {
			for _, n := range []int{3, 6} {
				for _, ratio := range []float64{1, 4} {
					for _, step := range []float64{0.02, 0.1} {
						w := world{burns: n, blocked: blocked, sds: spreads(k, 0.03, ratio), means: make([]float64, k)}
						for e := range w.means {
							w.means[e] = step * float64(e)
						}
						c := w.run(size(w), 12)
						atMost(t, "best ruled out", w, c.bestOut, c.trials, 0.05)
						if n == 6 && ratio == 1 && step == 0.1 && c.trials > 0 && c.rate(c.decided) < 0.9 {
							t.Errorf("%v, steps of %g: told apart in %d of %d trials", w, step, c.decided, c.trials)
						}
						table("| %v | %.0f %% | %.1f %% | %.0f %% | %.0f %% | %.1f %% |", w, step*100, 100*c.rate(c.bestOut), 100*c.rate(c.winner), 100*c.rate(c.decided), 100*c.rate(c.depends))
					}
				}
			}
		}
	}
}

// The burns that a plan asks for show the difference as often as it says.
func TestPlannedBurnsHaveTheirPower(t *testing.T) {
	for _, n := range []int{4, 6} {
		w := world{burns: n, sds: spreads(2, 0.05, 1), means: []float64{0, 0.12}}
		want, err := stats.Plan{Difference: 0.12, SDA: 0.05, SDB: 0.05, Alpha: 0.05, Comparisons: 1}.Power(n, n)
		if err != nil {
			t.Fatal(err)
		}
		c := w.run(150, 16)
		if got := c.rate(c.decided); math.Abs(got-want) > 0.05+3*math.Sqrt(want*(1-want)/150) {
			t.Errorf("%d burns: shown in %.0f %% of trials, planned %.0f %%", n, got*100, want*100)
		}
	}
}

// Two equal best entries among worse ones: neither is named alone too often.
func TestNoneOfTwoEqualBestIsNamed(t *testing.T) {
	table("\n| entries | burns each | blocks | spread 1 to | one of two equal best named alone |\n|---|---|---|---|---|")
	for _, blocked := range []bool{false, true} {
		for _, k := range []int{3, 4, 6} {
			for _, n := range []int{3, 6} {
				for _, ratio := range []float64{1, 4} {
					w := world{burns: n, blocked: blocked, sds: spreads(k, 0.04, ratio), means: make([]float64, k)}
					for e := 2; e < k; e++ {
						w.means[e] = 2
					}
					if blocked && (k == 4 || n == 6) {
						continue
					}
					c := w.run(size(w), 15)
					atMost(t, "false winner", w, c.winner, c.trials, 0.05)
					table("| %v | %.1f %% |", w, 100*c.rate(c.winner))
				}
			}
		}
	}
}

// Two entries exactly the margin apart are called equal in practice, or the
// worse one as good, in at most one trial of twenty.
func TestTheMarginIsNotCalledEqual(t *testing.T) {
	table("\n| entries | burns each | blocks | spread 1 to | called equal | worse called as good |\n|---|---|---|---|---|---|")
	for _, blocked := range []bool{false, true} {
		for _, n := range []int{3, 8} {
			for _, ratio := range []float64{1, 4} {
				w := world{burns: n, blocked: blocked, sds: spreads(2, 0.005, ratio), means: []float64{0, usual.margin}}
				c := w.run(size(w), 13)
				atMost(t, "equal at the margin", w, c.equal, c.trials, 0.05)
				atMost(t, "as good at the margin", w, c.asGood, c.trials, 0.05)
				table("| %v | %.1f %% | %.1f %% |", w, 100*c.rate(c.equal), 100*c.rate(c.asGood))
			}
		}
	}
}

// Equal entries on a dose that does not always boil: worst ranks and means
// together tell no difference too often.
func TestEqualEntriesThatDoNotAlwaysBoil(t *testing.T) {
	table("\n| entries | burns each | blocks | spread 1 to | boil | false difference | best ruled out | too few for some pair |\n|---|---|---|---|---|---|---|---|")
	for _, blocked := range []bool{false, true} {
		for _, k := range []int{2, 4} {
			for _, n := range []int{3, 6, 8} {
				for _, ratio := range []float64{1, 4} {
					for _, boils := range []float64{0.5, 0.8, 0.95} {
						w := world{burns: n, blocked: blocked, sds: spreads(k, 0.05, ratio), boils: boils}
						if blocked && k == 4 && n != 6 {
							continue
						}
						c := w.run(size(w), 14)
						atMost(t, "false difference", w, c.different, c.trials, 0.05)
						atMost(t, "best ruled out", w, c.bestOut, c.trials, 0.05)
						table("| %v | %.0f %% | %.1f %% | %.1f %% | %.0f %% |", w, boils*100, 100*c.rate(c.different), 100*c.rate(c.bestOut), 100*c.rate(c.tooFew))
					}
				}
			}
		}
	}
}
