package film

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"fairburn/finding"
	"fairburn/quantity"
)

func stamp(text string) quantity.Reading[Stamp] {
	if text == "" {
		return quantity.Reading[Stamp]{}
	}
	r, err := ParseStamp(text)
	if err != nil {
		panic(err)
	}
	return r
}

func after(d time.Duration) quantity.Reading[Stamp] {
	return quantity.Given(Stamp{Time: d})
}

func part(from, to string) Span { return Span{stamp(from), stamp(to)} }

func at(text string) quantity.Reading[time.Duration] {
	r, err := quantity.ParseDuration(text)
	if err != nil {
		panic(err)
	}
	return r
}

func clipOf(name, length string) Clip { return Clip{Name: name, Length: stamp(length)} }

func lines(fs []finding.Finding) []string {
	var all []string
	for _, f := range fs {
		line, _, _ := strings.Cut(f.String(), "; ")
		all = append(all, line)
	}
	return all
}

// By hand: 10 s cut off, 50 s as filmed, 240 s at 8, 60 s as filmed.
func TestCutsAndSpeedsByHand(t *testing.T) {
	f := &Film{Clips: []Clip{clipOf("A", "6:00")}, Cuts: []Span{part("", "0:10")}, Speeds: []Change{{part("1:00", "5:00"), 8}}}
	cut, fs := f.Timeline()
	if len(fs) > 0 || cut.Length() != 140*time.Second {
		t.Fatal(cut.Length(), fs)
	}
	for _, c := range []struct {
		clip, film string
	}{{"0:10", "0:00"}, {"1:00", "0:50"}, {"3:00", "1:05"}, {"5:00", "1:20"}, {"5:59", "2:19"}} {
		if got := cut.Film("A", at(c.clip).Value); !slices.Equal(got, []time.Duration{at(c.film).Value}) {
			t.Errorf("%s of the clip: %v, want %s", c.clip, got, c.film)
		}
		if name, got, ok := cut.Clip(at(c.film).Value); name != "A" || got != at(c.clip).Value || !ok {
			t.Errorf("%s of the film: %s %v %v, want %s", c.film, name, got, ok, c.clip)
		}
	}
	for _, clip := range []string{"0:00", "0:09.9", "6:00"} {
		if got := cut.Film("A", at(clip).Value); got != nil {
			t.Errorf("%s is shown at %v", clip, got)
		}
	}
	for _, film := range []time.Duration{-1, 140 * time.Second} {
		if _, _, ok := cut.Clip(film); ok {
			t.Errorf("the film shows something at %v", film)
		}
	}
}

func TestShotsByHand(t *testing.T) {
	f := &Film{Clips: []Clip{clipOf("A", "1:00"), clipOf("B", "2:00")}, Shots: []Shot{
		{Title: "What boils first?", Length: at("0:05")},
		{Clip: "A", Span: part("0:10", "0:40"), Speed: 2},
		{Clip: "B", Span: part("1:00", ""), Speed: 0.5, At: at("0:30")},
		{Clip: "A", Span: part("0:20", "0:30")},
	}}
	cut, fs := f.Timeline()
	want := []string{`shot number 4: note: 0:20 to 0:30 of clip "A" was shown in shot 2 already, and its marks come again`}
	if d := cmp.Diff(want, lines(fs)); d != "" || cut.Length() != 160*time.Second {
		t.Fatal(d, cut.Length())
	}
	if got := cut.Film("A", 24*time.Second); !slices.Equal(got, []time.Duration{12 * time.Second, 154 * time.Second}) {
		t.Errorf("twice shown at %v", got)
	}
	for film, want := range map[string]string{"0:02": "", "0:05": "A 10s", "0:19": "A 38s", "0:20": "", "0:29": "", "0:30": "B 1m0s", "1:30": "B 1m30s"} {
		name, clip, ok := cut.Clip(at(film).Value)
		if got := fmt.Sprint(name, " ", clip); ok != (want != "") || ok && got != want {
			t.Errorf("%s: %q %v, want %q", film, got, ok, want)
		}
	}
}

// Every way in which a film cannot be put together, with its place.
func TestTimelineFaults(t *testing.T) {
	a := clipOf("A", "1:00")
	where := finding.Place{File: "film.toml", Line: 9, Column: 3}
	shot := func(s Shot) *Film { s.Where = where; return &Film{Clips: []Clip{a}, Shots: []Shot{s}} }
	many := make([]Span, mostParts)
	for name, c := range map[string]struct {
		film *Film
		want string
	}{
		"no clip":       {&Film{}, "fault: the film has no clip"},
		"two clips":     {&Film{Clips: []Clip{a, clipOf("B", "1:00")}}, "fault: there are 2 clips, and nothing says how the film is made of them"},
		"same name":     {&Film{Clips: []Clip{a, {Name: "A", Length: stamp("1:00"), Where: where}}, Shots: []Shot{{Clip: "A"}}}, `film.toml:9:3: clip A: name: fault: two clips have the name "A"`},
		"no length":     {&Film{Clips: []Clip{{Name: "A", Where: where}}}, `film.toml:9:3: clip A: length: fault: clip "A" is used to its end, and nobody said how long it is`},
		"length 0":      {&Film{Clips: []Clip{{Name: "A", Length: stamp("0:00"), Where: where}}}, "film.toml:9:3: clip A: length: fault: read 0:00, expected a clip of more than nothing and at most 24:00:00"},
		"length a day+": {&Film{Clips: []Clip{{Name: "A", Length: stamp("24:00:00.1")}}}, "clip A: length: fault: read 1440:00.1, expected a clip of more than nothing and at most 24:00:00"},
		"start elapsed": {&Film{Clips: []Clip{{Name: "A", Length: stamp("1:00"), Start: stamp("1:00"), Where: where}}}, "film.toml:9:3: clip A: start: fault: read 1:00, expected the timecode of the first frame"},
		"start no rate": {&Film{Clips: []Clip{{Name: "A", Length: stamp("1:00"), Start: stamp("01:00:00:00"), Where: where}}}, "film.toml:9:3: clip A: start: fault: read the timecode 01:00:00:00 of a clip whose frame rate is not known"},
		"both":          {&Film{Clips: []Clip{a}, Cuts: []Span{part("", "0:10")}, Shots: []Shot{{Clip: "A"}}}, "cuts: fault: the film has shots, and cuts or speeds beside them"},
		"cut of none":   {&Film{Clips: []Clip{a}, Of: "B"}, `cut_from: fault: no clip is called "B"`},
		"all cut":       {&Film{Clips: []Clip{a}, Cuts: []Span{{}}}, `cuts: fault: the cuts leave nothing of clip "A"`},
		"cut outside":   {&Film{Clips: []Clip{a}, Cuts: []Span{part("0:50", "1:00.1")}}, `cut number 1: cuts: fault: the part ends at 1:00.10 of clip "A", which lasts 1:00`},
		"cut backwards": {&Film{Clips: []Clip{a}, Cuts: []Span{part("0:50", "0:40")}}, `cut number 1: cuts: fault: the part begins at 0:50 of clip "A" and ends at 0:40`},
		"cuts overlap":  {&Film{Clips: []Clip{a}, Cuts: []Span{part("0:10", "0:20"), part("0:15", "0:30")}}, "cut number 2: cuts: caution: the cut from 0:15 to 0:30 and cut 1 from 0:10 to 0:20 overlap"},
		"cuts unsorted": {&Film{Clips: []Clip{a}, Cuts: []Span{part("0:20", "0:30"), part("0:10", "0:20")}}, "cut number 2: cuts: note: the cut at 0:10 stands after cut 1 at 0:20"},
		"no speed":      {&Film{Clips: []Clip{a}, Speeds: []Change{{Span: part("", "0:10")}}}, "speed number 1: speeds: fault: a change of speed without its speed"},
		"many":          {&Film{Clips: []Clip{a}, Cuts: many}, "fault: the film has 2001 clips, cuts, speeds and shots, expected at most 2000"},

		"shot of none":     {shot(Shot{Clip: "B"}), `film.toml:9:3: shot number 1: clip: fault: no clip is called "B"`},
		"shot empty":       {shot(Shot{}), "film.toml:9:3: shot number 1: fault: the shot names no clip, and a title has a length and nothing else"},
		"title sped":       {shot(Shot{Title: "x", Length: at("0:05"), Speed: 2}), "film.toml:9:3: shot number 1: fault: the shot names no clip, and a title has a length and nothing else"},
		"shot with length": {shot(Shot{Clip: "A", Length: at("0:05")}), "film.toml:9:3: shot number 1: length: fault: the shot is of a clip, and its length follows from where it begins and ends"},
		"shot outside":     {shot(Shot{Clip: "A", Span: part("", "1:00.01")}), `film.toml:9:3: shot number 1: fault: the part ends at 1:00.01 of clip "A", which lasts 1:00`},
		"timecode no rate": {shot(Shot{Clip: "A", Span: part("", "00:00:10:00")}), "film.toml:9:3: shot number 1: fault: read the timecode 00:00:10:00 of a clip whose frame rate is not known"},
		"shots overlap": {&Film{Clips: []Clip{a}, Shots: []Shot{{Clip: "A", Span: part("", "0:20")}, {Clip: "A", Span: part("0:20", ""), At: at("0:19"), Where: where}}},
			"film.toml:9:3: shot number 2: at: fault: the shot begins at 0:19 of the film, and shot 1 runs until 0:20"},
		"film long": {&Film{Clips: []Clip{clipOf("A", "24:00:00")}, Speeds: []Change{{Span{}, 0.5}}}, "fault: the film lasts 48:00:00, expected at most 24:00:00"},
	} {
		_, fs := c.film.Timeline()
		if got := lines(fs); !slices.Equal(got, []string{c.want}) {
			t.Errorf("%s: got %q\nwant %q", name, got, c.want)
		}
		for _, f := range fs {
			if f.Severity > finding.Note && f.Remedy == "" {
				t.Errorf("%s: no remedy", name)
			}
		}
	}
}

func TestParseSpeed(t *testing.T) {
	for text, want := range map[string]Speed{"8": 8, "8x": 8, "8 ×": 8, "800 %": 8, "0.5": 0.5, ".5": 0.5, "50%": 0.5, "0.01": 0.01, "1000": 1000} {
		if got, err := ParseSpeed(text); err != nil || got.Value != want {
			t.Errorf("%q: %v %v", text, got.Value, err)
		}
	}
	for text, want := range map[string]string{
		"0":      `read "0", column 1: expected a speed, 1 being as filmed; a speed is above zero: for a still, write a shot with a title and a length`,
		"-2":     `read "-2", column 1: expected a speed, 1 being as filmed; a clip shown backwards has no running clock: leave it out, or show it without one as a shot with a length`,
		"0.009":  `read "0.009", column 1: expected a speed, 1 being as filmed; speeds from 0.01 to 1000 are taken`,
		"1000.1": `read "1000.1", column 1: expected a speed, 1 being as filmed; speeds from 0.01 to 1000 are taken`,
		"fast":   `read "fast", column 1: expected a speed, 1 being as filmed; write 8, "8x" or "800 %"`,
	} {
		if _, err := ParseSpeed(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v\nwant %s", text, err, want)
		}
	}
}

// edited draws a clip of at most so many milliseconds with cuts and speeds.
func edited(t *rapid.T, most int) *Film {
	length := rapid.IntRange(1, most).Draw(t, "length")
	ms := func(n int) quantity.Reading[Stamp] { return after(time.Duration(n) * time.Millisecond) }
	span := func() Span {
		from := rapid.IntRange(0, length-1).Draw(t, "from")
		return Span{ms(from), ms(rapid.IntRange(from+1, length).Draw(t, "to"))}
	}
	f := &Film{Clips: []Clip{{Name: "A", Length: ms(length)}}}
	for range rapid.IntRange(0, 4).Draw(t, "cuts") {
		f.Cuts = append(f.Cuts, span())
	}
	for range rapid.IntRange(0, 4).Draw(t, "speeds") {
		f.Speeds = append(f.Speeds, Change{span(), Speed(rapid.Float64Range(0.1, 50).Draw(t, "speed"))})
	}
	return f
}

// slack is what rounding to a nanosecond of the film may do to a time of the clip,
// where all speeds lie over each other.
func slack(f *Film) time.Duration {
	fastest := 1.0
	for _, c := range f.Speeds {
		fastest *= max(1, float64(c.Speed))
	}
	return time.Duration(math.Ceil(fastest/2)) + 1
}

// The mapping from clip to film is monotone and inverts; what is cut is not shown.
func TestMappingIsMonotoneAndInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := edited(t, 600_000)
		cut, fs := f.Timeline()
		if finding.Has(fs, "all_cut") {
			return
		}
		length := f.Clips[0].Length.Value.Time
		clips := rapid.SliceOfN(rapid.Int64Range(0, int64(length)-1), 1, 20).Draw(t, "times")
		slices.Sort(clips)
		last := time.Duration(-1)
		for _, n := range clips {
			at := time.Duration(n)
			gone := slices.ContainsFunc(f.Cuts, func(s Span) bool { return s.From.Value.Time <= at && at < s.To.Value.Time })
			shown := cut.Film("A", at)
			if gone != (len(shown) == 0) || len(shown) > 1 {
				t.Fatalf("%v: cut %v, shown at %v", at, gone, shown)
			}
			if gone {
				continue
			}
			if shown[0] < last {
				t.Fatalf("%v is shown at %v, before %v", at, shown[0], last)
			}
			last = shown[0]
			if shown[0] >= cut.Length() {
				continue // the last nanoseconds of a fast film round to its end
			}
			if name, back, ok := cut.Clip(shown[0]); !ok || name != "A" || (back-at).Abs() > slack(f) {
				t.Fatalf("%v is shown at %v, which is %v of the clip", at, shown[0], back)
			}
		}
	})
}

// The film is as long as the integral of 1/speed over what is not cut, with the
// speeds of overlapping changes multiplied: summed here millisecond by millisecond.
func TestSpeedsMultiplyInTheLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := edited(t, 30_000)
		cut, fs := f.Timeline()
		if finding.Has(fs, "all_cut") {
			return
		}
		covers := func(s Span, at time.Duration) bool { return s.From.Value.Time <= at && at < s.To.Value.Time }
		var want float64
		for at := time.Duration(0); at < f.Clips[0].Length.Value.Time; at += time.Millisecond {
			rate := 1.0
			for _, s := range f.Speeds {
				if covers(s.Span, at) {
					rate *= float64(s.Speed)
				}
			}
			if !slices.ContainsFunc(f.Cuts, func(s Span) bool { return covers(s, at) }) {
				want += 0.001 / rate
			}
		}
		if got := cut.Length().Seconds(); math.Abs(got-want) > 1e-6 {
			t.Fatalf("the film lasts %.9f s, summed %.9f s", got, want)
		}
	})
}

// Running a whole clip at a and then at b is running it at a·b.
func TestSpeedsMultiply(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := Speed(rapid.Float64Range(0.1, 30).Draw(t, "a")), Speed(rapid.Float64Range(0.1, 30).Draw(t, "b"))
		clip := clipOf("A", "10:00")
		twice, _ := (&Film{Clips: []Clip{clip}, Speeds: []Change{{Span{}, a}, {Span{}, b}}}).Timeline()
		once, _ := (&Film{Clips: []Clip{clip}, Shots: []Shot{{Clip: "A", Speed: a * b}}}).Timeline()
		at := time.Duration(rapid.Int64Range(0, int64(10*time.Minute)-1).Draw(t, "at"))
		if x, y := twice.Film("A", at), once.Film("A", at); len(x) != 1 || len(y) != 1 || (x[0]-y[0]).Abs() > 1 {
			t.Fatalf("%v: %v and %v", at, x, y)
		}
	})
}
