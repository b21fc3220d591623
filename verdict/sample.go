package verdict

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/reduce"
	"fairburn/stats"
	"fairburn/trial"
)

// sample is what an axis compares: one value a burn, on the log scale, with
// the entry and block it belongs to. It is a plain value: a question "and
// without burn 7?" is another sample.
type sample struct {
	entries []string
	values  []value
}

// value is one burn on an axis. log is +Inf for a burn that did not boil, on a
// time axis.
type value struct {
	entry     int
	block     string
	burn      string
	status    reduce.Status
	log       float64
	estimated bool
	prorated  bool
	shared    map[string]float64 // relative contributions of shared inputs
}

// axisKind says how an axis reads a burn.
type axisKind struct {
	metric   reduce.Metric
	fallback reduce.Metric // as measured, where nothing can be corrected
	name     string
	timed    bool // a burn that did not boil counts as never
}

var (
	speed = axisKind{reduce.RefTime, reduce.BoilTime, "time to boil, from light", true}
	fuel  = axisKind{reduce.RefFuel, reduce.FuelToBoil, "fuel to boil, as energy", false}
)

// collect reads the sample of an axis, with what was left out and why.
func collect(r *trial.Reduced, kind axisKind) (s sample, metric reduce.Metric, notes []string) {
	metric, why := kind.choose(r)
	if why != "" {
		notes = append(notes, why)
	}
	s.entries = entryNames(r.Trial)
	left := map[string][]string{}
	for i := range r.Results {
		b := &r.Results[i]
		v, why := readValue(b, kind, metric)
		if v.entry = slices.Index(s.entries, b.Entry); v.entry < 0 {
			why = "entry not listed"
		}
		if why != "" {
			left[why] = append(left[why], b.ID)
			continue
		}
		s.values = append(s.values, v)
	}
	weighed := s.weighed()
	s = s.without(func(v value) bool {
		drop := v.prorated && weighed[v.entry] >= leastBurns
		if drop {
			left[proratedReason] = append(left[proratedReason], v.burn)
		}
		return drop
	})
	for _, why := range slices.Sorted(maps.Keys(left)) {
		notes = append(notes, fmt.Sprintf("not counted here: %s (%s)", trial.NameBurns(left[why]), why))
	}
	return s, metric, notes
}

// choose returns the metric to compare, and why it is the one as measured: no
// burn, or none of some entry that has it as measured, could be brought to
// reference conditions. Corrected and measured figures are never mixed.
func (k axisKind) choose(r *trial.Reduced) (reduce.Metric, string) {
	inRange := false
	measured, corrected := map[string]bool{}, map[string]bool{}
	for i := range r.Results {
		b := &r.Results[i]
		if b.Void != "" || b.Result.Status == reduce.Invalid {
			continue
		}
		if f, ok := b.Result.Figure(k.fallback); ok && f.Bound == reduce.Exact {
			measured[b.Entry] = true
		}
		if f, ok := b.Result.Figure(k.metric); ok && f.Bound == reduce.Exact {
			corrected[b.Entry] = true
			inRange = inRange || !f.OutOfRange
		}
	}
	if len(measured) == 0 {
		return k.metric, ""
	}
	if !inRange {
		return k.fallback, "compared as measured: no burn could be brought to reference conditions"
	}
	for _, name := range entryNames(r.Trial) {
		if measured[name] && !corrected[name] {
			return k.fallback, fmt.Sprintf("compared as measured: no burn of %s could be brought to reference conditions", name)
		}
	}
	return k.metric, ""
}

const proratedReason = "fuel to boil only prorated, and enough burns weighed it"

// weighed counts each entry's burns that weighed the fuel to boil. Where they
// are enough, its prorated ones are left out: they bring an error of their
// entry's own that no repeat shrinks.
func (s sample) weighed() map[int]int {
	n := map[int]int{}
	for _, v := range s.values {
		if !v.prorated && !v.estimated {
			n[v.entry]++
		}
	}
	return n
}

func entryNames(t *trial.Trial) []string {
	names := make([]string, len(t.Entries))
	for i, e := range t.Entries {
		names[i] = e.Name
	}
	return names
}

// readValue is one burn's value on an axis, or why it has none.
func readValue(b *trial.Burned, kind axisKind, metric reduce.Metric) (value, string) {
	r := &b.Result
	v := value{block: blockOf(b.Record), burn: b.ID, status: r.Status}
	switch {
	case b.Void != "":
		return v, "void: " + b.Void
	case r.Status == reduce.Invalid:
		return v, "fault before the boil, or outcome unknown"
	case kind.timed && r.Status == reduce.NoBoil && metric == kind.metric && outOfRange(r, metric):
		return v, outOfRangeReason
	case kind.timed && r.Status == reduce.NoBoil:
		v.log = math.Inf(1)
		return v, ""
	case kind.timed && r.Status == reduce.RightCensored:
		return v, "stopped by the tester before a boil"
	}
	f, ok := r.Figure(metric)
	switch {
	case !ok:
		return v, "readings missing"
	case f.Bound != reduce.Exact:
		return v, "fuel to boil not weighed"
	case f.OutOfRange:
		return v, outOfRangeReason
	case !(f.Value > 0):
		return v, "not above zero"
	}
	v.log, v.estimated = math.Log(f.Value), f.Estimated
	v.prorated = !kind.timed && !f.Estimated && r.FuelBy == burn.Prorated
	if budget, ok := r.Budget(metric); ok {
		if log, err := budget.Log(); err == nil {
			v.shared = log.Shared()
		}
	}
	return v, ""
}

const outOfRangeReason = "outside the range of the correction"

// outOfRange reports whether a burn lies outside the range of a correction,
// also where it has no figure to correct: a burn that did not boil is left out
// for what a boil would be left out for, and for nothing else.
func outOfRange(r *reduce.Result, metric reduce.Metric) bool {
	f, _ := r.Figure(metric)
	return f.OutOfRange
}

// blockOf is the block of a burn: the day, and the level of a crossed factor,
// so that entries are compared under like conditions.
func blockOf(r burn.Record) string {
	var parts []string
	if r.Block != "" {
		parts = append(parts, r.Block)
	}
	for _, name := range slices.Sorted(maps.Keys(r.Levels)) {
		parts = append(parts, r.Levels[name])
	}
	return strings.Join(parts, " / ")
}

// of returns the logs of an entry's finite values.
func (s sample) of(entry int) []float64 {
	var logs []float64
	for _, v := range s.values {
		if v.entry == entry && !math.IsInf(v.log, 1) {
			logs = append(logs, v.log)
		}
	}
	return logs
}

// times returns every value of an entry as a time, +Inf for never.
func (s sample) times(entry int) []float64 {
	var ts []float64
	for _, v := range s.values {
		if v.entry == entry {
			ts = append(ts, math.Exp(v.log))
		}
	}
	return ts
}

// count is the number of an entry's values, burns that did not boil included.
func (s sample) count(entry int) int { return len(s.times(entry)) }

// order sorts entries by the mean of their finite values, so that in which
// order they are listed changes no digit of what is drawn at random.
func (s sample) order(entries []int) {
	slices.SortStableFunc(entries, func(a, b int) int {
		return cmp.Compare(stats.Summarize(s.of(a)).Mean, stats.Summarize(s.of(b)).Mean)
	})
}

// noBoils counts an entry's burns that did not boil, on a time axis.
func (s sample) noBoils(entry int) int {
	n := 0
	for _, v := range s.values {
		if v.entry == entry && math.IsInf(v.log, 1) {
			n++
		}
	}
	return n
}

// without returns the sample less the values for which drop is true.
func (s sample) without(drop func(value) bool) sample {
	s.values = slices.DeleteFunc(slices.Clone(s.values), drop)
	return s
}

// sharedOf is the mean relative contribution of each shared input to an entry.
func (s sample) sharedOf(entry int) map[string]float64 {
	mean := map[string]float64{}
	n := 0.0
	for _, v := range s.values {
		if v.entry != entry || math.IsInf(v.log, 1) {
			continue
		}
		n++
		for key, c := range v.shared {
			mean[key] += c
		}
	}
	for key := range mean {
		mean[key] /= n
	}
	return mean
}

// extra returns the variance that inputs not shared by two entries bring to
// their difference: same bottle, scale and probe cancel.
func (s sample) extra() stats.ExtraVar {
	parts := make([]map[string]float64, len(s.entries))
	for i := range parts {
		parts[i] = s.sharedOf(i)
	}
	return func(i, j int) float64 {
		sum := 0.0
		for _, key := range slices.Sorted(maps.Keys(union(parts[i], parts[j]))) {
			d := parts[i][key] - parts[j][key]
			sum += d * d
		}
		return sum
	}
}

func union(a, b map[string]float64) map[string]bool {
	keys := map[string]bool{}
	for k := range a {
		keys[k] = true
	}
	for k := range b {
		keys[k] = true
	}
	return keys
}

// blocked returns the finite values of the entries as a blocked layout, with
// the index of each value in the sample, and false when the trial has no
// blocks to use: a value without one, or fewer than two. Blocks are numbered by
// name.
func (s sample) blocked(entries []int) (stats.Blocked, []int, bool) {
	var d stats.Blocked
	var at []int
	names := map[string]bool{}
	for i, v := range s.values {
		group := slices.Index(entries, v.entry)
		if group < 0 || math.IsInf(v.log, 1) {
			continue
		}
		if v.block == "" {
			return stats.Blocked{}, nil, false
		}
		names[v.block] = true
		d.Values, d.Group, at = append(d.Values, v.log), append(d.Group, group), append(at, i)
	}
	blocks := slices.Sorted(maps.Keys(names))
	for _, i := range at {
		n, _ := slices.BinarySearch(blocks, s.values[i].block)
		d.Block = append(d.Block, n)
	}
	return d, at, len(blocks) >= 2
}

// listWords joins words as a sentence does: "a", "a and b", "a, b and c".
func listWords(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}
