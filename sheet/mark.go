package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/quantity"
)

// clock is the time of day at which a burn was lit, when light was written as
// one. Marks then are times of day where they have hours, minutes and seconds.
type clock struct {
	set bool
	at  time.Duration
}

const (
	day = 24 * time.Hour
	// longestBurn is the longest time from light that hours:minutes:seconds is
	// taken for; beyond it a time of day was meant (common practice, no source).
	longestBurn = 6 * time.Hour
)

// isClock tells a time of day from a time from light: it has two colons.
func isClock(s string) bool { return strings.Count(s, ":") == 2 }

// lightOf reads when a burn was lit; a light that cannot be read is reported
// by its own key.
func lightOf(n *node) clock {
	f := n.find("light")
	if f == nil {
		return clock{}
	}
	text := f.value.text
	if f.value.kind == table {
		text = f.value.textOf("read")
	}
	return clockAt(text)
}

func clockAt(text string) clock {
	if !isClock(text) {
		return clock{}
	}
	c, err := quantity.ParseClock(text)
	return clock{set: err == nil, at: c.Value}
}

// mark reads a time from light, or a time of day when light is one. The text
// stays as written; a time of day before light by less than half a day is
// negative, any other lies after it, over midnight if need be.
func (c clock) mark(s string) (quantity.Reading[time.Duration], error) {
	if c.set && isClock(s) {
		r, err := quantity.ParseClock(s)
		r.Value = (r.Value-c.at+day+day/2)%day - day/2
		return r, err
	}
	r, err := quantity.ParseDuration(s)
	if err == nil && isClock(s) && r.Value > longestBurn {
		return quantity.Reading[time.Duration]{}, &quantity.ParseError{
			Text: s, Want: "a time from light, as minutes:seconds", Column: 1,
			Hint: `for times of day write light as one too, such as light = "14:03:20"`,
		}
	}
	return r, err
}

// light reads the mark that all others count from.
func (c clock) light(s string) (quantity.Reading[time.Duration], error) {
	r, err := c.mark(s)
	if err == nil && !c.set && r.Value != 0 {
		err = &quantity.ParseError{
			Text: s, Want: `0:00, or a time of day with seconds such as 14:03:20`, Column: 1,
			Hint: "marks count from light: leave light out, or write it with hours, minutes and seconds and the other marks in the same way",
		}
	}
	return r, err
}

// timed is a mark, or another moment of a burn.
func timed[T any](name, holds string, get func(*T) *quantity.Reading[time.Duration]) key[T] {
	return moments(name, holds, clock.mark, get, func(x *T, got quantity.Reading[time.Duration]) { *get(x) = got })
}

// markKeys are one key for each mark of a burn.
func markKeys() []key[burn.Record] {
	var keys []key[burn.Record]
	for _, m := range burn.Marks() {
		holds, parse := "time of "+m.Label(), clock.mark
		if m == burn.Light {
			holds, parse = "left out, or the time of day when lit", clock.light
		}
		get := func(b *burn.Record) *quantity.Reading[time.Duration] { r := b.Marks[m]; return &r }
		set := func(b *burn.Record, got quantity.Reading[time.Duration]) {
			if b.Marks == nil {
				b.Marks = map[burn.Mark]quantity.Reading[time.Duration]{}
			}
			b.Marks[m] = got
		}
		keys = append(keys, moments(string(m), holds, parse, get, set))
	}
	return keys
}

// moments is a key for a time, read by the clock of the burn.
func moments[T any](name, holds string, parse func(clock, string) (quantity.Reading[time.Duration], error),
	get func(*T) *quantity.Reading[time.Duration], set func(*T, quantity.Reading[time.Duration])) key[T] {
	return key[T]{
		name: name, holds: holds,
		read: func(r *reader, p place, v *node, into *T) {
			v, with := r.instrument(p, v)
			got, ok := understand(r, p, v, func(s string) (quantity.Reading[time.Duration], error) { return parse(r.light, s) })
			if ok {
				got.Instrument = with
				set(into, got)
			}
		},
		write: func(w *writer, from *T) string {
			s := plain(func(s string) (quantity.Reading[time.Duration], error) { return parse(w.light, s) }, showSpan)
			return writeReading(w, name, s, *get(from))
		},
	}
}

func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }

// subject names an item of a section for findings: "burn 7", "pot 2 of the sheet".
func subject(kind string, i int, n *node) string {
	for _, k := range []string{"name", "id"} {
		if s := n.textOf(k); s != "" {
			return fmt.Sprintf("%s %.40s", kind, s)
		}
	}
	return fmt.Sprintf("%s number %d", kind, i+1)
}
