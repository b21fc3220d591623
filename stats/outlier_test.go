package stats

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var suspectTrials = flag.Int("suspect-trials", 0, "print the table of docs/suspect-burns.md from this many simulated trials a cell")

// suspectCell is one kind of simulated trial.
type suspectCell struct {
	groups  int
	n       int // values of each group; 0 for 3 to 12, drawn for each group
	blocked bool
	ratio   float64 // of the largest group SD to the smallest
	shift   float64 // of one value, in SDs of its group; 0 for a clean trial
}

func (c suspectCell) sd(group int) float64 {
	if c.groups == 1 {
		return 1
	}
	return math.Pow(c.ratio, float64(group)/float64(c.groups-1))
}

// draw makes one trial and shifts one value of it.
func (c suspectCell) draw(rng *rand.Rand) (data Blocked, bad int) {
	var of [][]int // the values of each group
	for g := range c.groups {
		n := c.n
		if n == 0 {
			n = 3 + rng.IntN(10)
		}
		of = append(of, nil)
		for b := range n {
			of[g] = append(of[g], len(data.Values))
			data.Values = append(data.Values, c.sd(g)*rng.NormFloat64())
			data.Group = append(data.Group, g)
			if c.blocked {
				data.Block = append(data.Block, b)
			}
		}
	}
	g := rng.IntN(c.groups)
	bad = of[g][rng.IntN(len(of[g]))]
	data.Values[bad] += c.shift * c.sd(g)
	return data, bad
}

// rate is the share of trials, in percent, with any suspect value, or in a
// trial that is not clean with the shifted one among the suspects.
func (c suspectCell) rate(t *testing.T, trials int) float64 {
	t.Helper()
	rng := rand.New(rand.NewPCG(20, uint64(c.groups*100+c.n)))
	hits := 0
	for range trials {
		data, bad := c.draw(rng)
		s, err := Suspects(data, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range s.Suspects {
			if c.shift == 0 || i == bad {
				hits++
				break
			}
		}
	}
	return 100 * float64(hits) / float64(trials)
}

func TestCleanTrialsAreRarelySuspect(t *testing.T) {
	if *suspectTrials > 0 {
		fmt.Print(suspectTable(t, *suspectTrials))
	}
	const trials = 600
	slack := 100 * 3.5 * math.Sqrt(0.02*0.98/trials) // Monte Carlo error
	for _, c := range []suspectCell{
		{1, 4, false, 1, 0}, {1, 6, false, 1, 0}, {1, 12, false, 1, 0},
		{2, 3, false, 1, 0}, {2, 5, false, 1, 0}, {3, 3, false, 1, 0}, {4, 3, false, 1, 0},
		{4, 6, false, 1, 0}, {6, 4, false, 1, 0}, {8, 3, false, 1, 0}, {8, 6, false, 1, 0},
		{2, 0, false, 1, 0}, {4, 0, false, 1, 0}, {8, 0, false, 1, 0}, // groups of unlike size
		{3, 4, true, 1, 0}, {4, 3, true, 1, 0}, {4, 6, true, 1, 0}, {8, 3, true, 1, 0}, {8, 6, true, 1, 0},
	} {
		if got := c.rate(t, trials); got > 2+slack {
			t.Errorf("%+v: %.2f %% of clean trials have a suspect value, want at most 2 (± %.2f)", c, got, slack)
		}
	}
}

// suspectTable is the table of docs/suspect-burns.md.
func suspectTable(t *testing.T, trials int) string {
	var b strings.Builder
	fmt.Fprintln(&b, "| groups | values each | blocks | threshold | clean | clean, SDs 1 to 3 | one value 6 SD off found | 10 SD off found |")
	fmt.Fprintln(&b, "|---|---|---|---|---|---|---|---|")
	for _, blocked := range []bool{false, true} {
		for _, groups := range []int{1, 2, 3, 4, 6, 8, 10} {
			for _, n := range []int{3, 4, 5, 6, 8, 12} {
				nu, word := groups*(n-1), "no"
				if blocked {
					nu, word = (groups-1)*(n-1), "yes"
				}
				if blocked && groups < 3 || nu < 3 {
					continue
				}
				fmt.Fprintf(&b, "| %d | %d | %s | %.1f |", groups, n, word, suspectThreshold(nu))
				for _, c := range []suspectCell{{groups, n, blocked, 1, 0}, {groups, n, blocked, 3, 0}} {
					fmt.Fprintf(&b, " %.1f %% |", c.rate(t, trials))
				}
				for _, c := range []suspectCell{{groups, n, blocked, 1, 6}, {groups, n, blocked, 1, 10}} {
					fmt.Fprintf(&b, " %.0f %% |", c.rate(t, trials/5))
				}
				fmt.Fprintln(&b)
			}
		}
	}
	for _, groups := range []int{2, 4, 8} {
		clean, uneven := suspectCell{groups, 0, false, 1, 0}, suspectCell{groups, 0, false, 3, 0}
		near, far := suspectCell{groups, 0, false, 1, 6}, suspectCell{groups, 0, false, 1, 10}
		fmt.Fprintf(&b, "| %d | 3 to 12 | no | by ν | %.1f %% | %.1f %% | %.0f %% | %.0f %% |\n", groups,
			clean.rate(t, trials), uneven.rate(t, trials), near.rate(t, trials/5), far.rate(t, trials/5))
	}
	return b.String()
}

func TestTwoBadValuesDoNotHideEachOther(t *testing.T) {
	x := []float64{300, 301, 299.5, 360, 361}
	s := must[Suspicion](t)(Suspects(Blocked{Values: x, Group: make([]int, 5)}, 0.5))
	// median 301, MAD 1.5: 59/(1.4826·1.5) and 60/(1.4826·1.5)
	within(t, "score", s.Scores[3], 59/(1.4826*1.5), 1e-12)
	within(t, "threshold", s.Threshold, 4.1+21.0/4+80.0/16, 1e-12)
	if len(s.Suspects) != 2 || s.Suspects[0] != 3 || s.Suspects[1] != 4 {
		t.Errorf("suspects %v, want 3 and 4", s.Suspects)
	}
	g := must[Grubbs](t)(GrubbsTest(x))
	critical := must[float64](t)(GrubbsCritical(5, 0.05))
	if g.G > critical || g.P < 0.5 {
		t.Errorf("Grubbs G %.3f p %.3f against %.3f: expected to miss them", g.G, g.P, critical)
	}
}

func TestSuspectsWithBlocks(t *testing.T) {
	var data Blocked
	day := []float64{0, 40, -25, 60}
	for g := range 4 {
		for b := range day {
			data.Values = append(data.Values, 300+20*float64(g)+day[b]+math.Sin(float64(7*g+3*b)))
			data.Group, data.Block = append(data.Group, g), append(data.Block, b)
		}
	}
	data.Values[6] += 50
	s := must[Suspicion](t)(Suspects(data, 0.1))
	if len(s.Suspects) != 1 || s.Suspects[0] != 6 {
		t.Errorf("suspects %v of scores %.1f, want 6", s.Suspects, s.Scores)
	}
	data.Block = nil // the days now hide it
	if s := must[Suspicion](t)(Suspects(data, 0.1)); s.Suspects != nil {
		t.Errorf("suspects %v without blocks, want none", s.Suspects)
	}
}

func TestSuspectsFloorAndSilence(t *testing.T) {
	steady := Blocked{Values: []float64{20, 20, 20, 20, 21}, Group: make([]int, 5)}
	s := must[Suspicion](t)(Suspects(steady, 1))
	within(t, "one step of the scale", s.Scores[4], math.Sqrt(12), 1e-12)
	if s.Suspects != nil {
		t.Errorf("one step of the scale is suspect: %v", s.Suspects)
	}
	few := must[Suspicion](t)(Suspects(Blocked{Values: []float64{1, 2, 900}, Group: make([]int, 3)}, 1))
	if !math.IsInf(few.Threshold, 1) || few.Suspects != nil {
		t.Errorf("three values: %+v, want no threshold", few)
	}
	_, err := Suspects(steady, 0)
	refuses(t, err, ErrNoSpread, "suspect values: no spread: more than half of the values agree, expected the resolution of the readings")
	_, err = Suspects(steady, -1)
	refuses(t, err, ErrOutOfRange, "out of range: resolution -1, expected 0 or more")
	_, err = Suspects(Blocked{Values: []float64{1, math.NaN(), 2}, Group: make([]int, 3)}, 1)
	refuses(t, err, ErrNotFinite, "not a finite number: value 2 is NaN")
}

func TestSuspectsFollowUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := Blocked{Values: rapid.SliceOfN(rapid.Float64Range(0, 10), 12, 12).Draw(t, "values"), Group: []int{0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1}}
		a, err := Suspects(data, 0.1)
		if err != nil {
			t.Fatal(err)
		}
		scaled := data
		scaled.Values = make([]float64, 12)
		for i, v := range data.Values {
			scaled.Values[i] = 32 + 1.8*v
		}
		b, err := Suspects(scaled, 0.18)
		if err != nil {
			t.Fatal(err)
		}
		for i := range a.Scores {
			if math.Abs(a.Scores[i]-b.Scores[i]) > 1e-9*(1+a.Scores[i]) {
				t.Fatalf("score %d: %g and %g", i, a.Scores[i], b.Scores[i])
			}
		}
	})
}

func TestGrubbsPAndCriticalAgree(t *testing.T) {
	// A sample built so that its G is the critical value: n−1 values, half at −1
	// and half at 1, and one at c.
	for _, n := range []int{5, 7, 11} {
		critical := must[float64](t)(GrubbsCritical(n, 0.05))
		g := func(c float64) Grubbs {
			x := []float64{c}
			for i := range n - 1 {
				x = append(x, float64(i%2*2-1))
			}
			return must[Grubbs](t)(GrubbsTest(x))
		}
		lo, hi := 1.0, 50.0
		for range 60 {
			if mid := (lo + hi) / 2; g(mid).G < critical {
				lo = mid
			} else {
				hi = mid
			}
		}
		near(t, "p at the critical G", g(lo).P, 0.05, 1e-8)
	}
	three := must[Grubbs](t)(GrubbsTest([]float64{1, 1, 900}))
	within(t, "largest G of three", three.G, 2/math.Sqrt(3), 1e-12)
	within(t, "its p", three.P, 0, 1e-6)
	_, err := GrubbsTest([]float64{1, 2})
	refuses(t, err, ErrTooFew, "Grubbs test: too few values: 2, at least 3 needed")
	_, err = GrubbsTest([]float64{2, 2, 2})
	refuses(t, err, ErrNoSpread, "Grubbs test: no spread: all 3 values are 2")
	_, err = GrubbsCritical(2, 0.05)
	refuses(t, err, ErrTooFew, "Grubbs test: too few values: 2, at least 3 needed")
	_, err = GrubbsCritical(5, 0)
	refuses(t, err, ErrOutOfRange, "out of range: alpha 0, expected more than 0 and less than 1")
}
