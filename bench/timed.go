package bench

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

// longestBurn is how long after light a moment is taken to be of the same flame.
const longestBurn = 24 * time.Hour

// timed returns a burn with the moments that were pressed for it. What its own
// record says leads. Moments that contradict each other are left out, and a
// finding says so; without one light there is no time at all.
func (b *Bench) timed(of string, own burn.Record) (burn.Record, []finding.Finding) {
	if len(b.index.marks[of]) == 0 {
		return own, nil
	}
	holds, fs := b.holding(of)
	lit := slices.IndexFunc(holds, func(m Moment) bool { return m.What == string(burn.Light) })
	if lit < 0 {
		return own, append(fs, lightless(own, holds, fs)...)
	}
	light, r := holds[lit].At, own
	if r.Marks, r.Faults = maps.Clone(own.Marks), slices.Clone(own.Faults); r.Marks == nil {
		r.Marks = map[burn.Mark]quantity.Reading[time.Duration]{}
	}
	for _, m := range holds {
		what, after := burn.Mark(m.What), m.At.Sub(light)
		if what == burn.Light || own.Marks[what].Given {
			continue
		}
		if after < 0 || after > longestBurn {
			fs = append(fs, outside(own, m, after))
			continue
		}
		at := sinceLight(after)
		switch fault := (burn.Fault{Kind: burn.FaultKind(m.What), At: at}); {
		case isMark(m.What):
			r.Marks[what] = at // of looks at water that does not boil yet the last
		case !hasFault(r.Faults, fault):
			r.Faults = append(r.Faults, fault)
		}
	}
	return r, fs
}

// holding lists the marks and faults of a burn that hold, in order of time: of
// those that agree the first.
func (b *Bench) holding(of string) ([]Moment, []finding.Finding) {
	var holds []Moment
	var fs []finding.Finding
	for _, subject := range slices.Sorted(slices.Values(b.index.marks[of])) {
		_, what := splitMark(subject)
		if !isMark(what) && !isFault(what) {
			continue
		}
		var each []Moment
		live := b.standingMarks(b.fold.State(markName, subject).Live)
		for _, f := range live {
			each = append(each, momentOf(what, f))
		}
		sortMoments(each)
		switch {
		case !agree(live):
			fs = append(fs, disagreement(of, each))
		case len(each) > 0:
			holds = append(holds, each[0])
		}
	}
	sortMoments(holds)
	return holds, fs
}

// lightless says that moments have no time because light was not marked.
func lightless(own burn.Record, holds []Moment, fs []finding.Finding) []finding.Finding {
	var whats []string
	for _, m := range holds {
		if !own.Marks[burn.Mark(m.What)].Given {
			whats = append(whats, burn.Mark(m.What).Label())
		}
	}
	disputed := func(f finding.Finding) bool { return f.Where.Field == string(burn.Light) }
	if len(whats) == 0 || slices.ContainsFunc(fs, disputed) {
		return nil
	}
	return []finding.Finding{{Code: "light_not_marked", Severity: finding.Caution, Where: finding.Place{Subject: "burn " + own.ID, Field: string(burn.Light)},
		Sentence: "light was not marked, so these have no time and are not used: " + strings.Join(whats, ", "),
		Remedy:   "mark light as so many seconds ago, or write the times down on the page of the burn"}}
}

// outside says that a moment lies before light, or too long after it.
func outside(own burn.Record, m Moment, after time.Duration) finding.Finding {
	how, by := "before", -after
	if after > 0 {
		how, by = "after", after
	}
	what := burn.Mark(m.What)
	return finding.Finding{Code: "mark_outside_burn", Severity: finding.Caution, Where: finding.Place{Subject: "burn " + own.ID, Field: m.What},
		Sentence: fmt.Sprintf("%s was marked %s %s light and is not used; expected within %.0f h after it", what.Label(), quantity.FormatDuration(by, 1), how, longestBurn.Hours()),
		Remedy:   "take the mark back, or correct the time of light, on the page of the burn"}
}

// disagreement says which moments contradict each other.
func disagreement(of string, rivals []Moment) finding.Finding {
	var each []string
	for _, m := range rivals {
		each = append(each, m.At.Format("15:04:05.0")+" by "+cmp.Or(m.Device, m.Tester))
	}
	what := burn.Mark(rivals[0].What)
	return finding.Finding{Code: "marks_disagree", Severity: finding.Caution, Where: finding.Place{Subject: "burn " + idOf(of), Field: string(what)},
		Sentence: fmt.Sprintf("%s was marked at different times and none of them is used: %s", what.Label(), strings.Join(each, "; ")),
		Remedy:   "choose one on the page of the burn"}
}

// sinceLight is a time after light as a person would write it, to a tenth of a
// second. It is within longestBurn.
func sinceLight(after time.Duration) quantity.Reading[time.Duration] {
	r, err := quantity.ParseDuration(quantity.FormatDuration(after, 1))
	if err != nil {
		panic(err) // what FormatDuration writes ParseDuration reads
	}
	return r
}

// hasFault reports whether a fault is among others, as a sheet writes them.
func hasFault(faults []burn.Fault, f burn.Fault) bool {
	return slices.ContainsFunc(faults, func(g burn.Fault) bool { return g.Kind == f.Kind && g.At.Text == f.At.Text })
}

// untimed takes from a burn the moments that were pressed for it and that its
// own record need not repeat.
func (b *Bench) untimed(of string, r, own burn.Record) burn.Record {
	full, _ := b.timed(of, own)
	r.Marks = maps.Clone(r.Marks)
	maps.DeleteFunc(r.Marks, func(what burn.Mark, at quantity.Reading[time.Duration]) bool {
		return !own.Marks[what].Given && full.Marks[what].Given && full.Marks[what].Text == at.Text
	})
	r.Faults = slices.DeleteFunc(slices.Clone(r.Faults), func(f burn.Fault) bool {
		return !hasFault(own.Faults, f) && hasFault(full.Faults, f)
	})
	return r
}

// Burning is a burn that was lit by a press and whose flame nobody has seen end.
type Burning struct{ Title, Burn string }

// Burning lists the burns whose flame may still burn, by trial and id.
func (b *Bench) Burning() []Burning {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Burning
	for of := range b.index.marks {
		records := func(m burn.Mark) int { return b.fold.Count(markName, of+"/"+string(m)) }
		ended := records(burn.Out) == 1 || records(burn.Snuffed) == 1 // one that was taken back has two
		if records(burn.Light) > 0 && !ended && b.alight(of) {
			all = append(all, Burning{titleOf(of), idOf(of)})
		}
	}
	sort.SliceStable(all, func(i, j int) bool {
		x, y := all[i], all[j]
		return x.Title < y.Title || x.Title == y.Title && x.Burn < y.Burn
	})
	return all
}

// alight looks at what stands of a burn.
func (b *Bench) alight(of string) bool {
	s := b.stand(burnKind, of, nil)
	x := s.value()
	if x == nil || x.Burns[0].Marks[burn.Out].Given || x.Burns[0].Marks[burn.Snuffed].Given {
		return false
	}
	lit := false
	for _, m := range b.moments(of) {
		if m.State != "holds" && m.State != "rival" {
			continue
		}
		switch burn.Mark(m.What) {
		case burn.Light:
			lit = true
		case burn.Out, burn.Snuffed:
			return false
		}
	}
	return lit
}
