package repeat

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairburn/trial"
)

var simulate = flag.Int("simulate", 30, "trials of each kind, as in docs/repeat.md, where 1000 were drawn")

// Where nothing differs, neither burners nor testers, hardly any trial may say
// that one burner is ahead or that it depends on the tester. Where testers do
// differ about a pair that is alike on average, hardly any mean over testers may
// show one ahead.
func TestFalseClassesAreRare(t *testing.T) {
	trials := *simulate
	for _, c := range []struct {
		testers int
		between float64 // of the log of the ratio of two entries
	}{{2, 0}, {3, 0}, {5, 0}, {2, 0.08}, {4, 0.08}} {
		r := rand.New(rand.NewPCG(uint64(c.testers), 17))
		counts, wrong := map[Class]int{}, 0
		for n := range trials {
			var all []*trial.Trial
			for i := range c.testers {
				x := bench{fmt.Sprint("trial ", i), fmt.Sprint("tester ", i), 4, boils(400, 400*math.Exp(c.between*r.NormFloat64())), 0.03}
				all = append(all, x.trial(uint64(100*n+i)+7, trees[:2]...))
			}
			p := judged(t, all...).Axes[0].Pairs[0]
			counts[p.Class]++
			if p.Class == Across && p.Better != "" || c.between == 0 && (p.Class == Depends || p.Class == ForEvery && p.Better != "") {
				wrong++
			}
		}
		if most := 0.05 + 3*math.Sqrt(0.05*0.95/float64(trials)); float64(wrong)/float64(trials) > most {
			t.Errorf("%d testers, spread %g: %v, of which %d of %d are wrong, expected at most %.3f", c.testers, c.between, counts, wrong, trials, most)
		}
		t.Logf("%d testers, spread %g: %v, %d wrong", c.testers, c.between, counts, wrong)
	}
}
