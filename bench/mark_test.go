package bench

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/journal/journaltest"
)

// lit is when the burns of these tests are lit.
var lit = time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)

func nonce(n int) string { return fmt.Sprintf("%032x", n) }

// at is one press by a phone, so many seconds after light, by a clock that is
// right within 50 ms.
func at(n int, what string, seconds float64) Press {
	when := lit.Add(time.Duration(seconds * float64(time.Second)))
	return Press{Nonce: nonce(n), Title: "Ring", Burn: "1", What: what, At: when, Pressed: when, Within: 50 * time.Millisecond, Device: "phone"}
}

// back takes a press back.
func back(n int, p Press) Press {
	p.TakesBack, p.Nonce = p.Nonce, nonce(n)
	return p
}

func pressAll(t fataler, b *Bench, presses ...Press) {
	t.Helper()
	if err := b.Press(context.Background(), presses); err != nil {
		t.Fatal(err)
	}
}

// bare is the trial Ring with two burns of which nothing is written down.
var bare = strings.NewReplacer("boil = \"6:33\"\n", "", "boil = \"6:40\"\n", "").Replace(ring)

// bench on a store of its own with the trial.
func fresh(t fataler, text string) *Bench {
	t.Helper()
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, text, Refuse)
	return b
}

// timesOf lists the marks and faults of a burn as a sheet writes them.
func timesOf(t fataler, b *Bench, id string) string {
	t.Helper()
	var all []string
	for _, r := range get(t, b, "Ring").Burns {
		if r.ID != id {
			continue
		}
		for _, m := range burn.Marks() {
			if at := r.Marks[m]; at.Given {
				all = append(all, string(m)+" "+at.Text)
			}
		}
		for _, f := range r.Faults {
			all = append(all, string(f.Kind)+" "+f.At.Text)
		}
	}
	return strings.Join(all, ", ")
}

func found(t fataler, b *Bench) []finding.Finding {
	t.Helper()
	_, fs, err := b.Trial("Ring")
	if err != nil {
		t.Fatal(err)
	}
	return fs
}

// records counts what a bench's store holds.
func records(t fataler, b *Bench) int {
	t.Helper()
	n := 0
	for _, err := range b.store.Since(context.Background(), 0, 0) {
		if err != nil {
			t.Fatal(err)
		}
		n++
	}
	return n
}

func TestPressesTimeABurn(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "pot_on", 12.04), at(3, "bloom", 31.06), at(4, "boil", 392.96), at(5, "out", 3661.5))
	pressAll(t, b, at(6, "ready", -60), at(7, "sync", 5), at(8, "unseen", 3650))
	if got := timesOf(t, b, "1"); got != "bloom 0:31.1, pot_on 0:12.0, boil 6:33.0, out 1:01:01.5" {
		t.Error(got)
	}
	if got, fs := timesOf(t, b, "2"), found(t, b); got != "" || len(fs) > 0 {
		t.Error(got, fs)
	}
	m := b.Moments("Ring", "1")
	if len(m) != 8 || m[0].What != Ready || m[7].What != "out" {
		t.Fatalf("%+v", m)
	}
	want := Moment{ID: m[4].ID, Subject: "Ring/1/bloom", Nonce: nonce(3), What: "bloom", At: lit.Add(31060 * time.Millisecond), Within: 50 * time.Millisecond, Device: "phone", Tester: "Fern", State: "holds"}
	if d := cmp.Diff(want, m[4]); d != "" {
		t.Error(d)
	}
	if m := b.Moments("Ring", "2"); len(m) > 0 {
		t.Error(m)
	}
}

func TestAPressSentAgainIsKeptOnce(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	take(t, b, bare, Refuse)
	light, spill := at(1, "light", 0), at(2, "spill", 5)
	pressAll(t, b, light, spill, light) // in one lot
	pressAll(t, b, spill)
	later := light // with a better idea of the clock
	later.At, later.Within = light.At.Add(20*time.Millisecond), time.Millisecond
	pressAll(t, b, later)
	pressAll(t, open(t, store, tester(1, "Fern")), light, later, spill) // after a new start
	other := open(t, store, tester(1, "Fern"))                          // a second server on the store, which has not read on
	pressAll(t, b, at(3, "boil", 390))
	pressAll(t, other, at(3, "boil", 390))
	if n := records(t, b); n != 7+3 {
		t.Errorf("%d records", n)
	}
	if got := timesOf(t, other, "1"); got != "boil 6:30.0, spill 0:05.0" {
		t.Error(got)
	}
}

// Sent again while the first is being kept, and with its clock known better.
func TestAPressSentAtOnceTwiceIsOne(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	take(t, b, bare, Refuse)
	other := open(t, store, tester(1, "Fern"))
	early, late := at(2, "boil", 390), at(2, "boil", 391)
	pressAll(t, b, at(1, "light", 0), early)
	sealed, err := other.press([]Press{late}) // does not know of the first yet
	if err == nil {
		err = other.append(context.Background(), sealed)
	}
	if err != nil || records(t, b) != 7+3 {
		t.Fatal(err, records(t, b))
	}
	if err := b.Refresh(context.Background()); err != nil {
		t.Fatal(err)
	}
	if a, z := timesOf(t, b, "1"), timesOf(t, other, "1"); a != z || a != "boil 6:30.0" && a != "boil 6:31.0" || len(found(t, b)) > 0 {
		t.Error(a, z, found(t, b))
	}
	pressAll(t, b, back(3, early)) // takes both back
	if got := timesOf(t, b, "1"); got != "" {
		t.Error(got)
	}
}

func TestPressesAreTakenBack(t *testing.T) {
	b := fresh(t, bare)
	light, boil, spill, more := at(1, "light", 0), at(2, "boil", 390), at(3, "spill", 20), at(4, "spill", 30)
	pressAll(t, b, light, boil, back(5, boil), spill, more) // in one lot
	if got := timesOf(t, b, "1"); got != "spill 0:20.0, spill 0:30.0" {
		t.Error(got)
	}
	pressAll(t, b, at(6, "boil", 400)) // pressed again
	if got := timesOf(t, b, "1"); got != "boil 6:40.0, spill 0:20.0, spill 0:30.0" || len(found(t, b)) > 0 {
		t.Error(got, found(t, b))
	}
	pressAll(t, b, back(7, at(6, "boil", 400)), back(8, spill)) // in a later lot
	pressAll(t, b, back(8, spill), back(9, spill))              // sent again; and taken back by another device too
	if got := timesOf(t, b, "1"); got != "spill 0:30.0" {
		t.Error(got)
	}
	pressAll(t, b, back(10, light))
	if got := timesOf(t, b, "1"); got != "" {
		t.Error(got)
	}
	has(t, found(t, b), "light_not_marked", "light was not marked, so these have no time and are not used: spill")
	pressAll(t, b, at(11, "light", 10))
	if got := timesOf(t, b, "1"); got != "spill 0:20.0" || len(found(t, b)) > 0 {
		t.Error(got, found(t, b))
	}
	n := map[string]int{}
	for _, m := range b.Moments("Ring", "1") {
		n[m.State]++
	}
	if d := cmp.Diff(map[string]int{"holds": 2, "replaced": 4, "taken back": 5}, n); d != "" {
		t.Error(d)
	}
}

func TestMomentsThatDisagreeAreLeftOut(t *testing.T) {
	b := fresh(t, bare)
	red, blue := at(2, "boil", 390), at(3, "boil", 393)
	red.Device, blue.Device = "red", "blue"
	pressAll(t, b, at(1, "light", 0), red, blue, at(4, "out", 420))
	if got := timesOf(t, b, "1"); got != "out 7:00.0" {
		t.Error(got)
	}
	has(t, found(t, b), "marks_disagree", "boil was marked at different times and none of them is used: 10:06:30.0 by red; 10:06:33.0 by blue")
	m := b.Moments("Ring", "1")
	if m[1].State != "rival" || m[2].State != "rival" || m[0].State != "holds" {
		t.Fatalf("%+v", m)
	}
	for _, c := range []struct {
		keep journal.ID
		want string
	}{{m[2].ID, "boil 6:33.0, out 7:00.0"}, {m[1].ID, "boil 6:30.0, out 7:00.0"}} { // the second time another choice
		if err := b.SettleMark(context.Background(), "Ring", "1", c.keep); err != nil {
			t.Fatal(err)
		}
		if got := timesOf(t, b, "1"); got != c.want || len(found(t, b)) > 0 {
			t.Error(got, found(t, b))
		}
	}
	if err := b.SettleMark(context.Background(), "Ring", "2", m[1].ID); !errors.Is(err, ErrUnknown) || err.Error() != fmt.Sprintf("moment %.8v is not on the bench", m[1].ID) {
		t.Error(err)
	}
	if err := b.Undo(context.Background(), "mark", "Ring/1/light"); err == nil || err.Error() != `mark "Ring/1/light": nothing of yours stands there, so there is nothing to undo: not on the bench` {
		t.Error(err)
	}
}

// A choice is undone as anything else: the rivals stand again, all of them, and what
// was pressed meanwhile stays. Undone twice it is made again.
func TestAChoiceBetweenMomentsIsUndone(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "boil", 390), at(3, "boil", 393), at(4, "out", 420))
	choose := func(i int) {
		t.Helper()
		if err := b.SettleMark(context.Background(), "Ring", "1", b.Moments("Ring", "1")[i].ID); err != nil {
			t.Fatal(err)
		}
	}
	undo := func(want string, rivals int) {
		t.Helper()
		if err := b.Undo(context.Background(), "mark", b.Moments("Ring", "1")[1].Subject); err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, m := range b.Moments("Ring", "1") {
			if m.State == "rival" {
				n++
			}
		}
		if got := timesOf(t, b, "1"); got != want || n != rivals {
			t.Errorf("%s and %d rivals, expected %s and %d", got, n, want, rivals)
		}
	}
	choose(1)
	undo("out 7:00.0", 2)
	undo("boil 6:30.0, out 7:00.0", 0)
	undo("out 7:00.0", 2)
	pressAll(t, b, at(5, "boil", 399)) // a third that nobody chose
	undo("out 7:00.0", 2)              // the first two are one again
	undo("out 7:00.0", 3)
	undo("out 7:00.0", 2)
	if u := b.Unsettled(); len(u) != 1 || len(u[0].Versions) != 2 {
		t.Errorf("%+v", u)
	}
}

// A choice between others' moments leaves them as they were when it is undone.
func TestAChoiceBetweenOthersMomentsIsUndone(t *testing.T) {
	fern, rowan := fresh(t, bare), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	pressAll(t, fern, at(1, "light", 0), at(2, "boil", 390), at(3, "boil", 393), at(4, "out", 420))
	merge(t, fern, rowan)
	m := rowan.Moments("Ring", "1")
	if err := rowan.SettleMark(context.Background(), "Ring", "1", m[2].ID); err != nil {
		t.Fatal(err)
	}
	if got := timesOf(t, rowan, "1"); got != "boil 6:33.0, out 7:00.0" {
		t.Error(got)
	}
	if err := rowan.Undo(context.Background(), "mark", m[2].Subject); err != nil {
		t.Fatal(err)
	}
	if got := timesOf(t, rowan, "1"); got != "out 7:00.0" || len(rowan.Unsettled()) != 1 {
		t.Error(got, rowan.Unsettled())
	}
}

// There must be one time that all clocks allow; that each may be as the first
// is not enough.
func TestMomentsAgreeWithinTheClocks(t *testing.T) {
	for _, x := range []struct {
		seconds []float64
		within  []float64
		agree   bool
	}{
		{[]float64{390, 391}, []float64{0.5, 0.5}, true},
		{[]float64{390, 391.001}, []float64{0.5, 0.5}, false},
		{[]float64{390, 390}, []float64{0, 0}, true},
		{[]float64{390, 392, 388}, []float64{2, 0.5, 0.5}, false},
		{[]float64{390, 392, 391}, []float64{2, 0.5, 0.5}, true},
		{[]float64{390, 395}, []float64{10, 0}, true},
	} {
		for _, order := range [][]int{{0, 1, 2}, {2, 1, 0}, {1, 2, 0}} {
			b := fresh(t, bare)
			pressAll(t, b, at(1, "light", 0))
			for _, i := range order {
				if i < len(x.seconds) {
					p := at(10+i, "boil", x.seconds[i])
					p.Within = time.Duration(x.within[i] * float64(time.Second))
					pressAll(t, b, p)
				}
			}
			want := ""
			if x.agree { // of those that agree the first
				want = "boil " + sinceLight(time.Duration(slices.Min(x.seconds)*float64(time.Second))).Text
			}
			if got := timesOf(t, b, "1"); got != want || finding.Has(found(t, b), "marks_disagree") == x.agree {
				t.Errorf("%+v in order %v: %s, expected %s; %v", x, order, got, want, found(t, b))
			}
		}
	}
}

func TestMomentsOutsideTheBurn(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "boil", -12.3), at(3, "spill", -0.1), at(4, "out", 24*3600+1), at(5, "snuffed", 24*3600))
	if got := timesOf(t, b, "1"); got != "snuffed 24:00:00.0" {
		t.Error(got)
	}
	fs := found(t, b)
	has(t, fs, "mark_outside_burn", "boil was marked 0:12.3 before light and is not used; expected within 24 h after it")
	has(t, fs, "mark_outside_burn", "spill was marked 0:00.1 before light and is not used")
	has(t, fs, "mark_outside_burn", "out was marked 24:00:01.0 after light and is not used")
	if len(fs) != 3 {
		t.Error(fs)
	}
}

func TestTwoLightsLeaveNoTime(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "light", 5), at(3, "boil", 390))
	if got, fs := timesOf(t, b, "1"), found(t, b); got != "" || len(fs) != 1 || fs[0].Code != "marks_disagree" || fs[0].Where.Subject != "burn 1" {
		t.Error(got, fs)
	}
}

func TestWhatCanHappenSeveralTimes(t *testing.T) {
	b := fresh(t, bare)
	pressAll(t, b, at(1, "light", 0), at(2, "not_boiling", 380), at(3, "not_boiling", 300), at(4, "boil_over", 395), at(5, "pot_lifted", 100), at(6, "pot_lifted", 50), at(7, "pot_lifted", 50.02))
	if got := timesOf(t, b, "1"); got != "not_boiling 6:20.0, pot_lifted 0:50.0, pot_lifted 1:40.0, boil_over 6:35.0" {
		t.Error(got)
	}
	pressAll(t, b, back(8, at(2, "not_boiling", 380)), back(9, at(5, "pot_lifted", 100)))
	if got := timesOf(t, b, "1"); got != "not_boiling 5:00.0, pot_lifted 0:50.0, boil_over 6:35.0" {
		t.Error(got)
	}
}
