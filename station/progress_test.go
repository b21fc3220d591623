package station

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/trial"
)

// planned is a trial of two entries with two blocks to flame-out and one snuffed.
func planned() *trial.Trial {
	return &trial.Trial{
		Entries: []trial.Entry{{Name: "cat", Burner: "cat"}, {Name: "jar", Burner: "jar"}},
		Plan: trial.Plan{Slots: []trial.Slot{
			{Order: 1, Block: "A", Entry: "cat"}, {Order: 2, Block: "A", Entry: "jar"},
			{Order: 4, Block: "B", Entry: "cat"}, {Order: 3, Block: "B", Entry: "jar"},
			{Order: 5, Block: "C", Entry: "cat", Snuff: true}, {Order: 6, Block: "C", Entry: "jar", Snuff: true},
		}},
	}
}

func orders(slots []trial.Slot) (list []int) {
	for _, s := range slots {
		list = append(list, s.Order)
	}
	return list
}

func TestProgress(t *testing.T) {
	for _, c := range []struct {
		name        string
		burns       []burn.Record
		left        []int
		void, extra string
	}{
		{"nothing burned", nil, []int{1, 2, 3, 4, 5, 6}, "", ""},
		{"by order", []burn.Record{{ID: "1", Entry: "cat", Order: 1}, {ID: "2", Entry: "jar", Order: 3}}, []int{2, 4, 5, 6}, "", ""},
		{"void leaves its slot open", []burn.Record{{ID: "1", Entry: "cat", Order: 1, Void: "spilled"}}, []int{1, 2, 3, 4, 5, 6}, "1", ""},
		{"void, and burned again", []burn.Record{{ID: "1", Entry: "cat", Order: 1, Void: "spilled"}, {ID: "2", Entry: "cat", Order: 1}}, []int{2, 3, 4, 5, 6}, "1", ""},
		{"by block and entry", []burn.Record{{ID: "1", Block: "B", Entry: "cat"}}, []int{1, 2, 3, 5, 6}, "", ""},
		{"by entry alone", []burn.Record{{ID: "1", Entry: "jar"}, {ID: "2", Entry: "jar"}}, []int{1, 4, 5, 6}, "", ""},
		{"order of another entry's slot", []burn.Record{{ID: "1", Block: "A", Entry: "jar", Order: 1}}, []int{1, 3, 4, 5, 6}, "", ""},
		{"the order leads, whichever id comes first", []burn.Record{{ID: "1", Entry: "cat"}, {ID: "2", Entry: "cat", Order: 1}}, []int{2, 3, 5, 6}, "", ""},
		{"twice in a block", []burn.Record{{ID: "1", Block: "A", Entry: "cat"}, {ID: "2", Block: "A", Entry: "cat"}}, []int{2, 3, 4, 5, 6}, "", "2"},
		{"twice in one place of the order", []burn.Record{{ID: "10", Block: "A", Entry: "cat", Order: 1}, {ID: "9", Block: "A", Entry: "cat", Order: 1}}, []int{2, 3, 4, 5, 6}, "", "10"},
		{"not planned", []burn.Record{{ID: "1", Block: "Z", Entry: "cat"}, {ID: "2", Entry: "pan"}}, []int{1, 2, 3, 4, 5, 6}, "", "1 2"},
	} {
		tr := planned()
		tr.Burns = c.burns
		p := Of(tr)
		if !slices.Equal(orders(p.Left), c.left) || p.Planned != 6 || p.Done != 6-len(c.left) {
			t.Errorf("%s: %d of %d, left %v, expected %v", c.name, p.Done, p.Planned, orders(p.Left), c.left)
		}
		if v, e := strings.Join(p.Void, " "), strings.Join(p.Extra, " "); v != c.void || e != c.extra {
			t.Errorf("%s: void %q, extra %q; expected %q, %q", c.name, v, e, c.void, c.extra)
		}
		if !reflect.DeepEqual(tr.Plan, planned().Plan) {
			t.Errorf("%s: the plan was changed to %v", c.name, orders(tr.Plan.Slots))
		}
		if next, ok := p.Next(); !ok || next.Order != c.left[0] {
			t.Errorf("%s: next is %d, %v; expected %d", c.name, next.Order, ok, c.left[0])
		}
	}
}

func TestSlotOf(t *testing.T) {
	tr := planned()
	tr.Burns = []burn.Record{{ID: "1", Entry: "cat", Order: 5}, {ID: "2", Block: "A", Entry: "jar", Void: "wind"}, {ID: "3", Entry: "pan"}}
	if s, ok := SlotOf(tr, "1"); !ok || s.Order != 5 || !s.Snuff {
		t.Errorf("burn 1 takes %+v, %v", s, ok)
	}
	for _, id := range []string{"2", "3", "4"} {
		if s, ok := SlotOf(tr, id); ok {
			t.Errorf("burn %s takes %+v", id, s)
		}
	}
}

// A burn at one level does not stand for another.
func TestLevelsHaveTheirOwnSlots(t *testing.T) {
	tr := &trial.Trial{Plan: trial.Plan{
		Factor: trial.Factor{Name: "wind", Levels: []string{"still", "fan"}},
		Slots:  []trial.Slot{{Order: 1, Entry: "cat", Level: "still"}, {Order: 2, Entry: "cat", Level: "fan"}},
	}}
	tr.Burns = []burn.Record{{ID: "1", Entry: "cat", Levels: map[string]string{"wind": "fan"}}}
	if p := Of(tr); !slices.Equal(orders(p.Left), []int{1}) {
		t.Errorf("left %v, expected slot 1", orders(p.Left))
	}
	tr.Burns[0].Levels = nil
	if p := Of(tr); len(p.Left) != 2 || !slices.Equal(p.Extra, []string{"1"}) {
		t.Errorf("a burn of unknown level: left %v, extra %v", orders(p.Left), p.Extra)
	}
}

// Burning whatever is next, with some burns void, makes the whole plan and
// nothing beside it; the trial is left as it was.
func TestFollowingNextMakesThePlan(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		tr := planned()
		w := plan.Wish{Blocks: rapid.IntRange(1, 3).Draw(rt, "blocks"), Snuffed: rapid.IntRange(0, 2).Draw(rt, "snuffed"), Seed: rapid.Uint64().Draw(rt, "seed")}
		if rapid.Bool().Draw(rt, "factor") {
			w.Factor = trial.Factor{Name: "wind", Levels: []string{"still", "fan"}}
		}
		tr.Settings = trial.DefaultSettings()
		p, _, err := plan.Make(tr, w)
		if err != nil {
			rt.Fatal(err)
		}
		tr.Plan = p.Plan
		voids := 0
		for slot, ok := Of(tr).Next(); ok; slot, ok = Of(tr).Next() {
			r := Start(tr, slot, Turn{ID: NextID(tr)})
			if voids < 5 && rapid.IntRange(0, 3).Draw(rt, "void") == 0 {
				r.Void = "spilled"
				voids++
			}
			tr.Burns = append(tr.Burns, r)
			if got, taken := SlotOf(tr, r.ID); taken != (r.Void == "") || taken && got != slot {
				rt.Fatalf("burn %s was started in %+v and takes %+v", r.ID, slot, got)
			}
			if len(tr.Burns) > len(tr.Plan.Slots)+5 {
				rt.Fatal("the plan does not end")
			}
		}
		end := Of(tr)
		if end.Done != end.Planned || len(end.Extra) > 0 || len(end.Void) != voids {
			rt.Fatalf("%+v", end)
		}
	})
}

func TestNextID(t *testing.T) {
	for _, c := range []struct{ ids, want string }{
		{"", "1"}, {"1 2 3", "4"}, {"10 9", "11"}, {"1 4", "5"}, {"a b-2", "1"}, {"-3", "1"}, {"07", "8"}, {"99999999999999999999", "1"},
	} {
		tr := &trial.Trial{}
		for _, id := range strings.Fields(c.ids) {
			tr.Burns = append(tr.Burns, burn.Record{ID: id})
		}
		if got := NextID(tr); got != c.want {
			t.Errorf("after %q: %s, expected %s", c.ids, got, c.want)
		}
	}
}

func TestRest(t *testing.T) {
	noon := time.Date(2001, 1, 1, 12, 0, 0, 0, time.UTC)
	tr := planned()
	tr.Plan.CoolDown = 12 * time.Minute
	tr.Entries = append(tr.Entries, trial.Entry{Name: "cat in a screen", Burner: "cat"}, trial.Entry{Name: "bare"}, trial.Entry{Name: "bare too"})
	ends := map[string]time.Time{}
	ended := func(entry string) (time.Time, bool) { end, ok := ends[entry]; return end, ok }
	check := func(entry string, now time.Time, want time.Duration) {
		t.Helper()
		if left, warm := Rest(tr, entry, ended, now); left != want || warm != (want > 0) {
			t.Errorf("%s at %v: %v left, warm %v; expected %v", entry, now.Sub(noon), left, warm, want)
		}
	}
	check("cat", noon, 0)
	ends["cat"] = noon
	check("cat", noon, 12*time.Minute)
	check("cat", noon.Add(12*time.Minute-time.Second), time.Second)
	check("cat", noon.Add(12*time.Minute), 0)
	check("cat", noon.Add(time.Hour), 0)
	check("jar", noon, 0)
	check("cat in a screen", noon.Add(2*time.Minute), 10*time.Minute)
	ends["cat in a screen"] = noon.Add(-time.Minute)
	check("cat in a screen", noon.Add(2*time.Minute), 10*time.Minute)
	ends["bare"] = noon
	check("bare", noon, 12*time.Minute)
	check("bare too", noon, 0) // no burner is named, so none is shared
	check("pan", noon, 0)
}

// Where the plan names no cool-down, the usual one of package plan counts.
func TestRestWithoutACoolDown(t *testing.T) {
	tr := planned()
	tr.Settings = trial.DefaultSettings()
	p, _, err := plan.Make(tr, plan.Wish{Blocks: 1})
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2001, 1, 1, 12, 0, 0, 0, time.UTC)
	left, _ := Rest(tr, "cat", func(string) (time.Time, bool) { return now, true }, now)
	if left != p.Plan.CoolDown {
		t.Errorf("%v left, expected %v", left, p.Plan.CoolDown)
	}
}

func TestStartHoldsNoReading(t *testing.T) {
	tr := planned()
	tr.Plan.Factor = trial.Factor{Name: "wind", Levels: []string{"still", "fan"}}
	tr.Burns = []burn.Record{{ID: "1", Entry: "cat", Fuel: burn.Fuel{DoseVolume: quantity.Given(30 * quantity.Millilitre)}, BoilBy: burn.Rolling}}
	turn := Turn{ID: "2", Tester: "T", Date: "2001-01-01", Station: 3}
	got := Start(tr, trial.Slot{Order: 4, Block: "B", Entry: "cat", Level: "fan", Snuff: true}, turn)
	want := burn.Record{ID: "2", Entry: "cat", Block: "B", Order: 4, Tester: "T", Date: "2001-01-01", Station: 3, Levels: map[string]string{"wind": "fan"}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v\nexpected %+v", got, want)
	}
	if got := Start(tr, trial.Slot{Entry: "cat"}, turn); got.Levels != nil {
		t.Errorf("levels are %v where the slot has none", got.Levels)
	}
}

func TestLast(t *testing.T) {
	tr := planned()
	for i, c := range []struct{ entry, void string }{{"cat", ""}, {"jar", ""}, {"cat", ""}, {"cat", "spilled"}, {"cat", ""}} {
		tr.Burns = append(tr.Burns, burn.Record{ID: fmt.Sprint(i + 7), Entry: c.entry, Void: c.void}) // 7 to 11
	}
	for _, c := range []struct {
		r    burn.Record
		want string
	}{
		{burn.Record{Entry: "cat"}, "11"}, {burn.Record{ID: "11", Entry: "cat"}, "9"}, {burn.Record{ID: "12", Entry: "jar"}, "8"},
		{burn.Record{ID: "8", Entry: "jar"}, ""}, {burn.Record{Entry: "pan"}, ""},
	} {
		if got, ok := Last(tr, c.r); got.ID != c.want || ok != (c.want != "") {
			t.Errorf("burn %q of %s: last is %q, %v; expected %q", c.r.ID, c.r.Entry, got.ID, ok, c.want)
		}
	}
}
