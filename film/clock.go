package film

import (
	"encoding/json"
	"fmt"
	"math"
	"sort"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// reading is what the metadata track says at one second, as JSON.
type reading struct {
	Burn        string   `json:"burn"`
	Entry       string   `json:"entry,omitempty"`
	Clock       string   `json:"clock"`
	FromLight   int64    `json:"from_light_s"`
	Temperature *float64 `json:"temperature_C,omitempty"` // of the water; left out where there is no trace
}

// mostTicks is more than a day of a burn; no player takes a longer track.
const mostTicks = 100_000

// clock is the metadata track: the running clock of each burn from light to the
// end of its flame, and the water's temperature where there is a trace. A cue
// lasts a second of the burn, or as many as pass in a second of a sped-up film.
func (f *finder) clock() []Cue {
	var cues []Cue
	for _, l := range f.lits {
		stop, ended := end(l.Record)
		for _, p := range f.cut.pieces {
			if p.clip < 0 || f.cut.clips[p.clip].Name != l.clip.Name {
				continue
			}
			to := p.to
			if ended {
				to = min(to, l.light+stop)
			}
			cues = append(cues, f.ticks(l, p, to)...)
			if len(cues) > mostTicks {
				f.say(finding.Caution, "clock_long", finding.Place{Subject: "burn " + l.ID}, fmt.Sprintf("the clock track has more than %d cues, and the rest was left out", mostTicks), "make films of fewer burns, or mark when each flame ended")
				return sorted(cues)
			}
		}
	}
	return sorted(cues)
}

func sorted(cues []Cue) []Cue {
	sort.SliceStable(cues, func(i, j int) bool {
		a, b := cues[i], cues[j]
		return a.Start < b.Start || a.Start == b.Start && a.End < b.End
	})
	return cues
}

// ticks are the cues of one burn in one piece, until a time of the clip.
func (f *finder) ticks(l lit, p piece, to time.Duration) []Cue {
	step := time.Duration(max(1, math.Ceil(float64(p.speed)))) * time.Second
	var cues []Cue
	for at := max(0, p.from-l.light).Truncate(time.Second); l.light+at < to; at += step {
		from, until := max(p.from, l.light+at), min(to, l.light+at+step)
		c := Cue{Start: p.film(from).Round(time.Millisecond), End: p.film(until).Round(time.Millisecond)}
		if c.Start >= c.End {
			continue
		}
		r := reading{Burn: l.ID, Entry: l.Entry, Clock: quantity.FormatDuration(at, 0), FromLight: int64(at / time.Second)}
		if f.filmed.Temperature != nil {
			if t, ok := f.filmed.Temperature(l.ID, at); ok {
				tenths := math.Round(10*t.Celsius()) / 10
				r.Temperature = &tenths
			}
		}
		text, err := json.Marshal(r)
		if err != nil {
			panic(err) // two texts and two numbers
		}
		c.Lines = []string{string(text)}
		cues = append(cues, c)
	}
	return cues
}

// traces says which burns have no temperature in the track.
func (f *finder) traces() {
	seen := map[string]bool{}
	for _, l := range f.lits {
		if seen[l.ID] {
			continue
		}
		seen[l.ID] = true
		if f.filmed.Temperature != nil {
			stop, _ := end(l.Record)
			if _, ok := f.filmed.Temperature(l.ID, stop/2); ok {
				continue
			}
		}
		f.say(finding.Note, "no_trace", finding.Place{Subject: "burn " + l.ID}, fmt.Sprintf("burn %s has no temperature trace, so the clock track has its clock alone", l.ID), "")
	}
}
