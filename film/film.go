// Package film turns footage of burns into what a finished film needs: marks in
// clip time and in film time, captions, chapters, a running clock, and a timeline
// that editors import. Burns that nobody timed live are timed from the footage.
//
// It reads no footage: clips, cuts and speeds are what a person typed. It refuses
// to guess: a timecode without a frame rate, shots that overlap, a speed of zero
// or backwards leave no film time to be trusted, so nothing is made of them. A
// mark that the film does not show is a finding and never just missing. What
// platforms ask of chapters, captions and texts is common practice without a
// standard; each rule is a finding here.
//
// Read film.go (what a person types), timecode.go, timeline.go (cuts and speeds),
// marks.go (burns on clips), then what is made of them: captions.go, chapters.go,
// clock.go, written by webvtt.go and interchange.go. timed.go goes the other way,
// platform.go holds the rules.
package film

import (
	"fmt"
	"slices"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

// Film is a finished film as its maker describes it. It is put together either
// from Shots, or from one clip by Cuts and Speeds; with neither it is its only
// clip from end to end.
type Film struct {
	Title       string
	Trial       string // title of the trial whose burns it shows
	Invented    bool
	Rate        Rate   // frames per second of the finished film
	Description string // the text beside it, to which the chapter list is added
	Picture     string // file of the still picture that stands for it
	Notes       string

	Clips  []Clip
	Of     string // the clip that Cuts and Speeds are of; "" where there is one
	Cuts   []Span // what is left out
	Speeds []Change
	Shots  []Shot

	Timed    []Timed
	Chapters []Chapter // typed ones stand in place of those that the marks make
}

// Clip is one file of footage. Its times are typed as timecodes, which count from
// the first frame's own, or as time from its first frame.
type Clip struct {
	Name   string
	File   string // path or address, for the timeline
	Rate   Rate
	Start  quantity.Reading[Stamp] // timecode of the first frame; 0 unless given
	Length quantity.Reading[Stamp]
	Syncs  []Sync // one for each burn that it shows
	Where  finding.Place
}

// Sync says where a moment of a burn stands in a clip; all other moments follow.
type Sync struct {
	At   quantity.Reading[Stamp]
	Burn string
	Mark burn.Mark                       // "" is light; Flash is the bench's own
	Time quantity.Reading[time.Duration] // from light, in place of a mark
}

// Flash is the flash and tone that a bench gives so that films can be aligned.
const Flash burn.Mark = "flash"

// Span is a part of a clip, its end not included. An end not given is the clip's.
type Span struct{ From, To quantity.Reading[Stamp] }

// Change runs a part of a clip at another speed. Where changes overlap their
// speeds multiply.
type Change struct {
	Span
	Speed Speed
}

// Shot is one piece of a timeline. Without a clip it is a title or anything else
// that no clip shows, and lasts as long as it says.
type Shot struct {
	Clip string
	Span
	Speed  Speed                           // 0 is 1
	At     quantity.Reading[time.Duration] // in the film; follows the shot before unless given
	Title  string
	Length quantity.Reading[time.Duration]
	Where  finding.Place
}

// Timed holds the moments of one burn as seen in a clip, for burns without live
// marks.
type Timed struct {
	Clip  string
	Burn  string
	Marks map[burn.Mark]quantity.Reading[Stamp]
	Where finding.Place
}

// Chapter is a chapter as its maker wants it.
type Chapter struct {
	At    quantity.Reading[time.Duration] // in the film
	Title string
	Where finding.Place
}

// longest is the longest clip and the longest film: timecodes begin anew after a day.
const longest = 24 * time.Hour

func (f *Film) clip(name string) (*Clip, bool) {
	i := slices.IndexFunc(f.Clips, func(c Clip) bool { return c.Name == name })
	if i < 0 {
		return nil, false
	}
	return &f.Clips[i], true
}

// only is the clip of a name; no name is the only clip.
func (f *Film) only(name string) (*Clip, bool) {
	if name == "" && len(f.Clips) == 1 {
		return &f.Clips[0], true
	}
	return f.clip(name)
}

// at is a typed time as time from the clip's first frame.
func (c *Clip) at(r quantity.Reading[Stamp]) (time.Duration, error) {
	t, err := c.Rate.Time(r.Value)
	if err != nil || r.Value.Count == Elapsed || !c.Start.Given {
		return t, err
	}
	if c.Start.Value.Count != r.Value.Count {
		return 0, fmt.Errorf("read %s, and the clip's first frame is %s: one counts drop-frame and the other does not", r.Value, c.Start.Value)
	}
	first, err := c.Rate.Time(c.Start.Value)
	if err == nil && t < first {
		err = fmt.Errorf("read %s, which lies before the clip's first frame, %s", r.Value, c.Start.Value)
	}
	return t - first, err
}

// length is how long the clip lasts, and false where nobody said.
func (c *Clip) length() (time.Duration, bool, error) {
	if !c.Length.Given {
		return 0, false, nil
	}
	d, err := c.Rate.Time(c.Length.Value)
	switch {
	case err != nil:
		return 0, false, err
	case d <= 0 || d > longest:
		return 0, false, fmt.Errorf("read %s, expected a clip of more than nothing and at most %s", c.Length.Value, span(longest))
	}
	return d, true, nil
}

// span prints a time for a sentence, with as many digits of a second as it needs.
func span(d time.Duration) string {
	if d%time.Second == 0 {
		return quantity.FormatDuration(d, 0)
	}
	return quantity.FormatDuration(d, 2)
}

// notes collects findings.
type notes struct{ found []finding.Finding }

func (n *notes) say(sev finding.Severity, code string, at finding.Place, sentence, remedy string) {
	n.found = append(n.found, finding.Finding{Code: code, Severity: sev, Where: at, Sentence: sentence, Remedy: remedy})
}

func (n *notes) fault(code string, at finding.Place, sentence, remedy string) {
	n.say(finding.Fault, code, at, sentence, remedy)
}

// in is a place with its subject and field.
func in(p finding.Place, subject, field string) finding.Place {
	p.Subject, p.Field = subject, field
	return p
}

func (c *Clip) place(field string) finding.Place { return in(c.Where, "clip "+c.Name, field) }
