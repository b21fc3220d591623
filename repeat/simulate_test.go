package repeat

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
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

// Unequal testers and three entries: what is said of the whole trial. Entries that are
// alike for the mean of all testers, though each tester's hands favour one, are seldom
// called decided across testers, nor for every tester unless each one's truth is so; and
// two that differ by just the margin are seldom called equal across testers. Testers who do
// not differ seldom make it depend on them.
func TestSentencesOfUnequalTestersAreSeldomWrong(t *testing.T) {
	trials := max(1, *simulate/6) // each takes six times as long
	for _, c := range []struct {
		testers        int
		between, apart float64 // of the logs of an entry's time: between testers, of the second entry from the others
		scatter        float64
	}{{2, 0.05, 0, 0.02}, {3, 0.05, 0, 0.03}, {5, 0.1, 0, 0.03}, {4, 0, 0, 0.03}, {3, 0, math.Log(1.05), 0.01}, {5, 0.02, math.Log(1.05), 0.01}} {
		r := rand.New(rand.NewPCG(uint64(c.testers), uint64(1000*c.between)+71))
		counts, wrong := map[string]int{}, 0
		for n := range trials {
			var all []*trial.Trial
			truth := map[string]int{} // of how many testers an entry is the best
			for i := range c.testers {
				logs := [3]float64{}
				best := 0
				for j := range logs {
					if logs[j] = c.between * r.NormFloat64(); j == 1 {
						logs[j] += c.apart
					}
					if logs[j] < logs[best] {
						best = j
					}
				}
				truth[trees[best]]++
				times := map[string]float64{trees[0]: 400 * math.Exp(logs[0]), trees[1]: 400 * math.Exp(logs[1]), trees[2]: 400 * math.Exp(logs[2])}
				x := bench{fmt.Sprint("trial ", i), fmt.Sprint("tester ", i), 3 + 2*(i%3), times, c.scatter * (1 + float64(i%2))}
				all = append(all, x.trial(uint64(100*n+i)+3, trees...))
			}
			v := judged(t, all...)
			best := ""
			for _, name := range trees {
				if strings.Contains(v.Sentence, name+" boils fastest") {
					best = name
				}
			}
			counts[fmt.Sprint(v.Class, ", best ", best != "")]++
			switch alike := v.Axes[0].Pairs[0]; {
			case c.apart == 0 && v.Class == Across && best != "", v.Class == ForEvery && best != "" && c.apart == 0 && truth[best] < c.testers:
				wrong++
			case c.between == 0 && v.Class == Depends:
				wrong++
			case c.apart > 0 && alike.Class == Across && alike.Better == "":
				wrong++
			}
		}
		if most := 0.05 + 3*math.Sqrt(0.05*0.95/float64(trials)); float64(wrong)/float64(trials) > most {
			t.Errorf("%d testers, spread %g, apart %.3f: %v, of which %d of %d are wrong, expected at most %.3f", c.testers, c.between, c.apart, counts, wrong, trials, most)
		}
		t.Logf("%d testers, spread %g, apart %.3f: %v, %d wrong", c.testers, c.between, c.apart, counts, wrong)
	}
}
