package bench

import (
	"context"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/sheet"
	"fairburn/trial"
)

// writtenOut is the sheet of a trial as the bench has it.
func writtenOut(t fataler, b *Bench) string {
	t.Helper()
	text, err := sheet.Write(get(t, b, "Ring"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// addsNothing takes the trial as the bench has it.
func addsNothing(t fataler, b *Bench) {
	t.Helper()
	n := records(t, b)
	if r := take(t, b, writtenOut(t, b), Refuse); records(t, b) != n || len(r.Replaced)+len(r.Added)+len(r.Findings) > 0 {
		t.Fatalf("%+v", r)
	}
}

func TestWhatIsWrittenDownLeadsOverAPress(t *testing.T) {
	b := fresh(t, strings.Replace(ring, `boil = "6:33"`, "boil = \"6:33\"\nnot_boiling = \"5:00\"\nfaults = [\"spill at 4:00\", \"boil_over at 3:20.0\"]", 1))
	pressAll(t, b, at(1, "light", 0), at(2, "boil", 400), at(3, "not_boiling", 350), at(4, "not_boiling", 200), at(5, "boil_over", 200), at(6, "spill", 30), at(7, "out", 450))
	const want = "not_boiling 5:00, boil 6:33, out 7:30.0, spill 4:00, boil_over 3:20.0, spill 0:30.0"
	if got := timesOf(t, b, "1"); got != want || len(found(t, b)) > 0 {
		t.Error(got, found(t, b))
	}
	addsNothing(t, b)
	if got := timesOf(t, b, "1"); got != want {
		t.Error(got)
	}
}

// A sheet written out with the times pressed comes back without adding a word;
// a time corrected in it leads from then on, and the press stays.
func TestPressedTimesGoOutAndComeBack(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "bloom", 30), at(3, "boil", 392.96), at(4, "spill", 20), at(5, "spill", 20.01), at(6, "boil_over", 395.14))
	addsNothing(t, b)
	text := writtenOut(t, b)
	for _, want := range []string{`boil = "6:33.0"`, `bloom = "0:30.0"`, `{ what = "spill", at = "0:20.0" }`, `{ what = "boil_over", at = "6:35.1" }`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in\n%s", want, text)
		}
	}
	r := take(t, b, strings.Replace(text, `boil = "6:33.0"`, `boil = "6:31"`, 1), Refuse)
	if d := cmp.Diff([]Change{{Thing: "burn 1", Is: `boil = "6:31"`}}, r.Replaced); d != "" {
		t.Error(d)
	}
	if got := timesOf(t, b, "1"); got != "bloom 0:30.0, boil 6:31, spill 0:20.0, boil_over 6:35.1" || len(b.Moments("Ring", "1")) != 6 {
		t.Error(got)
	}
	addsNothing(t, b)
	pressAll(t, b, back(9, at(2, "bloom", 30)), at(10, "bloom", 33)) // goes on timing what nobody wrote down
	if got := timesOf(t, b, "1"); got != "bloom 0:33.0, boil 6:31, spill 0:20.0, boil_over 6:35.1" {
		t.Error(got)
	}
	addsNothing(t, b)
}

// A burn kept from a page that shows the times pressed does not write them down.
func TestAPageThatShowsPressedTimesWritesNoneDown(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "boil", 390))
	shown := get(t, b, "Ring").Burns[0]
	shown.Notes = "a gust at the end"
	r, subject, err := b.Put(context.Background(), Edit{Kind: "burn", Title: "Ring", Thing: &trial.Trial{Settings: trial.DefaultSettings(), Burns: []burn.Record{shown}}})
	if err != nil || subject != "Ring/1" || len(r.Replaced) != 1 || r.Replaced[0].String() != `with notes = "a gust at the end"` {
		t.Fatal(err, r)
	}
	x, _, _ := b.Thing("burn", subject)
	if x.Burns[0].Marks[burn.Boil].Given || timesOf(t, b, "1") != "boil 6:30.0" {
		t.Error(x.Burns[0], timesOf(t, b, "1"))
	}
}

// Pressed or typed, a burn comes to the same figures.
func TestPressedAndTypedBurnsReduceAlike(t *testing.T) {
	const weighed = "dose = \"15 g\"\nwater = \"500 g\"\nstart = \"15 °C\"\n"
	setUp := strings.NewReplacer("entry = \"Heron\"\n", "entry = \"Heron\"\n"+weighed, "boil = \"6:33\"\n", "", "boil = \"6:40\"\n", "").Replace(ring)
	typed := strings.Replace(setUp, weighed, weighed+"bloom = \"0:31.1\"\nboil = \"6:33.0\"\nout = \"7:05.5\"\nfaults = [\"boil over at 6:34.0\"]\n", 1)
	if setUp == typed || !strings.Contains(typed, "boil = \"6:33.0\"") {
		t.Fatal("the sheets are not what this test needs")
	}
	b := fresh(t, setUp)
	pressAll(t, b, at(1, "light", 0), at(2, "bloom", 31.06), at(3, "boil", 392.96), at(4, "boil_over", 394), at(5, "out", 425.5))
	pressed, want := get(t, b, "Ring"), read(t, typed)
	if d := cmp.Diff(want, pressed, same); d != "" {
		t.Error(d)
	}
	a, z := pressed.Reduce(), want.Reduce()
	if d := cmp.Diff(z.Results, a.Results, same, cmpopts.EquateNaNs(), cmp.Exporter(func(reflect.Type) bool { return true }), cmpopts.IgnoreFields(finding.Place{}, "File", "Line", "Column")); d != "" || len(z.Results) != 2 {
		t.Error(d)
	}
}

func TestATimeAfterLightIsWrittenToATenth(t *testing.T) {
	for after, want := range map[time.Duration]string{
		0: "0:00.0", 49 * time.Millisecond: "0:00.0", 50 * time.Millisecond: "0:00.1", 59949 * time.Millisecond: "0:59.9",
		59950 * time.Millisecond: "1:00.0", 59*time.Minute + 59950*time.Millisecond: "1:00:00.0", longestBurn: "24:00:00.0",
	} {
		got := sinceLight(after)
		if got.Text != want || !got.Given || (got.Value-after).Abs() > 50*time.Millisecond {
			t.Errorf("%v became %+v", after, got)
		}
	}
}
