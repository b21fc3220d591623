package plan

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// Needed is how many burns of each entry show a difference, in what the trial is
// judged by. Least goes with the low end of the scatter and Most with the high
// one; neither is below 3, under which no verdict is given.
type Needed struct {
	Difference quantity.Ratio `json:"difference"`
	Pairs      int            `json:"pairs"`   // compared together; 0 for one entry, which is compared with a figure that stands
	Low        quantity.Ratio `json:"cv_low"`  // scatter of one entry's burns, as coefficient of variation
	High       quantity.Ratio `json:"cv_high"` // the same, at its high end
	DF         float64        `json:"df"`      // degrees of freedom behind Low, where burns gave it, and High is its 80 % upper limit; else 0
	Least      int            `json:"least"`
	Most       int            `json:"most"`
}

// Sentence says it in words.
func (n Needed) Sentence() string {
	of := "each entry"
	if n.Pairs == 0 {
		of = "the entry"
	}
	return fmt.Sprintf("%s burns of %s show a difference of %s where burns of one entry scatter by %s",
		span(n.Least, n.Most), of, percent(n.Difference), n.scatter())
}

// scatter says how much burns scatter, and who says so.
func (n Needed) scatter() string {
	switch {
	case n.Low == n.High:
		return percent(n.Low) + " (as the tester expects)"
	case n.DF > 0:
		return fmt.Sprintf("%s to %s (from the trial's own burns)", tenths(n.Low), percent(n.High))
	}
	return fmt.Sprintf("%s to %s (common practice, no source)", tenths(n.Low), percent(n.High))
}

func span(low, high int) string {
	if low == high {
		return fmt.Sprint(low)
	}
	return fmt.Sprintf("%d to %d", low, high)
}

// percent prints a share to the tenth of a per cent at most: "5 %", "3.4 %".
func percent(r quantity.Ratio) string { return tenths(r) + " %" }

func tenths(r quantity.Ratio) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", 100*float64(r)), ".0")
}

// spread is the standard deviation of logarithms within one entry: what it may
// be, and the degrees of freedom behind low, 0 where it was not estimated.
type spread struct{ low, high, df float64 }

// The scatter to plan with where nobody knows better: careful indoor repeats
// and usual ones (common practice, no source).
const careful, usual = 0.03, 0.08

// logSD is the standard deviation of the logarithm of a lognormal value with
// coefficient of variation cv, √ln(1+cv²); logCV is its inverse.
//
// Source: Johnson, Kotz, Balakrishnan 1994, Continuous Univariate
// Distributions, vol. 1, ch. 14 (from memory).
func logSD(cv float64) float64 { return math.Sqrt(math.Log1p(cv * cv)) }
func logCV(sd float64) float64 { return math.Sqrt(math.Expm1(sd * sd)) }

// scatter is the tester's expectation; else what the trial's burns show on at
// least 2 degrees of freedom, up to its 80 % upper limit; else the usual range.
func scatter(r *trial.Reduced, w Wish) (spread, error) {
	if w.CV > 0 {
		sd := logSD(float64(w.CV))
		return spread{low: sd, high: sd}, nil
	}
	sd, nu, err := stats.Pooled(repeats(r))
	if err != nil || nu < 2 {
		return spread{low: logSD(careful), high: logSD(usual)}, nil
	}
	high, err := stats.UpperSD(sd, nu, 0.8)
	return spread{sd, high, nu}, err
}

// repeats summarises the burns of each entry at each set of levels, on the log
// scale of what the trial is judged by. Days are not taken apart: what they add
// to the scatter makes the plan longer, never shorter.
func repeats(r *trial.Reduced) []stats.Summary {
	metric, fallback := reduce.RefTime, reduce.BoilTime
	if r.Settings.JudgeBy == trial.LeastFuel {
		metric, fallback = reduce.RefFuel, reduce.FuelToBoil
	}
	if logs := logsOf(r, metric); len(logs) > 0 {
		return logs
	}
	return logsOf(r, fallback)
}

func logsOf(r *trial.Reduced, m reduce.Metric) []stats.Summary {
	logs := map[string][]float64{}
	for i := range r.Results {
		b := &r.Results[i]
		f, ok := b.Result.Figure(m)
		if !ok || b.Void != "" || f.Bound != reduce.Exact || f.Estimated || f.OutOfRange || f.Value <= 0 {
			continue
		}
		if m.Info().Kind == reduce.Mass && b.Result.FuelBy == burn.Prorated {
			continue
		}
		key := fmt.Sprint(b.Entry, b.Levels) // fmt prints maps in the order of their keys
		logs[key] = append(logs[key], math.Log(f.Value))
	}
	var all []stats.Summary
	for _, key := range slices.Sorted(maps.Keys(logs)) {
		all = append(all, stats.Summarize(logs[key]))
	}
	return all
}

// comparison is how entries will be compared: all pairs, at the error rate of
// all together.
type comparison struct {
	entries      int
	alpha, power float64
}

func (c comparison) pairs() int { return c.entries * (c.entries - 1) / 2 }

// of returns the test to plan for when burns of one entry scatter by sd on the
// log scale.
//
// Two entries are judged by the differences within blocks, whose standard
// deviation is √2·sd; one entry by a t test against a figure that stands. Both
// are a test of one group, which is a plan whose second group does not scatter.
// More entries: Welch with Bonferroni's allowance for all pairs, close to what
// the blocked comparison of all pairs needs.
func (c comparison) of(difference, sd float64) stats.Plan {
	p := stats.Plan{Difference: difference, SDA: sd, Alpha: c.alpha, Comparisons: max(1, c.pairs())}
	switch c.entries {
	case 1:
	case 2:
		p.SDA = math.Sqrt2 * sd
	default:
		p.SDB = sd
	}
	return p
}

func (c comparison) needed(s spread, difference quantity.Ratio) (Needed, error) {
	n := Needed{Difference: difference, Pairs: c.pairs(), Low: quantity.Ratio(logCV(s.low)), High: quantity.Ratio(logCV(s.high)), DF: s.df}
	for _, end := range []struct {
		sd    float64
		burns *int
	}{{s.low, &n.Least}, {s.high, &n.Most}} {
		needed, err := c.of(math.Log1p(float64(difference)), end.sd).Needed(c.power)
		if errors.Is(err, stats.ErrOutOfRange) { // all else was checked before
			return n, fmt.Errorf("more than 10000 burns of each entry are needed to show a difference of %g %% where burns of one entry scatter by %s: ask for a larger difference",
				100*difference, percent(quantity.Ratio(logCV(end.sd))))
		}
		if err != nil {
			return n, fmt.Errorf("burns needed: %w", err)
		}
		*end.burns = max(fewest, needed)
	}
	return n, nil
}

// shown is the smallest difference, as a share, that n burns of each entry find
// with the wanted chance. n must be 2 or more.
func (c comparison) shown(n int, sd float64) (quantity.Ratio, error) {
	reached := func(difference float64) (bool, error) {
		p, err := c.of(difference, sd).Power(n, n)
		return p >= c.power, err
	}
	short, enough := 0.0, sd
	for {
		ok, err := reached(enough)
		if err != nil {
			return 0, err
		}
		if ok {
			break
		}
		short, enough = enough, 2*enough
	}
	for enough-short > 1e-6*enough {
		middle := (short + enough) / 2
		if ok, err := reached(middle); err != nil {
			return 0, err
		} else if ok {
			enough = middle
		} else {
			short = middle
		}
	}
	return quantity.Ratio(math.Expm1(enough)), nil
}
