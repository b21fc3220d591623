package verdict

import (
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

// collect reads the sample of an axis, with what was left out and why. It
// falls back to the raw metric when no burn could be corrected.
func collect(r *trial.Reduced, kind axisKind) (s sample, metric reduce.Metric, notes []string) {
	metric = kind.fallback
	for i := range r.Results {
		if f, ok := r.Results[i].Result.Figure(kind.metric); ok && !f.OutOfRange {
			metric = kind.metric
		}
	}
	s.entries = entryNames(r.Trial)
	left := map[string][]string{}
	for i := range r.Results {
		b := &r.Results[i]
		v, why := readValue(b, kind, metric)
		if why != "" {
			left[why] = append(left[why], b.ID)
			continue
		}
		if v.entry = slices.Index(s.entries, b.Entry); v.entry < 0 {
			left["entry not listed"] = append(left["entry not listed"], b.ID)
			continue
		}
		s.values = append(s.values, v)
	}
	if s.measuredSuffice() {
		for _, v := range s.values {
			if v.prorated {
				left[proratedReason] = append(left[proratedReason], v.burn)
			}
		}
		s = s.without(func(v value) bool { return v.prorated })
	}
	for _, why := range slices.Sorted(maps.Keys(left)) {
		notes = append(notes, fmt.Sprintf("not counted here: %s (%s)", burnList(left[why]), why))
	}
	return s, metric, notes
}

const proratedReason = "fuel to boil only prorated, and enough burns weighed it"

// measuredSuffice reports whether every entry that has values has three or
// more that were weighed to the boil. Prorated ones are then left out: they
// bring an error of their entry's own that no repeat shrinks.
func (s sample) measuredSuffice() bool {
	measured, entries := map[int]int{}, map[int]bool{}
	for _, v := range s.values {
		entries[v.entry] = true
		if !v.prorated && !v.estimated {
			measured[v.entry]++
		}
	}
	for e := range entries {
		if measured[e] < 3 {
			return false
		}
	}
	return true
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
		return v, "outside the range of the correction"
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

// blockOf is the block of a burn: the day, and the level of a crossed factor,
// so that entries are compared under like conditions.
func blockOf(r burn.Record) string {
	if r.Block == "" {
		return ""
	}
	parts := []string{r.Block}
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
// blocks to use: a value without one, or fewer than two.
func (s sample) blocked(entries []int) (stats.Blocked, []int, bool) {
	var d stats.Blocked
	var at []int
	blocks := map[string]int{}
	for i, v := range s.values {
		group := slices.Index(entries, v.entry)
		if group < 0 || math.IsInf(v.log, 1) {
			continue
		}
		if v.block == "" {
			return stats.Blocked{}, nil, false
		}
		if _, ok := blocks[v.block]; !ok {
			blocks[v.block] = len(blocks)
		}
		d.Values = append(d.Values, v.log)
		d.Group = append(d.Group, group)
		d.Block = append(d.Block, blocks[v.block])
		at = append(at, i)
	}
	return d, at, len(blocks) >= 2
}

// burnList names burns: "burn 7", "burns 3, 7 and 9".
func burnList(ids []string) string {
	if len(ids) == 1 {
		return "burn " + ids[0]
	}
	return "burns " + listWords(ids, "and")
}

// listWords joins words as a sentence does: "a", "a and b", "a, b and c".
func listWords(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}
