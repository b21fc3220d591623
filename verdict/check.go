package verdict

import (
	"fmt"
	"math"
	"slices"

	"fairburn/stats"
)

// bootstrapDraws is how many resamples stand behind a BCa interval.
const bootstrapDraws = 10_000

// checkByLess runs ranks, which assume less, beside each pair that was compared
// by means. They contradict only if their estimate has the other sign or their
// interval, at the confidence it can reach, excludes the main estimate. With
// eight burns or more of every entry and no blocks a bootstrap interval stands
// beside; being about the same means it cannot contradict them.
func (c *comparison) checkByLess(s sample, r rules) {
	boots := c.resample(s, r)
	for i := range c.pairs {
		p := &c.pairs[i]
		if p.Ranked || p.Lo == 0 {
			continue
		}
		said, contradicts := c.ranks(s, *p, r)
		if boots != nil {
			said += "; " + bootstrap(boots[slices.Index(c.active, p.i)], boots[slices.Index(c.active, p.j)], r)
		}
		p.Check = said
		if contradicts && p.Class.Decided() {
			c.distrust(p, "the method of comparison")
		}
	}
}

// resample draws bootstrap means once for all active entries, when every one
// has enough burns for them to mean something.
func (c *comparison) resample(s sample, r rules) []stats.Resampled {
	var samples [][]float64
	for _, e := range c.active {
		if c.blocked || len(s.of(e)) < stats.MinBootstrap {
			return nil
		}
		samples = append(samples, s.of(e))
	}
	boots, err := stats.ResampleMeans(samples, stats.Resampling{Draws: bootstrapDraws, Seed: r.seed})
	if err != nil {
		return nil
	}
	return boots
}

func bootstrap(a, b stats.Resampled, r rules) string {
	boot, err := a.Minus(b, r.level)
	if err != nil {
		return "the bootstrap could not be run: " + err.Error()
	}
	return ratioWords("bootstrap", boot.Estimate, boot.Interval)
}

// ranks is what ranks say of a pair, in words, and whether that contradicts
// the main estimate. Where a pair is equal in practice, on which side of no
// difference an estimate falls means nothing.
func (c *comparison) ranks(s sample, p Pair, r rules) (string, bool) {
	name, shift, err := c.shift(s, p, r.level)
	if err != nil {
		return "ranks could not be compared: " + err.Error(), false
	}
	main, sided := math.Log(p.Ratio), p.Class != EqualInPractice
	contradicts := sided && shift.Estimate*main < 0 || !shift.Contains(main)
	words := ratioWords(name, shift.Estimate, shift.Interval)
	if contradicts {
		words += ", which contradicts the main result"
	}
	if shift.Reached < r.level {
		words += fmt.Sprintf("; with so few burns they reach %.1f %% at most, so they cannot speak at %.0f %%", shift.Reached*100, r.level*100)
	}
	return words, contradicts
}

func (c *comparison) shift(s sample, p Pair, level float64) (string, stats.Shift, error) {
	if d, _, ok := s.blocked([]int{p.i, p.j}); ok && c.blocked {
		shift, err := stats.SignedRankShift(d.Within(0, 1), level)
		return "ranks within blocks", shift, err
	}
	shift, err := stats.ShiftBetween(s.of(p.i), s.of(p.j), level)
	return "ranks", shift, err
}

func ratioWords(name string, estimate float64, iv stats.Interval) string {
	return fmt.Sprintf("%s: ratio %.3f (%.3f to %.3f)", name, math.Exp(estimate), math.Exp(iv.Lo), math.Exp(iv.Hi))
}
