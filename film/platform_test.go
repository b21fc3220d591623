package film

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/finding"
)

// typed is a film of ten minutes with chapters that its maker typed.
func typed(chapters ...Chapter) *Film {
	f, _ := boiled()
	for i := range chapters {
		chapters[i].Where = finding.Place{File: "film.toml", Line: 20 + i}
	}
	f.Chapters = chapters
	return f
}

func chapter(when, title string) Chapter { return Chapter{At: at(when), Title: title} }

// Both sides of every rule on chapters (trade rules: common practice, no source).
func TestChapterRules(t *testing.T) {
	good := func() []Chapter {
		return []Chapter{chapter("0:00", "Start"), chapter("1:00", "Light"), chapter("7:00", "Boil")}
	}
	with := func(i int, c Chapter) []Chapter { cs := good(); cs[i] = c; return cs }
	for name, c := range map[string]struct {
		chapters []Chapter
		want     []string
	}{
		"good":          {good(), nil},
		"two":           {good()[:2], []string{"chapters: caution: the film has 2, expected at least 3; platforms show none of fewer"}},
		"first late":    {with(0, chapter("0:01", "Start")), []string{"film.toml:20: chapter number 1: caution: the first chapter begins at 0:01, expected 0:00"}},
		"10 s":          {with(1, chapter("0:10", "Light")), nil},
		"9 s":           {with(1, chapter("0:09", "Light")), []string{`film.toml:20: chapter number 1: caution: "Start" lasts 9.0 s, expected at least 10.0 s`}},
		"last 10 s":     {with(2, chapter("9:50", "Boil")), nil},
		"last 9 s":      {with(2, chapter("9:51", "Boil")), []string{`film.toml:22: chapter number 3: caution: "Boil" lasts 9.0 s, expected at least 10.0 s`}},
		"unsorted":      {with(2, chapter("0:30", "Boil")), []string{"film.toml:22: chapter number 3: caution: 0:30 does not lie after the chapter before, at 1:00"}},
		"at once":       {with(2, chapter("1:00", "Boil")), []string{`film.toml:21: chapter number 2: caution: "Light" lasts 0.0 s, expected at least 10.0 s`, "film.toml:22: chapter number 3: caution: 1:00 does not lie after the chapter before, at 1:00"}},
		"after the end": {with(2, chapter("10:00", "Boil")), []string{"film.toml:22: chapter number 3: caution: it begins at 10:00, and the film lasts 10:00"}},
		"49":            {with(1, chapter("1:00", strings.Repeat("ü", 49))), nil},
		"50":            {with(1, chapter("1:00", strings.Repeat("ü", 50))), []string{"film.toml:21: chapter number 2: note: the title has 50 characters, and some players show about 49"}},
		"70":            {with(1, chapter("1:00", strings.Repeat("ü", 70))), []string{"film.toml:21: chapter number 2: note: the title has 70 characters, and some players show about 49"}},
		"71":            {with(1, chapter("1:00", strings.Repeat("ü", 71))), []string{`film.toml:21: chapter number 2: caution: the title has 71 characters, and about 49 to 70 are shown: "` + strings.Repeat("ü", 71) + `"`}},
		"untitled":      {with(1, chapter("1:00", " ")), []string{"film.toml:21: chapter number 2: caution: the chapter has no title"}},
		"without time":  {with(1, Chapter{Title: "x"}), []string{"film.toml:21: chapter number 2: at: fault: the chapter does not say when it begins", "chapters: caution: the film has 2, expected at least 3; platforms show none of fewer"}},
	} {
		cues, fs := typed(c.chapters...).chapters(nil, 10*time.Minute)
		var got []string
		for _, f := range fs {
			got = append(got, strings.TrimSuffix(f.String(), "; "+f.Remedy))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q\nwant %q", name, got, c.want)
		}
		for i, cue := range cues {
			if cue.Start >= cue.End || i > 0 && cue.Start != cues[i-1].End {
				t.Errorf("%s: %v", name, cues)
			}
		}
	}
}

func codesOf(fs []finding.Finding) []string {
	var all []string
	for _, f := range fs {
		all = append(all, f.Code)
	}
	return all
}

func TestCaptionRules(t *testing.T) {
	for name, c := range map[string]struct {
		cue  Cue
		want []string
	}{
		"42 wide":  {Cue{0, 7 * time.Second, []string{strings.Repeat("ü", 42)}}, nil},
		"43 wide":  {Cue{0, 7 * time.Second, []string{strings.Repeat("ü", 43)}}, []string{"caption_wide"}},
		"2 rows":   {Cue{0, time.Second, []string{"a", "b"}}, nil},
		"3 rows":   {Cue{0, time.Second, []string{"a", "b", "c"}}, []string{"caption_rows"}},
		"under 1s": {Cue{0, 999 * time.Millisecond, []string{"a"}}, []string{"caption_brief"}},
		"20 a s":   {Cue{0, 2 * time.Second, []string{strings.Repeat("x", 40)}}, nil},
		"21 a s":   {Cue{0, 2 * time.Second, []string{strings.Repeat("x", 41)}}, []string{"caption_fast"}},
	} {
		if got := codesOf(checkCaptions([]Cue{c.cue})); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v", name, got)
		}
	}
	long := Shown{Entry: strings.Repeat("word ", 60), Label: "boil", InFilm: true, FromLight: time.Minute}
	cues, fs := captions([]Shown{long}, time.Minute)
	if cues[0].End-cues[0].Start != lengthiest || !finding.Has(fs, "caption_rows") {
		t.Errorf("a long name: %v %v", cues, fs)
	}
	for _, line := range cues[0].Lines {
		if len(line) > lineWidth {
			t.Errorf("%q", line)
		}
	}
}

func TestTextRules(t *testing.T) {
	for _, c := range []struct {
		title, description int
		list               string
		want               []string
	}{
		{100, 150, "0:00 x\n", nil}, {101, 0, "", []string{"title_long"}}, {0, 0, "", []string{"title_missing"}}, {1, 151, "", []string{"description_cut"}},
		{1, 4993, "0:00 x\n", []string{"description_cut"}}, {1, 4994, "0:00 x\n", []string{"description_long", "description_cut"}},
	} {
		f := &Film{Title: strings.Repeat("ü", c.title), Description: strings.Repeat("ü", c.description)}
		if got := codesOf(f.checkTexts(c.list)); !slices.Equal(got, c.want) {
			t.Errorf("%d and %d characters: %v, want %v", c.title, c.description, got, c.want)
		}
	}
}

// A film, and a clip in it, of just a chapter and just less.
func TestShorterThanAChapter(t *testing.T) {
	for length, want := range map[string][]string{"0:10": nil, "0:09.99": {"film_short", "clip_short"}} {
		f := &Film{Clips: []Clip{clipOf("A", length)}}
		cut, _ := f.Timeline()
		if got := codesOf(f.checkClips(cut)); !slices.Equal(got, want) {
			t.Errorf("%s: %v", length, got)
		}
	}
	f := &Film{Clips: []Clip{clipOf("A", "5:00"), clipOf("B", "0:08")}, Shots: []Shot{{Clip: "A"}, {Clip: "B"}}}
	cut, _ := f.Timeline()
	want := `clip B: note: the film shows 8.0 s of it, less than a chapter of 10.0 s: its marks join a neighbour's chapter`
	if got := lines(f.checkClips(cut)); !slices.Equal(got, []string{want}) {
		t.Error(got)
	}
}

func TestPictureRules(t *testing.T) {
	encode := func(w, h int, c color.Color, kind string) []byte {
		m := image.NewNRGBA(image.Rect(0, 0, w, h))
		for i := 0; i < w*h; i++ {
			m.Set(i%w, i/w, c)
		}
		var b bytes.Buffer
		if kind == "jpeg" {
			_ = jpeg.Encode(&b, m, nil)
		} else {
			_ = png.Encode(&b, m)
		}
		return b.Bytes()
	}
	blue := color.NRGBA{0, 0, 200, 255}
	good := encode(1280, 720, blue, "png")
	for name, c := range map[string]struct {
		data []byte
		want []string
	}{
		"png": {good, nil}, "jpeg": {encode(1280, 720, blue, "jpeg"), nil}, "narrow": {encode(1279, 720, blue, "png"), []string{"picture_size"}},
		"transparent": {encode(1280, 720, color.NRGBA{0, 0, 200, 254}, "png"), []string{"picture_transparent"}},
		"cut off":     {good[:len(good)/2], []string{"picture_unread"}}, "none": {nil, []string{"picture_unread"}}, "gif": {[]byte("GIF89a"), []string{"picture_unread"}},
		"2 MB": {append(slices.Clone(good), make([]byte, 2_000_000-len(good))...), nil}, "more": {append(slices.Clone(good), make([]byte, 2_000_001-len(good))...), []string{"picture_large"}},
	} {
		if got := codesOf(CheckPicture(c.data)); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v", name, got)
		}
	}
}
