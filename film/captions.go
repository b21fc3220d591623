package film

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"fairburn/finding"
	"fairburn/quantity"
)

// Cue is a text of the film with its time; times are whole milliseconds and a cue
// ends after it begins.
type Cue struct {
	Start, End time.Duration
	Lines      []string // plain text: markup is escaped where a file is written
}

// plain is a text on one line without control characters.
func plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r) || r == utf8.RuneError:
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// wrap breaks a text into lines of at most width characters between words; a word
// that is longer stands on a line of its own.
func wrap(s string, width int) []string {
	var lines []string
	for _, word := range strings.Fields(s) {
		last := len(lines) - 1
		if last >= 0 && utf8.RuneCountInString(lines[last]+" "+word) <= width {
			lines[last] += " " + word
			continue
		}
		lines = append(lines, word)
	}
	return lines
}

func characters(lines []string) int { return utf8.RuneCountInString(strings.Join(lines, "")) }

// caption says a moment in words: "Fern: boil" and "7:12 from light".
func caption(s Shown) []string {
	lines := wrap(s.who()+": "+s.Label, lineWidth)
	if s.FromLight == 0 {
		return lines
	}
	return append(lines, quantity.FormatDuration(s.FromLight, 0)+" from light")
}

// captions gives every shown moment a cue of its own. They never overlap: what
// comes within a second of the one before waits until that was up for a second.
func captions(shown []Shown, end time.Duration) ([]Cue, []finding.Finding) {
	var cues []Cue
	var n notes
	for _, s := range shown {
		if !s.InFilm {
			continue
		}
		lines := caption(s)
		start := s.Film.Round(time.Millisecond)
		if last := len(cues) - 1; last >= 0 {
			start = max(start, cues[last].Start+briefest)
			cues[last].End = min(cues[last].End, start)
		}
		where := finding.Place{Subject: "burn " + s.Burn, Field: strings.ReplaceAll(s.Label, " ", "_")}
		read := time.Duration(float64(characters(lines)) / easyReading * float64(time.Second)).Round(time.Millisecond)
		c := Cue{start, min(start+min(max(read, usual), lengthiest), end.Truncate(time.Millisecond)), lines}
		if c.Start >= c.End {
			n.say(finding.Caution, "caption_lost", where, fmt.Sprintf("the film ends before the caption %q at %s can be shown", strings.Join(lines, " "), span(s.Film)), "let the film run on for some seconds")
			continue
		}
		if late := c.Start - s.Film.Round(time.Millisecond); late > 0 {
			n.say(finding.Note, "caption_late", where, fmt.Sprintf("the caption %q comes %s s late, since another comes with it", strings.Join(lines, " "), seconds(late)), "")
		}
		cues = append(cues, c)
	}
	return cues, slices.Concat(n.found, checkCaptions(cues))
}

func seconds(d time.Duration) string { return fmt.Sprintf("%.1f", d.Seconds()) }
