package film

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // still pictures come as JPEG
	_ "image/png"  // or PNG
	"strings"
	"time"
	"unicode/utf8"

	"fairburn/finding"
)

// What platforms and viewers ask (common practice, no source; values differ from
// one to another, and these are the narrow ones).
const (
	leastChapters = 3
	shortest      = 10 * time.Second // chapter
	titleShown    = 49               // characters of a chapter title that are surely shown
	titleMost     = 70               // that are shown at all

	lineWidth   = 42 // characters of a caption's line
	captionRows = 2
	briefest    = time.Second // caption
	lengthiest  = 7 * time.Second
	usual       = 2 * time.Second // least that a caption is given where there is room
	easyReading = 15.0            // characters a second
	fastReading = 20.0

	titleLimit       = 100  // characters of a film's title
	descriptionLimit = 5000 // characters of the text beside it
	descriptionShown = 150  // shown before a reader asks for more

	pictureWidth, pictureHeight = 1280, 720
	pictureBytes                = 2_000_000
)

// checkChapters holds chapters, as they are listed, to the rules of platforms. A
// breach of the first four commonly disables all of them without a word.
func (f *Film) checkChapters(cues []Cue, end time.Duration) []finding.Finding {
	var n notes
	at := func(i int) finding.Place {
		p := finding.Place{Subject: fmt.Sprintf("chapter number %d", i+1)}
		if i < len(f.Chapters) {
			p = in(f.Chapters[i].Where, p.Subject, "")
		}
		return p
	}
	if len(cues) < leastChapters {
		n.say(finding.Caution, "chapters_few", finding.Place{Subject: "chapters"}, fmt.Sprintf("the film has %d, expected at least %d; platforms show none of fewer", len(cues), leastChapters), "show more marks at least 10 s apart, or type chapters of your own")
	}
	for i, c := range cues {
		title := strings.Join(c.Lines, " ")
		until := end
		if i+1 < len(cues) {
			until = cues[i+1].Start
		}
		switch {
		case i == 0 && c.Start != 0:
			n.say(finding.Caution, "chapter_first", at(i), fmt.Sprintf("the first chapter begins at %s, expected 0:00", span(c.Start)), "let the first chapter begin at 0:00")
		case i > 0 && c.Start <= cues[i-1].Start:
			n.say(finding.Caution, "chapters_unsorted", at(i), fmt.Sprintf("%s does not lie after the chapter before, at %s", span(c.Start), span(cues[i-1].Start)), "put them in order")
		}
		if c.Start >= end {
			n.say(finding.Caution, "chapter_outside", at(i), fmt.Sprintf("it begins at %s, and the film lasts %s", span(c.Start), span(end)), "check the time; it is left out")
		} else if d := until - c.Start; d >= 0 && d < shortest {
			n.say(finding.Caution, "chapter_short", at(i), fmt.Sprintf("%q lasts %s s, expected at least %s s", title, seconds(d), seconds(shortest)), "merge it with a neighbour, or let it run longer")
		}
		n.found = append(n.found, checkChapterTitle(title, at(i))...)
	}
	return n.found
}

func checkChapterTitle(title string, at finding.Place) []finding.Finding {
	var n notes
	switch long := utf8.RuneCountInString(title); {
	case long == 0:
		n.say(finding.Caution, "chapter_untitled", at, "the chapter has no title", "write title = \"…\"")
	case long > titleMost:
		n.say(finding.Caution, "chapter_title_long", at, fmt.Sprintf("the title has %d characters, and about %d to %d are shown: %q", long, titleShown, titleMost, title), "type chapters of your own with shorter titles, or shorten the names of the entries")
	case long > titleShown:
		n.say(finding.Note, "chapter_title_cut", at, fmt.Sprintf("the title has %d characters, and some players show about %d", long, titleShown), "")
	}
	return n.found
}

// checkCaptions holds captions to what people can read.
func checkCaptions(cues []Cue) []finding.Finding {
	var n notes
	for _, c := range cues {
		at := finding.Place{Subject: "caption at " + span(c.Start)}
		text := strings.Join(c.Lines, " ")
		for _, line := range c.Lines {
			if long := utf8.RuneCountInString(line); long > lineWidth {
				n.say(finding.Note, "caption_wide", at, fmt.Sprintf("a line has %d characters, expected at most %d: %q", long, lineWidth, line), "shorten the entry's name")
			}
		}
		if rows := len(c.Lines); rows > captionRows {
			n.say(finding.Note, "caption_rows", at, fmt.Sprintf("%q takes %d lines, expected at most %d", text, rows, captionRows), "shorten the entry's name")
		}
		d := c.End - c.Start
		if d < briefest {
			n.say(finding.Note, "caption_brief", at, fmt.Sprintf("%q is shown for %s s, expected at least %s s", text, seconds(d), seconds(briefest)), "let the film run on, or run slower there")
		}
		if rate := float64(characters(c.Lines)) / d.Seconds(); rate > fastReading {
			n.say(finding.Note, "caption_fast", at, fmt.Sprintf("%q asks for %.0f characters a second, expected at most %.0f", text, rate, fastReading), "let the film run slower there, so that captions stand longer")
		}
	}
	return n.found
}

// checkClips says which film, or clip in it, is too short for a chapter.
func (f *Film) checkClips(t Timeline) []finding.Finding {
	var n notes
	if end := t.Length(); end < shortest {
		n.say(finding.Caution, "film_short", finding.Place{}, fmt.Sprintf("the film lasts %s s, less than one chapter of %s s", seconds(end), seconds(shortest)), "it can have captions and no chapters")
	}
	for i := range f.Clips {
		var shown time.Duration
		for _, p := range t.pieces {
			if p.clip == i {
				shown += p.end - p.start
			}
		}
		if shown < shortest {
			n.say(finding.Note, "clip_short", f.Clips[i].place(""), fmt.Sprintf("the film shows %s s of it, less than a chapter of %s s: its marks join a neighbour's chapter", seconds(shown), seconds(shortest)), "")
		}
	}
	return n.found
}

// checkTexts holds title and description to the limits; the chapter list is part
// of the description.
func (f *Film) checkTexts(list string) []finding.Finding {
	var n notes
	switch long := utf8.RuneCountInString(f.Title); {
	case strings.TrimSpace(f.Title) == "":
		n.say(finding.Note, "title_missing", finding.Place{Field: "title"}, "the film has no title", "")
	case long > titleLimit:
		n.say(finding.Caution, "title_long", finding.Place{Field: "title"}, fmt.Sprintf("the title has %d characters, expected at most %d", long, titleLimit), "shorten it")
	}
	own, chapters := utf8.RuneCountInString(f.Description), utf8.RuneCountInString(list)
	if own+chapters > descriptionLimit {
		n.say(finding.Caution, "description_long", finding.Place{Field: "description"}, fmt.Sprintf("the description has %d characters with %d of the chapter list, expected at most %d", own+chapters, chapters, descriptionLimit), "shorten it, or link to the full text")
	}
	if own > descriptionShown {
		n.say(finding.Note, "description_cut", finding.Place{Field: "description"}, fmt.Sprintf("the description has %d characters, and about the first %d are shown", own, descriptionShown), "")
	}
	return n.found
}

// CheckPicture holds the still picture that stands for a film to the limits of
// platforms: JPEG or PNG, 1280 × 720, at most 2 MB, no transparency.
func CheckPicture(data []byte) []finding.Finding {
	var n notes
	at := finding.Place{Field: "picture"}
	c, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		n.say(finding.Caution, "picture_unread", at, fmt.Sprintf("it cannot be read as JPEG or PNG: %s", err), "save it as JPEG or PNG")
		return n.found
	}
	if len(data) > pictureBytes {
		n.say(finding.Caution, "picture_large", at, fmt.Sprintf("it has %.1f MB, expected at most %.0f MB", float64(len(data))/1e6, pictureBytes/1e6), "save it as JPEG, or with fewer colours")
	}
	if c.Width != pictureWidth || c.Height != pictureHeight {
		n.say(finding.Caution, "picture_size", at, fmt.Sprintf("it is %d × %d, expected %d × %d", c.Width, c.Height, pictureWidth, pictureHeight), "save it at that size")
		return n.found
	}
	picture, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		n.say(finding.Caution, "picture_unread", at, fmt.Sprintf("the %s cannot be read to its end: %s", strings.ToUpper(kind), err), "save it again")
	} else if o, ok := picture.(interface{ Opaque() bool }); ok && !o.Opaque() {
		n.say(finding.Caution, "picture_transparent", at, "some of it is transparent", "fill the ground with a colour")
	}
	return n.found
}
