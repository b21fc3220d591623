package film

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

// burned is a burn with marks in seconds from light.
func burned(id, entry string, marks map[burn.Mark]float64) burn.Record {
	b := burn.Record{ID: id, Entry: entry, Marks: map[burn.Mark]quantity.Reading[time.Duration]{}}
	for m, s := range marks {
		b.Marks[m] = quantity.Given(time.Duration(s * float64(time.Second)))
	}
	return b
}

// boiled is burn 7 in one clip of ten minutes, lit at 0:10 of it.
func boiled() (*Film, Filmed) {
	f := &Film{Title: "Fern alone", Clips: []Clip{{Name: "A", File: "a.mp4", Rate: Rate{25, 1}, Length: stamp("10:00"), Syncs: []Sync{{At: stamp("0:10"), Burn: "7"}}}}}
	return f, Filmed{Burns: []burn.Record{burned("7", "Fern", map[burn.Mark]float64{burn.Bloom: 20, burn.PotOn: 24.5, burn.Boil: 432, burn.Out: 520})}}
}

// texts are cues as lines.
func texts(cues []Cue) []string {
	var all []string
	for _, c := range cues {
		all = append(all, fmt.Sprintf("%v %v %s", c.Start, c.End, strings.Join(c.Lines, "|")))
	}
	return all
}

// A film worked by hand.
func TestMake(t *testing.T) {
	f, filmed := boiled()
	p, fs := Make(f, filmed)
	if d := cmp.Diff([]string{"burn 7: note: burn 7 has no temperature trace, so the clock track has its clock alone"}, lines(fs)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{
		"10s 12s Fern: light", "30s 32s Fern: bloom|0:20 from light", "34.5s 36.5s Fern: pot on|0:25 from light", "7m22s 7m24s Fern: boil|7:12 from light", "8m50s 8m52s Fern: out|8:40 from light",
	}, texts(p.Captions)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff("0:00 Fern alone\n0:10 Fern: light\n0:30 Fern: bloom, pot on\n7:22 Fern: boil\n8:50 Fern: out\n", ChapterList(p.Chapters)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(Shown{"7", "Fern", "pot on", 24500 * time.Millisecond, "A", 34500 * time.Millisecond, "00:00:34:13", 34500 * time.Millisecond, true}, p.Marks[2]); d != "" {
		t.Error(d)
	}
	if n := len(p.Clock); n != 520 || texts(p.Clock)[519] != `8m49s 8m50s {"burn":"7","entry":"Fern","clock":"8:39","from_light_s":519}` {
		t.Error(n, texts(p.Clock)[n-1])
	}
}

// Where a sync may stand, and that all name the same light.
func TestSyncs(t *testing.T) {
	for name, s := range map[string]Sync{
		"light":   {At: stamp("0:10"), Burn: "7", Mark: burn.Light},
		"boil":    {At: stamp("7:22"), Burn: "7", Mark: burn.Boil},
		"a time":  {At: stamp("0:40"), Burn: "7", Time: at("0:30")},
		"flash":   {At: stamp("0:08"), Burn: "7", Mark: Flash},
		"frames":  {At: stamp("00:00:10:00"), Burn: "7"},
		"of 5 fs": {At: stamp("00:00:34:12"), Burn: "7", Mark: burn.PotOn},
	} {
		f, filmed := boiled()
		filmed.Flash = map[string]time.Duration{"7": -2 * time.Second}
		f.Clips[0].Syncs = []Sync{s}
		p, fs := Make(f, filmed)
		want := 442 * time.Second
		if name == "of 5 fs" {
			want -= 20 * time.Millisecond // frame 12 begins 20 ms before pot on at 24.5 s
		}
		if p == nil || len(fs) != 1 || p.Marks[3].Film != want {
			t.Errorf("%s: %v %v", name, fs, p)
		}
	}
	f, filmed := boiled()
	f.Clips[0].Start = stamp("01:00:00:00")
	f.Clips[0].Syncs[0].At = stamp("01:00:10:00")
	if p, _ := Make(f, filmed); p.Marks[0].Film != 10*time.Second || p.Marks[0].Timecode != "01:00:10:00" {
		t.Errorf("from a first frame at an hour: %+v", p.Marks[0])
	}
}

// What is said of syncs and marks that the film cannot show.
func TestMarksThatAreMissing(t *testing.T) {
	where := finding.Place{File: "film.toml", Line: 4}
	sync := func(ss ...Sync) func(*Film) {
		return func(f *Film) { f.Clips[0].Syncs, f.Clips[0].Where = ss, where }
	}
	for name, c := range map[string]struct {
		change func(*Film)
		want   []string
	}{
		"cut":               {func(f *Film) { f.Cuts = []Span{part("7:00", "8:00")} }, []string{`burn 7: boil: caution: boil at 7:12 from light lies at 7:22 of clip "A", which the film does not show`}},
		"at the cut's edge": {func(f *Film) { f.Cuts = []Span{part("7:00", "7:22")} }, nil},
		"outside":           {func(f *Film) { f.Clips[0].Length = stamp("8:50") }, []string{`burn 7: out: caution: out at 8:40 from light lies outside the footage: at 8:50 of clip "A", which lasts 8:50`}},
		"before":            {sync(Sync{At: stamp("0:00"), Burn: "7", Mark: burn.Bloom}), []string{`burn 7: light: caution: light at 0:00 from light lies outside the footage: at -0:20 of clip "A", which lasts 10:00`}},
		"twice": {func(f *Film) {
			f.Shots = []Shot{{Clip: "A", Span: part("0:00", "7:30")}, {Clip: "A", Span: part("7:20", "")}}
		}, []string{
			`shot number 2: note: 7:20 to 7:30 of clip "A" was shown in shot 1 already, and its marks come again`, "burn 7: boil: note: boil at 7:12 from light is shown 2 times, with a caption each"}},
		"no such burn":   {sync(Sync{At: stamp("0:10"), Burn: "8"}), []string{`film.toml:4: clip A: sync: fault: the trial has no burn "8"`}},
		"no such mark":   {sync(Sync{At: stamp("0:10"), Burn: "7", Mark: burn.PotOff}), []string{`film.toml:4: clip A: sync: fault: burn 7: it has no mark "pot off" with a time`}},
		"no flash":       {sync(Sync{At: stamp("0:10"), Burn: "7", Mark: Flash}), []string{`film.toml:4: clip A: sync: fault: burn 7: its flash is not known: a bench keeps it, a sheet does not`}},
		"no time":        {sync(Sync{Burn: "7"}), []string{`film.toml:4: clip A: sync: fault: burn 7: the sync does not say at which time of the clip`}},
		"mark and time":  {sync(Sync{At: stamp("0:10"), Burn: "7", Mark: burn.Boil, Time: at("0:30")}), []string{`film.toml:4: clip A: sync: fault: burn 7: the sync has both a mark and a time from light`}},
		"no frame":       {sync(Sync{At: stamp("00:00:10:25"), Burn: "7"}), []string{`film.toml:4: clip A: sync: fault: burn 7: read 00:00:10:25, and at 25 frames a second they are numbered 0 to 24`}},
		"two syncs":      {sync(Sync{At: stamp("0:10"), Burn: "7"}, Sync{At: stamp("0:35"), Burn: "7", Mark: burn.PotOn}), []string{`film.toml:4: clip A: sync: fault: burn 7 is lit at 0:10 of the clip by one sync and at 0:10.50 by another, 0:00.50 apart`}},
		"two that agree": {sync(Sync{At: stamp("0:10"), Burn: "7"}, Sync{At: stamp("7:22"), Burn: "7", Mark: burn.Boil}), nil},
		"start counts otherwise": {func(f *Film) {
			f.Clips[0].Where, f.Clips[0].Rate, f.Clips[0].Start, f.Clips[0].Syncs[0].At = where, Rate{30000, 1001}, stamp("01:00:00;00"), stamp("01:00:10:00")
		}, []string{"film.toml:4: clip A: sync: fault: burn 7: read 01:00:10:00, and the clip's first frame is 01:00:00;00: one counts drop-frame and the other does not"}},
		"before the start": {func(f *Film) {
			f.Clips[0].Where, f.Clips[0].Start, f.Clips[0].Syncs[0].At = where, stamp("01:00:00:00"), stamp("00:59:59:24")
		}, []string{"film.toml:4: clip A: sync: fault: burn 7: read 00:59:59:24, which lies before the clip's first frame, 01:00:00:00"}},
	} {
		f, filmed := boiled()
		c.change(f)
		p, fs := Make(f, filmed)
		fs = slices.DeleteFunc(fs, func(x finding.Finding) bool { return slices.Contains([]string{"no_trace", "chapters_few"}, x.Code) })
		if got := lines(fs); !slices.Equal(got, c.want) || p == nil {
			t.Errorf("%s: got %q\nwant %q", name, got, c.want)
		}
	}
}

// Faults of a burn have captions as marks have.
func TestFaultsAreShown(t *testing.T) {
	f, filmed := boiled()
	filmed.Burns[0].Faults = []burn.Fault{{Kind: burn.PotLifted, At: quantity.Given(100 * time.Second)}, {Kind: burn.Relit}}
	p, _ := Make(f, filmed)
	if got := texts(p.Captions)[3]; got != "1m50s 1m52.067s Fern: pot lifted|1:40 from light" {
		t.Error(got)
	}
}

// Marks that come together have a caption each and one chapter.
func TestCaptionsDoNotMerge(t *testing.T) {
	f, filmed := boiled()
	filmed.Burns = append(filmed.Burns, burned("8", "Rue", map[burn.Mark]float64{burn.Boil: 432.25, burn.Out: 589.95}))
	f.Clips[0].Syncs = append(f.Clips[0].Syncs, Sync{At: stamp("0:10"), Burn: "8"})
	p, fs := Make(f, filmed)
	got := texts(p.Captions)
	want := []string{
		"10s 11s Fern: light", "11s 13s Rue: light", "30s 32s Fern: bloom|0:20 from light", "34.5s 36.5s Fern: pot on|0:25 from light",
		"7m22s 7m23s Fern: boil|7:12 from light", "7m23s 7m25s Rue: boil|7:12 from light", "8m50s 8m52s Fern: out|8:40 from light", "9m59.95s 10m0s Rue: out|9:50 from light",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff("0:00 Fern alone\n0:10 Fern: light; Rue: light\n0:30 Fern: bloom, pot on\n7:22 Fern: boil; Rue: boil\n8:50 Fern: out; Rue: out\n", ChapterList(p.Chapters)); d != "" {
		t.Error(d)
	}
	for _, want := range []string{
		`burn 8: light: note: the caption "Rue: light" comes 1.0 s late, since another comes with it`,
		`burn 8: boil: note: the caption "Rue: boil 7:12 from light" comes 0.8 s late, since another comes with it`,
		`caption at 9:59.95: note: "Rue: out 9:50 from light" is shown for 0.1 s, expected at least 1.0 s`,
	} {
		if !slices.Contains(lines(fs), want) {
			t.Errorf("no %q in %q", want, lines(fs))
		}
	}
}

// Whatever is filmed: captions never overlap and lie in the film, every shown mark
// has one or a finding, and the chapters of marks keep every rule of platforms but
// their number and the lengths of titles.
func TestCuesKeepTheirRules(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := edited(t, 600_000)
		f.Title = "x"
		var filmed Filmed
		for i := range rapid.IntRange(1, 3).Draw(t, "burns") {
			b := burned(fmt.Sprint(i), "Fern", nil)
			for _, m := range []burn.Mark{burn.Bloom, burn.PotOn, burn.Boil, burn.Out} {
				b.Marks[m] = quantity.Given(time.Duration(rapid.Int64Range(0, int64(9*time.Minute)).Draw(t, "mark")))
			}
			filmed.Burns = append(filmed.Burns, b)
			f.Clips[0].Syncs = append(f.Clips[0].Syncs, Sync{At: after(time.Duration(rapid.Int64Range(0, int64(time.Minute)).Draw(t, "lit"))), Burn: b.ID})
		}
		p, fs := Make(f, filmed)
		if p == nil {
			return
		}
		lost := 0
		for _, x := range fs {
			switch x.Code {
			case "caption_lost":
				lost++
			case "chapter_first", "chapters_unsorted", "chapter_outside", "chapter_untitled":
				t.Fatal(x)
			case "chapter_short":
				if p.Timeline.Length() >= shortest {
					t.Fatal(x)
				}
			}
		}
		shown := 0
		for _, m := range p.Marks {
			if m.InFilm {
				shown++
			}
		}
		if len(p.Captions)+lost != shown {
			t.Fatalf("%d captions and %d lost of %d shown", len(p.Captions), lost, shown)
		}
		for i, c := range p.Captions {
			if c.Start < 0 || c.Start >= c.End || c.End > p.Timeline.Length() || i > 0 && c.Start < p.Captions[i-1].End {
				t.Fatalf("%v after %v in %v", c, p.Captions[max(0, i-1)], p.Timeline.Length())
			}
		}
		for _, c := range []struct {
			file string
			kind payload
		}{{WebVTT(p.Captions), captionText}, {WebVTT(p.Chapters), titleText}, {WebVTTData(p.Clock), dataText}} {
			if _, err := strictVTT(c.file, c.kind); err != nil {
				t.Fatal(err)
			}
		}
	})
}

// The clock ticks with the burn: with the seconds of the film where it is sped up,
// and temperatures stand where there is a trace.
func TestClock(t *testing.T) {
	f, filmed := boiled()
	f.Clips[0].Length = stamp("0:40")
	f.Speeds = []Change{{part("0:20", "0:30"), 2.5}, {part("0:38", ""), 0.5}}
	filmed.Temperature = func(id string, at time.Duration) (quantity.Temperature, bool) {
		return quantity.Celsius(20 + at.Seconds()/7), at >= 29*time.Second
	}
	p, fs := Make(f, filmed)
	got := texts(p.Clock)
	want := []string{`20s 21.2s {"burn":"7","entry":"Fern","clock":"0:10","from_light_s":10}`, `21.2s 22.4s {"burn":"7","entry":"Fern","clock":"0:13","from_light_s":13}`}
	if d := cmp.Diff(want, got[10:12]); d != "" {
		t.Error(d, strings.Join(got, "\n"))
	}
	if last := got[len(got)-1]; last != `34s 36s {"burn":"7","entry":"Fern","clock":"0:29","from_light_s":29,"temperature_C":24.1}` {
		t.Error(last)
	}
	if finding.Has(fs, "no_trace") {
		t.Error(fs)
	}
}
