package film

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/quantity"
)

func seen(burnID string, marks map[burn.Mark]string) Timed {
	t := Timed{Burn: burnID, Marks: map[burn.Mark]quantity.Reading[Stamp]{}, Where: finding.Place{File: "film.toml", Line: 12}}
	for m, s := range marks {
		t.Marks[m] = stamp(s)
	}
	return t
}

// Marks of a burn nobody timed, worked by hand: 29.97 frames a second drop-frame.
// Light is frame 315 (10 s 15 frames), pot on frame 1200, out frame 16202:
// 00:09:01;02 is 30 · 541 + 2 − 2 · 9 = 16214.
func TestTimedFromFootage(t *testing.T) {
	f := &Film{Clips: []Clip{{Name: "A", Rate: Rate{30000, 1001}, Length: stamp("00:09:50;00")}}, Timed: []Timed{
		seen("7", map[burn.Mark]string{burn.Light: "00:00:10;15", burn.PotOn: "00:00:40;00", burn.Boil: "7:31.5 ± 2 s", burn.Out: "00:09:01;02"}),
	}}
	before := []burn.Record{{ID: "6"}, {ID: "7", Entry: "Rue"}}
	burns, fs := f.Time(before)
	if len(fs) > 0 || before[1].Marks != nil {
		t.Fatal(fs, before)
	}
	per := 1001.0 / 30000
	for m, want := range map[burn.Mark]struct {
		s, half float64
		text    string
	}{
		burn.PotOn: {(1200 - 315) * per, 0.034, "0:29.530 ± 0.034 s"},
		burn.Boil:  {451.5 - 315*per, 2.067, "7:20.990 ± 2.067 s"}, // typed to 0.1 s, which is coarser than a frame
		burn.Out:   {(16214 - 315) * per, 0.034, "8:50.497 ± 0.034 s"},
	} {
		got := burns[1].Marks[m]
		if math.Abs(got.Value.Seconds()-want.s) > 0.0005 || math.Abs(got.Tolerance-want.half) > 1e-9 || got.Text != want.text || !got.Given {
			t.Errorf("%s: %+v, want %.4f", m, got, want.s)
		}
	}
	if _, ok := burns[1].Marks[burn.Bloom]; ok || len(burns[0].Marks) > 0 {
		t.Error("a mark nobody saw")
	}
	p, fs := Make(f, Filmed{Burns: burns})
	if p == nil || p.Marks[3].Label != "out" || p.Marks[3].Timecode != "00:09:01;02" {
		t.Errorf("captions of a burn that was timed: %+v %v", p.Marks, fs)
	}
}

func TestTimedFindings(t *testing.T) {
	clip := Clip{Name: "A", Rate: Rate{25, 1}, Length: stamp("10:00")}
	for name, c := range map[string]struct {
		timed Timed
		live  float64
		want  []string
	}{
		"no light":     {seen("7", map[burn.Mark]string{burn.Boil: "7:00"}), 0, []string{"film.toml:12: burn 7: light: fault: nothing says when the fuel is seen to catch fire, and every mark counts from there"}},
		"before light": {seen("7", map[burn.Mark]string{burn.Light: "0:10", burn.Boil: "0:09"}), 0, []string{"film.toml:12: burn 7: boil: fault: boil is seen at 0:09 of the clip, before light at 0:10"}},
		"no frame":     {seen("7", map[burn.Mark]string{burn.Light: "00:00:10:25"}), 0, []string{"film.toml:12: burn 7: light: fault: read 00:00:10:25, and at 25 frames a second they are numbered 0 to 24"}},
		"no burn":      {seen("8", map[burn.Mark]string{burn.Light: "0:10"}), 0, []string{`film.toml:12: burn 8: fault: the trial has no burn "8"`}},
		"no clip":      {Timed{Clip: "B", Burn: "7"}, 0, []string{`burn 7: fault: no clip is called "B"`}},
		"agrees":       {seen("7", map[burn.Mark]string{burn.Light: "0:10.00", burn.Boil: "7:00.00"}), 411.03, nil},
		"differs": {seen("7", map[burn.Mark]string{burn.Light: "0:10.00", burn.Boil: "7:00.00"}), 411.05,
			[]string{"film.toml:12: burn 7: boil: caution: boil was marked at 6:51.05 from light and is seen at 6:50.000 ± 0.040 s, 1.05 s apart where 1.04 s are expected"}},
	} {
		b := burned("7", "Fern", nil)
		if c.live > 0 {
			b = burned("7", "Fern", map[burn.Mark]float64{burn.Boil: c.live})
		}
		burns, fs := (&Film{Clips: []Clip{clip}, Timed: []Timed{c.timed}}).Time([]burn.Record{b})
		if got := lines(fs); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q\nwant %q", name, got, c.want)
		}
		if c.live > 0 && burns[0].Marks[burn.Boil].Value.Seconds() != c.live {
			t.Errorf("%s: the live mark was changed", name)
		}
	}
}

// The true time lies within the tolerance, whenever the light and the boil really
// were: a viewer sees an event first in the next frame that begins.
func TestTheTruthLiesWithinTheTolerance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]Rate{{25, 1}, {30000, 1001}, {60, 1}}).Draw(t, "rate")
		light := rapid.Float64Range(0, 60).Draw(t, "light")
		boil := light + rapid.Float64Range(0, 500).Draw(t, "boil")
		first := func(s float64) quantity.Reading[Stamp] {
			n := int64(math.Ceil(s * rate.PerSecond()))
			return stamp(rate.Timecode(rate.timeOf(n), Frames))
		}
		f := &Film{Clips: []Clip{{Name: "A", Rate: rate, Length: stamp("20:00")}}, Timed: []Timed{{Burn: "7", Marks: map[burn.Mark]quantity.Reading[Stamp]{burn.Light: first(light), burn.Boil: first(boil)}}}}
		burns, fs := f.Time([]burn.Record{{ID: "7"}})
		got := burns[0].Marks[burn.Boil]
		if len(fs) > 0 || math.Abs(got.Value.Seconds()-(boil-light)) > got.Tolerance+0.0005 {
			t.Fatalf("%v, true %.4f: %v", got, boil-light, fs)
		}
		if again, err := quantity.ParseDuration(got.Text); err != nil || again != got {
			t.Fatalf("%+v is read from its text as %+v", got, again)
		}
		if got.Value%time.Millisecond != 0 {
			t.Fatal(got)
		}
	})
}
