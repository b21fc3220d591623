package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fairburn/burn"
	"fairburn/film"
	"fairburn/finding"
	"fairburn/quantity"
)

// ReadFilm reads the sheet of a film. As with Read, whatever can be read is in
// the film and whatever cannot is a finding; the error is for a file of which
// nothing can be used, of a newer version, or that is the sheet of something else.
func ReadFilm(name string, data []byte) (*film.Film, []finding.Finding, error) {
	data, err := checkText(name, data)
	if err != nil {
		return nil, nil, err
	}
	s := &syntax{reader: &reader{file: name}, lines: newLines(data)}
	root := s.parse()
	if s.read == 0 || s.faults > mostFaults {
		return nil, s.findings(), s.hopeless()
	}
	if err := cmp.Or(s.version(root), s.refuseOther(root)); err != nil {
		return nil, nil, err
	}
	f := &film.Film{}
	filmLayout.read(s, root, f)
	fs := s.findings()
	finding.Sort(fs)
	return f, fs, nil
}

// WriteFilm returns the film as a sheet, times as they were typed. What ReadFilm
// makes of it is the same film; the errors are those of Write.
func WriteFilm(f *film.Film) ([]byte, error) {
	w := &writer{}
	w.line("# A film sheet of fairburn. Times in clips: m:ss, or timecodes hh:mm:ss:ff, drop-frame hh:mm:ss;ff.")
	filmLayout.write(w, f)
	if w.err != nil {
		return nil, w.err
	}
	return []byte(w.String()), nil
}

// FilmKeys lists every key of a film's sheet, in the order in which WriteFilm
// writes them.
func FilmKeys() []Key { return filmLayout.keys() }

// ofFilm are sections that only the sheet of a film has.
var ofFilm = []string{"clip", "shot", "timed"}

// refuseFilm is the error for a film's sheet where a trial's is read.
func (s *syntax) refuseFilm(root *node) error {
	f := root.holding(ofFilm)
	if f == nil || root.holding(ofTrial) != nil {
		return nil
	}
	return unusable(fmt.Sprintf("%s:%d:%d", s.file, f.at.line, f.at.column), "it is the sheet of a film, which holds %s, and a trial's was expected; fairburn film reads it", f.name)
}

// refuseOther is the error for another sheet where a film's is read.
func (s *syntax) refuseOther(root *node) error {
	f := root.holding(slices.Concat(ofTrial, ofTrip))
	if f == nil || root.holding(ofFilm) != nil {
		return nil
	}
	return unusable(fmt.Sprintf("%s:%d:%d", s.file, f.at.line, f.at.column), "it holds %s, and the sheet of a film was expected, with a [[clip]]; name a trial's sheet with --sheet", f.name)
}

var (
	stamps = plain(film.ParseStamp, func(s film.Stamp, _ int) string { return s.String() }).like("7:12.04", "7:12.04", "7:12.04")
	rates  = plain(film.ParseRate, func(r film.Rate, _ int) string { return r.String() })
	speed  = plain(film.ParseSpeed, func(s film.Speed, _ int) string { return s.String() })
)

var filmLayout = layout[*film.Film]{
	top: []*key[*film.Film]{
		{name: "fairburn", holds: "1, the version of this layout; must be there", read: func(*reader, place, *node, *film.Film) {}},
		words("title", "what the film is called", func(f *film.Film) *string { return &f.Title }),
		words("trial", "title of the trial whose burns it shows", func(f *film.Film) *string { return &f.Trial }),
		yes("invented", "true where the film is a made-up example", func(f *film.Film) *bool { return &f.Invented }),
		rated("of the finished film, in frames a second; 25 unless given", func(f *film.Film) *film.Rate { return &f.Rate }),
		prose("description", "the text beside the film; the chapter list is added to it", func(f *film.Film) *string { return &f.Description }),
		words("picture", "file of the still picture that stands for it, to be checked", func(f *film.Film) *string { return &f.Picture }),
		words("cut_from", "name of the [[clip]] that cuts and speeds are of, where there are several", func(f *film.Film) *string { return &f.Of }),
		rows("cuts", "what is left out of the clip: { from, to }", item[*film.Span]{one: "cut", keys: spanKeys(func(s *film.Span) *film.Span { return s })}, func(f *film.Film) *[]film.Span { return &f.Cuts }),
		rows("speeds", "where the clip runs faster or slower: { from, to, speed }; where they overlap they multiply",
			item[*film.Change]{one: "change", keys: append(spanKeys(func(c *film.Change) *film.Span { return &c.Span }), spedUp(func(c *film.Change) *film.Speed { return &c.Speed }))}, func(f *film.Film) *[]film.Change { return &f.Speeds }),
		prose("notes", "anything else", func(f *film.Film) *string { return &f.Notes }),
	},
	sections: []*section[*film.Film]{
		placed("clip", "The footage. A sync says where a moment of a burn stands in it.", clipKeys, func(f *film.Film) *[]film.Clip { return &f.Clips }, func(c *film.Clip) *finding.Place { return &c.Where }),
		placed("shot", "The finished film, one shot after another.", shotKeys, func(f *film.Film) *[]film.Shot { return &f.Shots }, func(s *film.Shot) *finding.Place { return &s.Where }),
		placed("timed", "Burns timed from the footage.", timedKeys(), func(f *film.Film) *[]film.Timed { return &f.Timed }, func(t *film.Timed) *finding.Place { return &t.Where }),
		placed("chapter", "Chapters in place of those that the marks make.", chapterKeys, func(f *film.Film) *[]film.Chapter { return &f.Chapters }, func(c *film.Chapter) *finding.Place { return &c.Where }),
	},
}

// placed is a section under [[name]] whose things know their place.
func placed[U any](name, comment string, keys []*key[*U], get func(*film.Film) *[]U, where func(*U) *finding.Place) *section[*film.Film] {
	return some(name, comment, keys, ofList[*film.Film, *U]{things: thingsOf(get), start: func(r *reader, n *node, u *U) {
		*where(u) = finding.Place{File: r.file, Line: n.at.line, Column: n.at.column}
	}})
}

func rated[P any](holds string, get func(P) *film.Rate) *key[P] {
	return only(setting("rate", holds, rates, get), func(x P) bool { return *get(x) != film.Rate{} })
}

func spedUp[P any](get func(P) *film.Speed) *key[P] {
	return only(setting("speed", "how many seconds of the clip pass in one of the film, such as 8 or 0.5; 1 unless given", speed, get), func(x P) bool { return *get(x) != 0 })
}

// spanKeys are the ends of a part of a clip.
func spanKeys[P any](get func(P) *film.Span) []*key[P] {
	return []*key[P]{
		reading("from", "where the part begins in the clip; its first frame unless given", stamps, func(x P) *quantity.Reading[film.Stamp] { return &get(x).From }),
		reading("to", "where it ends, itself not included; the clip's end unless given", stamps, func(x P) *quantity.Reading[film.Stamp] { return &get(x).To }),
	}
}

var clipKeys = []*key[*film.Clip]{
	label("name", "what the clip is called here", func(c *film.Clip) *string { return &c.Name }),
	words("file", "where its file lies, for the timeline", func(c *film.Clip) *string { return &c.File }),
	rated("frames a second: 25, 29.97, 30000/1001; needed for timecodes", func(c *film.Clip) *film.Rate { return &c.Rate }),
	reading("start", "timecode of its first frame, where that is not zero", stamps, func(c *film.Clip) *quantity.Reading[film.Stamp] { return &c.Start }),
	reading("length", "how long it lasts", stamps, func(c *film.Clip) *quantity.Reading[film.Stamp] { return &c.Length }),
	rows("sync", `where a moment of each burn stands in it: { at = "0:04.2", burn = "7", mark = "light" }`, item[*film.Sync]{one: "sync", keys: syncKeys}, func(c *film.Clip) *[]film.Sync { return &c.Syncs }),
}

var syncKeys = []*key[*film.Sync]{
	reading("at", "", stamps, func(s *film.Sync) *quantity.Reading[film.Stamp] { return &s.At }),
	label("burn", "", func(s *film.Sync) *string { return &s.Burn }),
	word("mark", "", one("mark", append(burn.Marks(), film.Flash)...), func(s *film.Sync) *burn.Mark { return &s.Mark }),
	reading("time", "", spans, func(s *film.Sync) *quantity.Reading[time.Duration] { return &s.Time }),
}

var shotKeys = slices.Concat(
	[]*key[*film.Shot]{label("clip", "name of a [[clip]]; left out: a title or a still", func(s *film.Shot) *string { return &s.Clip })},
	spanKeys(func(s *film.Shot) *film.Span { return &s.Span }),
	[]*key[*film.Shot]{
		spedUp(func(s *film.Shot) *film.Speed { return &s.Speed }),
		reading("at", "where it begins in the film; follows the shot before unless given", spans, func(s *film.Shot) *quantity.Reading[time.Duration] { return &s.At }),
		words("title", "what a title says", func(s *film.Shot) *string { return &s.Title }),
		reading("length", "how long a title stands", spans, func(s *film.Shot) *quantity.Reading[time.Duration] { return &s.Length }),
	},
)

var chapterKeys = []*key[*film.Chapter]{
	reading("at", "where it begins in the film", spans, func(c *film.Chapter) *quantity.Reading[time.Duration] { return &c.At }),
	words("title", "what it is called", func(c *film.Chapter) *string { return &c.Title }),
}

// timedKeys are the moments of a burn, in clip time.
func timedKeys() []*key[*film.Timed] {
	keys := []*key[*film.Timed]{
		label("clip", "name of the [[clip]], where there are several", func(t *film.Timed) *string { return &t.Clip }),
		label("burn", "id of the burn", func(t *film.Timed) *string { return &t.Burn }),
	}
	for _, m := range burn.Marks() {
		keys = append(keys, &key[*film.Timed]{
			name: string(m), holds: "when " + m.Label() + " is seen first, in clip time",
			read: func(r *reader, p place, v *node, into *film.Timed) {
				if got, ok := understand(r, p, v, film.ParseStamp); ok {
					if into.Marks == nil {
						into.Marks = map[burn.Mark]quantity.Reading[film.Stamp]{}
					}
					into.Marks[m] = got
				}
			},
			write: func(w *writer, from *film.Timed) string {
				return writeReading(w, string(m), stamps, from.Marks[m])
			},
		})
	}
	return keys
}
