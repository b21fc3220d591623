package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// TestBlockedSimulationLayouts does the same for missing and repeated cells and
// for an extra variance of each pair, whose width BlockedPairs adds in quadrature.
func TestBlockedSimulationLayouts(t *testing.T) {
	trials, sure := 1_000, 4.0
	if *simulate {
		trials, sure = 20_000, 3
	}
	type cell struct {
		k, b    int
		missing int // one cell of each of the first groups, along the diagonal
		extra   float64
	}
	cells := []cell{{4, 4, 2, 0}, {4, 4, 0, 1}}
	if *simulate {
		cells = append(cells, []cell{
			{3, 4, 1, 0}, {4, 3, 1, 0}, {6, 5, 3, 0}, {8, 3, 2, 0}, {8, 6, 6, 0}, {4, 4, -4, 0},
			{3, 3, 0, 1}, {4, 4, 0, 0.25}, {4, 4, 0, 4}, {8, 3, 0, 1}, {8, 8, 0, 4},
		}...)
	}
	for _, c := range cells {
		layout, null := simLayout(t, c.k, c.b, c.missing)
		row := fmt.Sprintf("C | %d | %d | %d | %g | %.2f |", c.k, c.b, c.missing, c.extra, null.quantile(0.05))
		for p, pattern := range simPatterns[:7] {
			rng := rand.New(rand.NewPCG(simSeed, uint64(p)))
			wrong := simLayoutErrors(layout, null, simExtra{rng, pattern.sd, c.extra / float64(c.b), trials})
			rate := float64(wrong) / float64(trials)
			row += fmt.Sprintf(" %.1f |", 100*rate)
			if limit := 0.05 + sure*math.Sqrt(0.05*0.95*(1/float64(trials)+1.0/blockDraws)); rate > limit {
				t.Errorf("%+v, spreads %s: rule errs in %.2f %%, expected at most %.2f %%", c, pattern.name, 100*rate, 100*limit)
			}
		}
		if *simulate {
			fmt.Println(row)
		}
	}
}

// simLayout lays out k groups in b blocks, without one cell for each of the
// first groups (or with one repeated, for a negative number).
func simLayout(t *testing.T, k, b, missing int) (*blockLayout, blockNull) {
	var d Blocked
	rng := rand.New(rand.NewPCG(simSeed, 1))
	for g := range k {
		for c := range b {
			copies := 1
			switch {
			case g < missing && c == g%b:
				copies = 0
			case g < -missing && c == g%b:
				copies = 2
			}
			for range copies {
				d.Values, d.Group, d.Block = append(d.Values, rng.NormFloat64()), append(d.Group, g), append(d.Block, c)
			}
		}
	}
	fit, err := FitBlocks(d)
	if err != nil {
		t.Fatal(err)
	}
	layout := newBlockLayout(fit)
	return layout, layout.null(simSeed)
}

type simExtra struct {
	rng    *rand.Rand
	sd     func(g, k int) float64
	extra  float64 // variance of one pair, in half from each of its groups
	trials int
}

func simLayoutErrors(l *blockLayout, null blockNull, s simExtra) (wrong int) {
	multiple, known := null.quantile(0.05), null.rangeMultiple(0.05)
	sd, shift := make([]float64, l.groups), make([]float64, l.groups)
	for g := range sd {
		sd[g] = s.sd(g, l.groups)
	}
	trial := l.trial(sd)
	for range s.trials {
		trial.draw(s.rng)
		for g := range shift {
			shift[g] = math.Sqrt(s.extra/2) * s.rng.NormFloat64()
		}
		miss := false
		for i := range l.groups {
			for j := i + 1; j < l.groups && !miss; j++ {
				d := trial.effects[i] + shift[i] - trial.effects[j] - shift[j]
				miss = math.Abs(d) > halfWidth(multiple, known, l.pairVariance(i, j, trial.squares), s.extra)
			}
		}
		wrong += int(one(miss))
	}
	return wrong
}
