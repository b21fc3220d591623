package sheet

import (
	"testing"
	"time"

	"fairburn/burn"
)

func TestTimesOfDayBecomeTimesFromLight(t *testing.T) {
	for _, row := range []struct {
		light, boil string
		want        time.Duration
	}{
		{"14:03:20", "14:10:32", 7*time.Minute + 12*time.Second},
		{"14:03:20", "7:12", 7*time.Minute + 12*time.Second}, // one colon: from light
		{"14:03:20", "14:10:32.5", 7*time.Minute + 12500*time.Millisecond},
		{"23:57:00", "00:04:12", 7*time.Minute + 12*time.Second}, // over midnight
		{"23:59:59", "00:00:00", time.Second},
		{"14:03:20", "14:03:20", 0},
		{"14:03:20", "14:02:20", -time.Minute}, // the burn's own check says that it lies before light
		{"00:00:10", "23:59:50", -20 * time.Second},
		{"08:00:00", "19:59:59", 12*time.Hour - time.Second}, // half a day: the border
		{"08:00:00", "20:00:00", -12 * time.Hour},
		{"0:12:05", "0:19:17", 7*time.Minute + 12*time.Second}, // a film's own time
		{"0:00", "1:02:33", time.Hour + 2*time.Minute + 33*time.Second},
		{"0 s", "432 s", 7*time.Minute + 12*time.Second},
	} {
		text := "fairburn = 1\n[[burn]]\nid = 1\nboil = \"" + row.boil + "\"\nlight = \"" + row.light + "\"\n"
		tr, fs, err := Read("x.toml", []byte(text))
		if err != nil || len(fs) > 0 {
			t.Errorf("%v: %v %v", row, fs, err)
			continue
		}
		b := tr.Burns[0]
		at, given := b.At(burn.Boil)
		if at != row.want || !given || b.Marks[burn.Boil].Text != row.boil || b.Marks[burn.Light].Text != row.light || b.Marks[burn.Light].Value != 0 {
			t.Errorf("light %s, boil %s: got %v (%+v)", row.light, row.boil, at, b.Marks)
		}
	}
}

func TestTheLongestTimeFromLightWithHours(t *testing.T) {
	read := func(boil string) int {
		_, fs, err := Read("x.toml", []byte("fairburn = 1\n[[burn]]\nid = 1\nboil = \""+boil+"\"\n"))
		if err != nil {
			t.Fatal(err)
		}
		return len(fs)
	}
	if read("6:00:00") != 0 || read("6:00:01") != 1 || read("400:00") != 0 {
		t.Error("6:00:00 is a time from light, 6:00:01 a time of day, and 400:00 has no hours to mistake")
	}
}

func TestAClockCountsForOneBurnOnly(t *testing.T) {
	tr, fs, err := Read("x.toml", []byte("fairburn = 1\n[[burn]]\nid = 1\nlight = \"14:03:20\"\nout = { read = \"14:13:20\", with = \"kitchen clock\" }\nfaults = [\"spill at 14:05:20\", { what = \"relit\", at = \"3:00\" }]\npeak_at = 14:06:20\n[[burn]]\nid = 2\nlight = { read = \"15:00:00\", with = \"kitchen clock\" }\nout = \"15:08:00\"\n[[burn]]\nid = 3\nout = \"1:08:00\"\n"))
	if err != nil || len(fs) > 0 {
		t.Fatal(fs, err)
	}
	out := func(i int) time.Duration { return tr.Burns[i].Marks[burn.Out].Value }
	if out(0) != 10*time.Minute || out(1) != 8*time.Minute || out(2) != 68*time.Minute {
		t.Error(out(0), out(1), out(2))
	}
	b := tr.Burns[0]
	if b.Marks[burn.Out].Instrument != "kitchen clock" || b.Faults[0].At.Value != 2*time.Minute || b.Faults[1].At.Value != 3*time.Minute || b.Water.PeakAt.Value != 3*time.Minute {
		t.Errorf("%+v", b)
	}
}
