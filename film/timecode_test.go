package film

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParseStamp(t *testing.T) {
	for text, want := range map[string]Stamp{
		"7:12":         {Time: 432 * time.Second},
		"7:12.04":      {Time: 432*time.Second + 40*time.Millisecond},
		"1:02:33":      {Time: 3753 * time.Second},
		"90 s":         {Time: 90 * time.Second},
		"00:07:12:01":  {432 * time.Second, 1, Frames},
		"0:07:12:01":   {432 * time.Second, 1, Frames},
		"00:07:12;01":  {432 * time.Second, 1, Drop},
		"00;07;12;01":  {432 * time.Second, 1, Drop},
		"23:59:59:119": {86399 * time.Second, 119, Frames},
	} {
		got, err := ParseStamp(text)
		if err != nil || got.Value != want || !got.Given || got.Text != text {
			t.Errorf("%q: %+v %v", text, got, err)
		}
		again, err := ParseStamp(got.Value.String())
		if err != nil || again.Value != want {
			t.Errorf("%q is written %q: %v", text, got.Value, err)
		}
	}
	for text, want := range map[string]string{
		"7.12":        `read "7.12", column 5: expected ` + wantStamp + `; add the unit, such as 7.12 s`,
		"24:00:00:00": `read "24:00:00:00", column 1: expected ` + wantStamp + `; hours run from 0 to 23, minutes and seconds from 0 to 59`,
		"00:60:00:00": `read "00:60:00:00", column 1: expected ` + wantStamp + `; hours run from 0 to 23, minutes and seconds from 0 to 59`,
		"-1:00":       `read "-1:00", column 1: expected ` + wantStamp + `; write two digits after each colon and no sign, such as 7:05`,
	} {
		if got, err := ParseStamp(text); err == nil || err.Error() != want || got.Given {
			t.Errorf("%q: got %v, want %s", text, err, want)
		}
	}
}

func TestRate(t *testing.T) {
	for text, want := range map[string]Rate{
		"25": {25, 1}, "29.97": {30000, 1001}, "23.98": {24000, 1001}, "23.976": {24000, 1001}, "59.94 fps": {60000, 1001}, "30000/1001": {30000, 1001}, "1": {1, 1}, "1000": {1000, 1}, "25/2": {25, 2},
	} {
		got, err := ParseRate(text)
		if err != nil || got.Value != want {
			t.Errorf("%q: %v %v", text, got, err)
		}
		if again, err := ParseRate(got.Value.String()); err != nil || again.Value != want {
			t.Errorf("%q is written %q", text, got.Value)
		}
	}
	for _, text := range []string{"0", "1001", "1/2", "25.5", "-25", "30000/0", "fast"} {
		if got, err := ParseRate(text); err == nil {
			t.Errorf("%q was read as %v", text, got.Value)
		}
	}
}

// A timecode that its rate does not have says why.
func TestNoSuchFrame(t *testing.T) {
	for _, c := range []struct{ rate, text, want string }{
		{"29.97", "00:01:00;00", "read 00:01:00;00, a number that drop-frame leaves out: the minute begins with frame 2"},
		{"29.97", "00:01:00;01", "read 00:01:00;01, a number that drop-frame leaves out: the minute begins with frame 2"},
		{"59.94", "00:01:00;03", "read 00:01:00;03, a number that drop-frame leaves out: the minute begins with frame 4"},
		{"25", "00:01:00;02", "read 00:01:00;02, and only 29.97 and 59.94 frames a second are counted drop-frame, not 25"},
		{"25", "00:01:00:25", "read 00:01:00:25, and at 25 frames a second they are numbered 0 to 24"},
		{"23.976", "00:01:00:24", "read 00:01:00:24, and at 23.976 frames a second they are numbered 0 to 23"},
		{"", "00:01:00:00", "read the timecode 00:01:00:00 of a clip whose frame rate is not known"},
	} {
		r, _ := ParseRate(c.rate)
		s, err := ParseStamp(c.text)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := r.Value.Time(s.Value); err == nil || err.Error() != c.want {
			t.Errorf("%s at %s: got %v, want %s", c.text, c.rate, err, c.want)
		}
	}
	for _, text := range []string{"00:01:00;02", "00:10:00;00", "00:00:00;00", "00:01:59;29"} {
		s, _ := ParseStamp(text)
		if _, err := (Rate{30000, 1001}).Time(s.Value); err != nil {
			t.Error(err)
		}
	}
}

// Counting one by one, as a recorder does, gives every frame the name that the
// formula gives it.
func TestFramesByCounting(t *testing.T) {
	for _, rate := range []Rate{{30000, 1001}, {60000, 1001}, {25, 1}, {24000, 1001}} {
		for _, count := range []Count{Frames, Drop} {
			if count == Drop && rate.dropped() == 0 {
				continue
			}
			var second, frame int64
			for n := range int64(40000) {
				want := Stamp{time.Duration(second) * time.Second, int(frame), count}
				if got, err := rate.frame(want); err != nil || got != n {
					t.Fatalf("%s: %s is frame %d, counted %d %v", rate, want, got, n, err)
				}
				if got := rate.Timecode(rate.timeOf(n), count); got != want.String() {
					t.Fatalf("%s: frame %d is %s, counted %s", rate, n, got, want)
				}
				if frame++; frame == rate.base() {
					frame, second = 0, second+1
					if count == Drop && second%60 == 0 && second/60%10 != 0 {
						frame = rate.dropped()
					}
				}
			}
		}
	}
}

// A time goes to its frame and back.
func TestTimeOfAFrameComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]Rate{{30000, 1001}, {25, 1}, {24000, 1001}, {120000, 1001}, {1000, 1}, {25, 2}}).Draw(t, "rate")
		n := rapid.Int64Range(0, 86400*rate.Num/rate.Den-1).Draw(t, "frame")
		if got := rate.frames(rate.timeOf(n)); got != n {
			t.Fatalf("frame %d came back as %d", n, got)
		}
		exact := float64(n) * float64(rate.Den) / float64(rate.Num)
		if d := rate.timeOf(n).Seconds() - exact; d > 1e-8 || d < -1e-8 {
			t.Fatalf("frame %d begins at %v, want %g", n, rate.timeOf(n), exact)
		}
	})
}

// An hour of drop-frame numbers is an hour to a tenth of a frame: 107892 × 1001/30000 s.
func TestDropFrameKeepsTime(t *testing.T) {
	s, _ := ParseStamp("01:00:00;00")
	d, err := Rate{30000, 1001}.Time(s.Value)
	if want := time.Hour - 3600*time.Microsecond; err != nil || d != want {
		t.Errorf("got %v %v, want %v", d, err, want)
	}
}
