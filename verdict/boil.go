package verdict

import (
	"fmt"
	"math"

	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// boilsOf states how surely each entry boils, as run: times as measured, none
// left out for the range of a correction. Burns stopped by the tester, faulty or
// void ones say nothing about it.
func boilsOf(t *trial.Reduced, r rules) []Boils {
	var all []Boils
	for _, name := range entryNames(t.Trial) {
		times := timesAsRun(t, name)
		b := Boils{Entry: name, Tried: len(times)}
		for _, s := range times {
			if !math.IsInf(s, 1) {
				b.Boils++
			}
		}
		if b.Tried > 0 {
			b.Median = stats.Median(times)
			b.rate(r)
			b.capped(times, r)
			b.lasting(t, name, r)
		}
		all = append(all, b)
	}
	return all
}

// timesAsRun are the times from light of an entry's burns, +Inf for never.
func timesAsRun(t *trial.Reduced, entry string) []float64 {
	var times []float64
	for _, b := range t.Of(entry) {
		f, timed := b.Result.Figure(reduce.BoilTime)
		switch {
		case b.Result.Status == reduce.NoBoil:
			times = append(times, math.Inf(1))
		case b.Result.Status.HasBoil() && timed:
			times = append(times, f.Value)
		}
	}
	return times
}

func (b *Boils) proportion() stats.Proportion { return stats.Proportion{S: b.Boils, N: b.Tried} }

func (b *Boils) rate(r rules) {
	b.Share = b.proportion().Next()
	if iv, err := b.proportion().Jeffreys(r.level); err == nil {
		b.Lo, b.Hi = iv.Lo, iv.Hi
	}
}

// capped is the mean of min(T, cap), an ordinary mean.
func (b *Boils) capped(times []float64, r rules) {
	capped, err := stats.Capped(times, r.cap)
	if err != nil {
		return
	}
	summary := stats.Summarize(capped)
	b.CappedMean = summary.Mean
	if iv, err := stats.MeanInterval(summary, r.level); err == nil {
		b.CappedLo, b.CappedHi = iv.Lo, iv.Hi
	}
}

// lasting is the median had the fuel lasted, flame-out taken as censoring. On
// a fixed dose that is only about right while most burns boil: slow burns have
// both times long, so it is not given under a half and warned of under four
// fifths.
func (b *Boils) lasting(t *trial.Reduced, entry string, r rules) {
	if b.Boils == b.Tried || 2*b.Boils < b.Tried {
		return
	}
	var seen []stats.Observed
	for _, burned := range t.Of(entry) {
		res := burned.Result
		switch {
		case res.Status.HasBoil():
			seen = append(seen, stats.Observed{Time: res.Outcome.Boil.Seconds(), Event: true})
		case res.Status == reduce.NoBoil || res.Status == reduce.RightCensored:
			seen = append(seen, stats.Observed{Time: res.Outcome.Censor.Seconds()})
		}
	}
	curve, err := stats.KaplanMeier(seen)
	if err != nil {
		return
	}
	median, _, err := curve.Median(r.level)
	if err != nil || math.IsInf(median, 1) {
		return
	}
	b.FuelLasted = median
	if 5*b.Boils < 4*b.Tried {
		b.Warn = "fewer than four fifths of the burns boiled, so a median had the fuel lasted reads high"
	}
}

// concludeSurest writes the verdict where the boil itself is what decides:
// Fisher's exact test for every pair, Holm's allowance for all.
func (v *Verdict) concludeSurest(r rules) {
	var ps []float64
	var pairs [][2]int
	reachable := false
	for i := range v.Boils {
		for j := i + 1; j < len(v.Boils); j++ {
			a, b := v.Boils[i].proportion(), v.Boils[j].proportion()
			p, err := stats.FisherExact(a, b)
			if err != nil {
				p = 1 // an entry without a burn still counts in the allowance
			}
			ps, pairs = append(ps, p), append(pairs, [2]int{i, j})
			reachable = reachable || fisherReaches(a, b, (1-r.level)/float64(len(v.Boils)*(len(v.Boils)-1)/2))
		}
	}
	out := map[int]bool{}
	for n, p := range stats.Holm(ps) {
		i, j := pairs[n][0], pairs[n][1]
		if p > 1-r.level {
			continue
		}
		if v.Boils[i].Boils*v.Boils[j].Tried > v.Boils[j].Boils*v.Boils[i].Tried {
			i, j = j, i
		}
		out[i] = true
		v.Because = append(v.Because, fmt.Sprintf("%s boiled more surely than %s (exact p %.2g, allowing for all pairs)", v.Boils[j].Entry, v.Boils[i].Entry, p))
	}
	var in []string
	for i, b := range v.Boils {
		if !out[i] {
			in = append(in, fmt.Sprintf("%s (%d of %d)", b.Entry, b.Boils, b.Tried))
		}
	}
	v.saySurest(in, reachable)
}

// fisherReaches reports whether the most one-sided outcome of so many burns,
// all of one and none of the other, would show a difference at alpha.
func fisherReaches(a, b stats.Proportion, alpha float64) bool {
	p, err := stats.FisherExact(stats.Proportion{S: a.N, N: a.N}, stats.Proportion{N: b.N})
	return err == nil && min(a.N, b.N) >= leastBurns && p <= alpha
}

func (v *Verdict) saySurest(in []string, reachable bool) {
	switch {
	case len(v.Boils) < 2:
		v.Class, v.Sentence = TooFew, oneEntry
	case !reachable:
		v.Class, v.Sentence = TooFew, fmt.Sprintf("Too few burns to say which boils most surely: %s; with so few even all against none would show nothing.", listWords(in, "and"))
	case len(in) == len(v.Boils):
		v.Class, v.Sentence = NotSettled, fmt.Sprintf("Not settled on the surest boil: %s; exact tests tell no two of them apart.", listWords(in, "and"))
	case len(in) == 1:
		v.Class, v.Sentence = Different, fmt.Sprintf("%s boils most surely on this dose.", in[0])
	default:
		v.Class, v.Sentence = NotSettled, fmt.Sprintf("Not settled on the surest boil: %s may be; the rest are ruled out.", listWords(in, "or"))
	}
}
