package film

import (
	"slices"

	"fairburn/finding"
)

// Published is what is made of a film. Its texts are whole files.
type Published struct {
	Timeline Timeline
	Marks    []Shown // those in the film by film time, then the others
	Captions []Cue
	Chapters []Cue
	Clock    []Cue
	// Interchange is an OpenTimelineIO file.
	Interchange []byte
}

// Make makes everything of a film. Where a fault leaves no film time to be
// trusted it returns nil, and the findings say what to mend.
func Make(f *Film, filmed Filmed) (*Published, []finding.Finding) {
	cut, found := f.Timeline()
	if worst, _ := finding.Worst(found); worst == finding.Fault {
		return nil, found
	}
	find := finder{film: f, filmed: filmed, cut: cut}
	find.light()
	p := &Published{Timeline: cut, Marks: find.marks(), Clock: find.clock()}
	find.traces()
	end := cut.Length()
	var more, chapters []finding.Finding
	p.Captions, more = captions(p.Marks, end)
	p.Chapters, chapters = f.chapters(p.Marks, end)
	found = slices.Concat(found, find.found, f.checkClips(cut), more, chapters, f.checkTexts(ChapterList(p.Chapters)))
	var err error
	if p.Interchange, err = f.interchange(cut, p.Marks); err != nil {
		panic(err) // texts and finite numbers
	}
	return p, found
}
