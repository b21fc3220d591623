package film

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

// Filmed is what is known of the burns that were filmed.
type Filmed struct {
	Burns []burn.Record
	// Flash is the time from light of the bench's flash, by burn.
	Flash map[string]time.Duration
	// Temperature is the water's by its trace, false where there is none; nil
	// where no burn has one.
	Temperature func(burn string, fromLight time.Duration) (quantity.Temperature, bool)
}

func (f Filmed) burn(id string) (burn.Record, bool) {
	i := slices.IndexFunc(f.Burns, func(b burn.Record) bool { return b.ID == id })
	if i < 0 {
		return burn.Record{}, false
	}
	return f.Burns[i], true
}

// moment is a mark or a fault of a burn.
type moment struct {
	label string
	at    time.Duration // from light
}

// moments are the marks and faults of a burn that have a time, in order.
func moments(b burn.Record) []moment {
	var ms []moment
	for _, m := range burn.Marks() {
		if at, ok := b.At(m); ok {
			ms = append(ms, moment{m.Label(), at})
		}
	}
	for _, f := range b.Faults {
		if f.At.Given {
			ms = append(ms, moment{strings.ReplaceAll(string(f.Kind), "_", " "), f.At.Value})
		}
	}
	sort.SliceStable(ms, func(i, j int) bool { return ms[i].at < ms[j].at })
	return ms
}

// end is when the flame ended, else the last mark; false where there is only the light.
func end(b burn.Record) (time.Duration, bool) {
	for _, m := range []burn.Mark{burn.Out, burn.Snuffed} {
		if at, ok := b.At(m); ok {
			return at, true
		}
	}
	ms := moments(b)
	last := ms[len(ms)-1].at
	return last, last > 0
}

// Shown is one moment of a burn where the footage shows it.
type Shown struct {
	Burn      string
	Entry     string
	Label     string        // "pot on"
	FromLight time.Duration // as recorded
	Clip      string
	ClipTime  time.Duration
	Timecode  string // of the clip, where its rate is known
	Film      time.Duration
	InFilm    bool // else the film does not show it, and a finding says so
}

// who is how captions and chapters call a burn.
func (s Shown) who() string {
	if name := plain(s.Entry); name != "" {
		return name
	}
	return "burn " + plain(s.Burn)
}

// lit is a burn in a clip: where its light stands in clip time, which may lie
// before the first frame.
type lit struct {
	burn.Record
	clip  *Clip
	light time.Duration
}

// finder finds burns in clips and their marks in the film.
type finder struct {
	notes
	film   *Film
	filmed Filmed
	cut    Timeline
	lits   []lit
}

// light finds every burn of every clip.
func (f *finder) light() {
	for i := range f.film.Clips {
		clip := &f.film.Clips[i]
		for _, s := range f.film.syncs(clip) {
			where := clip.place("sync")
			b, ok := f.filmed.burn(s.Burn)
			if !ok {
				f.fault("burn_unknown", where, fmt.Sprintf("the trial has no burn %q", s.Burn), "write the id of a burn, and name the trial with --sheet")
				continue
			}
			at, errAt := clip.at(s.At)
			from, err := f.fromLight(s, b)
			if err = cmp.Or(errAt, err); err != nil {
				f.fault("sync_unusable", where, fmt.Sprintf("burn %s: %s", s.Burn, err), "sync = [{ at = \"0:04.2\", burn = \"7\", mark = \"light\" }], or time = \"1:00\" from light in place of the mark")
				continue
			}
			f.add(lit{b, clip, at - from})
		}
	}
}

// add keeps the first place of a burn in a clip.
func (f *finder) add(l lit) {
	i := slices.IndexFunc(f.lits, func(o lit) bool { return o.clip == l.clip && o.ID == l.ID })
	if i < 0 {
		f.lits = append(f.lits, l)
		return
	}
	if was := f.lits[i].light; was != l.light {
		f.fault("sync_twice", l.clip.place("sync"), fmt.Sprintf("burn %s is lit at %s of the clip by one sync and at %s by another, %s apart", l.ID, span(was), span(l.light), span((was-l.light).Abs())), "keep the better one")
	}
}

// syncs are a clip's own, and the light of burns that were timed in it.
func (f *Film) syncs(clip *Clip) []Sync {
	all := slices.Clone(clip.Syncs)
	for _, t := range f.Timed {
		has := slices.ContainsFunc(all, func(s Sync) bool { return s.Burn == t.Burn })
		in, _ := f.only(t.Clip)
		if at := t.Marks[burn.Light]; in == clip && at.Given && !has {
			all = append(all, Sync{At: at, Burn: t.Burn})
		}
	}
	return all
}

// fromLight is the time from light of what a sync names.
func (f *finder) fromLight(s Sync, b burn.Record) (time.Duration, error) {
	switch {
	case !s.At.Given:
		return 0, fmt.Errorf("the sync does not say at which time of the clip")
	case s.Time.Given && s.Mark != "":
		return 0, fmt.Errorf("the sync has both a mark and a time from light")
	case s.Time.Given:
		return s.Time.Value, nil
	case s.Mark == Flash:
		if at, ok := f.filmed.Flash[b.ID]; ok {
			return at, nil
		}
		return 0, fmt.Errorf("its flash is not known: a bench keeps it, a sheet does not")
	}
	if at, ok := b.At(cmp.Or(s.Mark, burn.Light)); ok {
		return at, nil
	}
	return 0, fmt.Errorf("it has no mark %q with a time", s.Mark.Label())
}

// marks lists every moment of every burn in every clip, and says which the film
// does not show, or shows twice.
func (f *finder) marks() []Shown {
	var all []Shown
	for i, l := range f.lits {
		if slices.ContainsFunc(f.lits[:i], func(o lit) bool { return o.ID == l.ID }) {
			continue
		}
		for _, m := range moments(l.Record) {
			all = append(all, f.moment(l.ID, m)...)
		}
	}
	sort.SliceStable(all, func(i, j int) bool {
		a, b := all[i], all[j]
		return a.InFilm && !b.InFilm || a.InFilm == b.InFilm && a.Film < b.Film
	})
	return all
}

// moment finds one moment of a burn in all clips that show the burn.
func (f *finder) moment(id string, m moment) []Shown {
	var shown, hidden []Shown
	var outside []string
	for _, l := range f.lits {
		if l.ID != id {
			continue
		}
		at := l.light + m.at
		s := Shown{Burn: l.ID, Entry: l.Entry, Label: m.label, FromLight: m.at, Clip: l.clip.Name, ClipTime: at}
		if length, known, _ := l.clip.length(); at < 0 || known && at >= length {
			outside = append(outside, fmt.Sprintf("%s of clip %q", span(at), l.clip.Name)+pick(known, ", which lasts "+span(length), ""))
			continue
		}
		s.Timecode = l.clip.timecode(at)
		for _, s.Film = range f.cut.Film(l.clip.Name, at) {
			s.InFilm = true
			shown = append(shown, s)
		}
		if !s.InFilm {
			hidden = append(hidden, s)
		}
	}
	f.missing(id, m, [3]int{len(shown), len(hidden), len(outside)}, outside, hidden)
	if len(shown) == 0 {
		return hidden
	}
	return shown
}

// missing says what a viewer does not see, or sees more than once.
func (f *finder) missing(id string, m moment, n [3]int, outside []string, hidden []Shown) {
	where := finding.Place{Subject: "burn " + id, Field: strings.ReplaceAll(m.label, " ", "_")}
	what := fmt.Sprintf("%s at %s from light", m.label, span(m.at))
	switch {
	case n[0] > 1:
		f.say(finding.Note, "mark_twice", where, fmt.Sprintf("%s is shown %d times, with a caption each", what, n[0]), "")
	case n[0] == 1:
	case n[1] > 0:
		h := hidden[0]
		f.say(finding.Caution, "mark_cut", where, fmt.Sprintf("%s lies at %s of clip %q, which the film does not show", what, span(h.ClipTime), h.Clip), "it has no caption and no chapter; show it, or say it in words")
	default:
		f.say(finding.Caution, "mark_outside", where, fmt.Sprintf("%s lies outside the footage: at %s", what, strings.Join(outside, " and ")), "check the sync and the clip's length; it has no caption and no chapter")
	}
}

// timecode is the clip's own at a time from its first frame, "" where its rate is not known.
func (c *Clip) timecode(at time.Duration) string {
	if !c.Rate.known() {
		return ""
	}
	first, _ := c.Rate.Time(c.Start.Value) // checked with the clip
	return c.Rate.Timecode(first+at, c.count())
}

// count is how the clip's own timecodes were typed.
func (c *Clip) count() Count {
	typed := []quantity.Reading[Stamp]{c.Start, c.Length}
	for _, s := range c.Syncs {
		typed = append(typed, s.At)
	}
	for _, r := range typed {
		if r.Value.Count != Elapsed {
			return r.Value.Count
		}
	}
	return Frames
}

func pick[T any](yes bool, a, b T) T {
	if yes {
		return a
	}
	return b
}
