package film

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
)

// chapters are the typed ones, else those that the marks make. Cues run from each
// to the next; times are whole seconds, so that the list and the track agree.
func (f *Film) chapters(shown []Shown, end time.Duration) ([]Cue, []finding.Finding) {
	var cues []Cue
	var n notes
	for i, c := range f.Chapters {
		if !c.At.Given {
			n.fault("chapter_time", in(c.Where, fmt.Sprintf("chapter number %d", i+1), "at"), "the chapter does not say when it begins", "write at = \"1:30\", in time of the film")
			continue
		}
		cues = append(cues, Cue{Start: c.At.Value.Truncate(time.Second), Lines: []string{plain(c.Title)}})
	}
	if len(f.Chapters) == 0 {
		cues = f.marked(shown, end)
	}
	found := slices.Concat(n.found, f.checkChapters(cues, end))
	return closed(cues, end), found
}

// closed ends each chapter where the next begins, in order, without those that
// begin together or after the film.
func closed(cues []Cue, end time.Duration) []Cue {
	sort.SliceStable(cues, func(i, j int) bool { return cues[i].Start < cues[j].Start })
	cues = slices.CompactFunc(cues, func(a, b Cue) bool { return a.Start == b.Start })
	cues = slices.DeleteFunc(cues, func(c Cue) bool { return c.Start >= end.Truncate(time.Millisecond) })
	for i := range cues {
		cues[i].End = end.Truncate(time.Millisecond)
		if i > 0 {
			cues[i-1].End = cues[i].Start
		}
	}
	return cues
}

// marked makes chapters of marks. A mark within the least length of a chapter
// joins the chapter before it; what would leave the last one too short joins too.
func (f *Film) marked(shown []Shown, end time.Duration) []Cue {
	var starts []time.Duration
	var held [][]Shown
	starts, held = append(starts, 0), append(held, nil)
	for _, s := range shown {
		if !s.InFilm {
			continue
		}
		at, last := s.Film.Truncate(time.Second), len(starts)-1
		if at-starts[last] >= shortest && end-at >= shortest {
			starts, held = append(starts, at), append(held, nil)
			last++
		}
		held[last] = append(held[last], s)
	}
	cues := make([]Cue, len(starts))
	for i := range starts {
		cues[i] = Cue{Start: starts[i], Lines: []string{cmp.Or(chapterTitle(held[i]), plain(f.Title), "start")}}
	}
	return cues
}

// chapterTitle joins the marks of a chapter: "Fern: light, bloom; Rue: light".
func chapterTitle(shown []Shown) string {
	var who []string
	labels := map[string][]string{}
	for _, s := range shown {
		if labels[s.who()] == nil {
			who = append(who, s.who())
		}
		if !slices.Contains(labels[s.who()], s.Label) {
			labels[s.who()] = append(labels[s.who()], s.Label)
		}
	}
	for i, w := range who {
		who[i] = w + ": " + strings.Join(labels[w], ", ")
	}
	return strings.Join(who, "; ")
}

// ChapterList writes chapters as platforms read them in a description: a time and
// a title a line. Signs of markup are replaced as in SRT: a description takes no < or >
// (from memory).
func ChapterList(chapters []Cue) string {
	var b strings.Builder
	for _, c := range chapters {
		fmt.Fprintf(&b, "%s %s\n", quantity.FormatDuration(c.Start, 0), unmarked(strings.Join(c.Lines, " ")))
	}
	return b.String()
}
