package stats

import (
	"flag"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
)

var simulate = flag.Bool("simulate", false, "run the whole simulation of blocked trials and print its tables")

// The simulation behind BlockedPairs. Normal errors, no true differences, days
// ten times as far apart as burns; an error is any of the intervals missing 0.
// Intervals do not care what the true differences are, so this is also how often
// some interval misses its true difference. Seeds are part of the cell.
const (
	simTrials = 40_000
	simDraws  = 40_000 // behind the multiples of the candidates that need them
	simSeed   = 20_240
)

// simCandidate is one method; multiples that need draws or quadrature are made
// once for each number of groups and blocks.
type simCandidate int

const (
	simTukey       simCandidate = iota // additive model, one spread, studentized range
	simBonferroni                      // within-block differences, t, Bonferroni
	simPairedRange                     // within-block differences, q(k, b-1)/√2
	simPairedMax                       // within-block differences, largest t of equal spreads
	simOwnRange                        // own residual variances, q(k, Satterthwaite)/√2
	simPooledMax                       // one spread, multiple that holds for all patterns
	simHalfMax                         // half own, half shared, the same
	simOwnMax                          // own residual variances, the same
	simFlip                            // within-block differences, largest t, signs of blocks flipped
	simChecked                         // Tukey unless the own variances look unequal, else the rule
	simRule                            // BlockedPairs
	simCount
)

// simPatterns are the spreads of the table and, after the first three, the
// further ones on which the rule alone must hold.
var simPatterns = []struct {
	name string
	sd   func(g, k int) float64
}{
	{"1", func(int, int) float64 { return 1 }},
	{"2", func(g, k int) float64 { return math.Pow(2, float64(g)/float64(k-1)) }},
	{"4", func(g, k int) float64 { return math.Pow(4, float64(g)/float64(k-1)) }},
	{"one at 4", func(g, _ int) float64 { return 1 + 3*one(g < 1) }},
	{"two at 4", func(g, _ int) float64 { return 1 + 3*one(g < 2) }},
	{"half at 4", func(g, k int) float64 { return 1 + 3*one(g < k/2) }},
	{"one at 1/4", func(g, _ int) float64 { return 1 - 0.75*one(g < 1) }},
	{"one at 1000", func(g, _ int) float64 { return 1 + 999*one(g < 1) }},
}

func one(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// simTrial is one drawn trial with complete blocks and what the methods need of
// it, computed straight from the definitions.
type simTrial struct {
	k, b             int
	y                [][]float64 // block effects included
	mean, own        []float64   // own: residual sum of squares / (b−1)
	block            []float64
	pool             float64
	sd               []float64
	d, within, truth []float64 // per pair: difference, variance within blocks, true variance of one difference
}

func newSimTrial(k, b int, sd func(g, k int) float64) *simTrial {
	t := &simTrial{k: k, b: b, mean: make([]float64, k), own: make([]float64, k), sd: make([]float64, k), block: make([]float64, b)}
	for g := range k {
		t.y = append(t.y, make([]float64, b))
		t.sd[g] = sd(g, k)
	}
	m := k * (k - 1) / 2
	t.d, t.within, t.truth = make([]float64, m), make([]float64, m), make([]float64, m)
	return t
}

func (t *simTrial) draw(rng *rand.Rand) {
	for c := range t.b {
		day := 10 * rng.NormFloat64()
		for g := range t.y {
			t.y[g][c] = day + t.sd[g]*rng.NormFloat64()
		}
	}
	t.measure()
}

// measure fills in what follows from y.
func (t *simTrial) measure() {
	b, k := float64(t.b), float64(t.k)
	clear(t.mean)
	clear(t.block)
	for c := range t.b {
		for g := range t.y {
			t.mean[g] += t.y[g][c] / b
			t.block[c] += t.y[g][c] / k
		}
	}
	grand := 0.0
	for _, m := range t.mean {
		grand += m / k
	}
	t.pool = 0
	for g := range t.y {
		t.own[g] = 0
		for c, v := range t.y[g] {
			e := v - t.mean[g] - t.block[c] + grand
			t.own[g] += e * e / (b - 1)
		}
		t.pool += t.own[g] / (k - 1)
	}
	p := 0
	for i := range t.y {
		for j := i + 1; j < t.k; j++ {
			t.d[p], t.within[p] = t.mean[i]-t.mean[j], 0
			for c := range t.b {
				e := t.y[i][c] - t.y[j][c] - t.d[p]
				t.within[p] += e * e / (b - 1)
			}
			t.truth[p] = t.sd[i]*t.sd[i] + t.sd[j]*t.sd[j]
			p++
		}
	}
}

// unevenness is the largest over the least own variance.
func (t *simTrial) unevenness() float64 { return slices.Max(t.own) / slices.Min(t.own) }

// shared returns the variance of one difference of groups i and j with the given
// share of their own residuals.
func (t *simTrial) shared(i, j int, own float64) float64 {
	return own*(t.own[i]+t.own[j])*float64(t.k)/float64(t.k-1) + (1-own)*2*t.pool
}

// simMultiples are the multiples of se for one number of groups and blocks.
type simMultiples struct {
	fixed  [simCount]float64 // those that are one number
	welch  [33]float64       // q(k, ν)/√2 at ν from b−1 to 2(b−1)
	layout *blockLayout
	even   float64 // the 80 % point of unevenness when spreads are equal
}

func newSimMultiples(t *testing.T, k, b, draws int) *simMultiples {
	m := &simMultiples{}
	pairs, nu := float64(k*(k-1)/2), float64(b-1)
	m.fixed[simTukey] = StudentizedRange{K: k, Nu: nu * float64(k-1)}.Quantile(0.95) / math.Sqrt2
	m.fixed[simBonferroni] = upperT(0.025/pairs, nu)
	for i := range m.welch {
		m.welch[i] = StudentizedRange{K: k, Nu: nu * (1 + float64(i)/32)}.Quantile(0.95) / math.Sqrt2
	}
	m.fixed[simPairedRange] = m.welch[0]
	for p := range simPatterns[:7] {
		largest := simLargest(k, b, p, draws)
		if p == 0 {
			m.fixed[simPairedMax] = largest[3]
		}
		for i, c := range []simCandidate{simPooledMax, simHalfMax, simOwnMax} {
			m.fixed[c] = max(m.fixed[c], largest[i])
		}
	}
	m.even = simEven(k, b, draws)
	fit, err := FitBlocks(complete(newSimTrial(k, b, simPatterns[0].sd).y))
	if err != nil {
		t.Fatal(err)
	}
	m.layout = newBlockLayout(fit)
	m.fixed[simRule] = m.fixed[simBonferroni]
	if k > 2 {
		m.fixed[simRule] = m.layout.null(simSeed).quantile(0.05)
	}
	return m
}

// simLargest draws the 95 % points of the largest |d|/se with shares 0, 1/2 and
// 1 of own residuals, with the variance within blocks, and with a share of 3/4.
func simLargest(k, b, pattern, draws int) [5]float64 {
	rng := rand.New(rand.NewPCG(simSeed+1, uint64(10_000*pattern+100*k+b)))
	trial := newSimTrial(k, b, simPatterns[pattern].sd)
	var largest [5][]float64
	for range draws {
		trial.draw(rng)
		var most [5]float64
		p := 0
		for i := range k {
			for j := i + 1; j < k; j++ {
				for s, v := range [5]float64{trial.shared(i, j, 0), trial.shared(i, j, 0.5), trial.shared(i, j, 1), trial.within[p], trial.shared(i, j, 0.75)} {
					most[s] = max(most[s], trial.d[p]*trial.d[p]/v)
				}
				p++
			}
		}
		for s := range most {
			largest[s] = append(largest[s], math.Sqrt(most[s]*float64(b)))
		}
	}
	var out [5]float64
	for s := range out {
		slices.Sort(largest[s])
		out[s] = largest[s][draws*95/100]
	}
	return out
}

// simEven draws the 80 % point of the unevenness of equal spreads: a check that
// calls one such trial in five uneven, to see more of those that are.
func simEven(k, b, draws int) float64 {
	rng := rand.New(rand.NewPCG(simSeed+2, uint64(100*k+b)))
	trial, all := newSimTrial(k, b, simPatterns[0].sd), make([]float64, draws)
	for i := range all {
		trial.draw(rng)
		all[i] = trial.unevenness()
	}
	slices.Sort(all)
	return all[draws*80/100]
}

// complete lays values[group][block] out as Blocked.
func complete(values [][]float64) Blocked {
	var d Blocked
	for g := range values {
		for b, v := range values[g] {
			d.Values, d.Group, d.Block = append(d.Values, v), append(d.Group, g), append(d.Block, b)
		}
	}
	return d
}

// simCell is the outcome for one number of groups and blocks and one pattern.
type simCell struct {
	errors [simCount]int
	width  [simCount]float64 // mean half-width over the true standard error of its pair
	trials int
}

func (c simCell) rate(m simCandidate) float64 { return float64(c.errors[m]) / float64(c.trials) }

func runSimCell(k, b, pattern, trials int, m *simMultiples) simCell {
	rng := rand.New(rand.NewPCG(simSeed, uint64(10_000*pattern+100*k+b)))
	t := newSimTrial(k, b, simPatterns[pattern].sd)
	cell := simCell{trials: trials}
	var multiple, variance [simCount]float64
	for range trials {
		t.draw(rng)
		multiple = m.fixed
		multiple[simFlip] = flipMultiple(t)
		checked := simRule
		if t.unevenness() <= m.even {
			checked = simTukey
		}
		multiple[simChecked] = multiple[checked]
		var wrong [simCount]bool
		p := 0
		for i := range k {
			for j := i + 1; j < k; j++ {
				within, own := t.within[p], t.shared(i, j, 1)
				nu := math.Pow(t.own[i]+t.own[j], 2) / (t.own[i]*t.own[i] + t.own[j]*t.own[j])
				multiple[simOwnRange] = m.welch[int((nu-1)*32)] // towards fewer degrees of freedom
				variance = [simCount]float64{2 * t.pool, within, within, within, own, 2 * t.pool, t.shared(i, j, 0.5), own, within, 0, t.shared(i, j, ownShare)}
				variance[simChecked] = variance[checked]
				for c := range simCount {
					half := multiple[c] * math.Sqrt(variance[c]/float64(b))
					wrong[c] = wrong[c] || math.Abs(t.d[p]) > half
					cell.width[c] += half / math.Sqrt(t.truth[p]/float64(b)) / float64(trials*len(t.d))
				}
				p++
			}
		}
		for c, w := range wrong {
			cell.errors[c] += int(one(w))
		}
	}
	return cell
}

// flipMultiple is the multiple of the largest t within blocks when the signs of
// whole blocks, less the means, are flipped in all ways: exact for errors that
// are symmetric, whatever their spreads. It is +Inf where the flips are too few
// for 5 %.
func flipMultiple(t *simTrial) float64 {
	flips := 1 << (t.b - 1)
	allowed := flips / 20 // this many arrangements may lie above
	if allowed == 0 {
		return math.Inf(1)
	}
	largest := make([]float64, flips)
	p := 0
	for i := range t.k {
		for j := i + 1; j < t.k; j++ {
			squares, d := 0.0, make([]float64, t.b)
			for c := range d {
				d[c] = t.y[i][c] - t.y[j][c]
				squares += d[c] * d[c]
			}
			sum := 0.0
			for _, v := range d {
				sum += v
			}
			n := float64(t.b)
			for f, gray := 0, 0; f < flips; f++ {
				if f > 0 { // Gray code: one sign changes at a time
					c := bits.TrailingZeros(uint(f))
					gray ^= 1 << c
					sum += 2 * d[c] * (1 - 2*float64(gray>>c&1))
				}
				if v := sum * sum / n / ((squares - sum*sum/n) / (n - 1)); v > largest[f] {
					largest[f] = v
				}
			}
			p++
		}
	}
	slices.Sort(largest)
	return math.Sqrt(largest[flips-allowed-1]) * (1 + 1e-12)
}

// TestBlockedSimulation holds the rule of BlockedPairs to its level. With
// -simulate it runs every cell and prints the tables of docs/blocked-trials.md.
func TestBlockedSimulation(t *testing.T) {
	groups, blocks, trials, draws, sure := []int{2, 4}, []int{3, 5}, 2_000, 1_000, 3.0
	if *simulate {
		groups, blocks, trials, draws, sure = []int{2, 3, 4, 5, 6, 7, 8}, []int{3, 4, 5, 6, 7, 8}, simTrials, simDraws, 2
	}
	// Two standard errors (of the counted trials and of the draws behind the
	// multiple) for the spreads of the rule, one more for the further ones: of
	// hundreds of cells at the limit some pass two by chance.
	se := math.Sqrt(0.05 * 0.95 * (1/float64(trials) + 1.0/blockDraws))
	for _, k := range groups {
		for _, b := range blocks {
			m := newSimMultiples(t, k, b, draws)
			cells := make([]simCell, len(simPatterns))
			var all sync.WaitGroup
			for p := range simPatterns {
				all.Go(func() { cells[p] = runSimCell(k, b, p, trials, m) })
			}
			all.Wait()
			for p, c := range cells {
				limit := 0.05 + (sure+one(p > 2))*se
				if got := c.rate(simRule); got > limit && simPatterns[p].name != "one at 1000" {
					t.Errorf("%d groups, %d blocks, spreads %s: rule errs in %.2f %%, expected at most %.2f %%", k, b, simPatterns[p].name, 100*got, 100*limit)
				}
			}
			if *simulate {
				fmt.Print(simRows(k, b, cells))
			}
		}
	}
}

func simRows(k, b int, cells []simCell) string {
	var s strings.Builder
	for p, c := range cells[:3] {
		fmt.Fprintf(&s, "A | %d | %d | %s |", k, b, simPatterns[p].name)
		for m := range simCount {
			if c.width[m] > 1e9 {
				s.WriteString(" – |")
				continue
			}
			fmt.Fprintf(&s, " %.1f (%.2f) |", 100*c.rate(m), c.width[m]/c.width[simRule])
		}
		fmt.Fprintf(&s, " %.2f |\n", c.width[simRule])
	}
	fmt.Fprintf(&s, "B | %d | %d |", k, b)
	for _, c := range cells {
		fmt.Fprintf(&s, " %.2f |", 100*c.rate(simRule))
	}
	s.WriteString("\n")
	return s.String()
}
