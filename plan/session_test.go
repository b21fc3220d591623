package plan

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

func slotsOf(entries ...string) []trial.Slot {
	var slots []trial.Slot
	for i, e := range entries {
		slots = append(slots, trial.Slot{Order: i + 1, Entry: e})
	}
	return slots
}

// TestSessionByHand: 5 minutes of handling, 8 of burning, 12 of cooling.
func TestSessionByHand(t *testing.T) {
	w := Wish{Burn: 8 * time.Minute, CoolDown: 12 * time.Minute, Stations: 1}
	for _, row := range []struct {
		name     string
		burners  string // of entries a, b, c
		order    string
		stations int
		length   time.Duration
		waits    int
		waiting  time.Duration
	}{
		{"three in turn", "xyz", "abc", 1, 39 * time.Minute, 0, 0},
		{"one again at once", "xyz", "aa", 1, 33 * time.Minute, 1, 7 * time.Minute}, // out at 13, cool at 25, would light at 18
		{"one between", "xyz", "aba", 1, 39 * time.Minute, 0, 0},                    // out at 13, cool at 25, lit at 31
		{"one burner, two entries", "xxz", "ab", 1, 33 * time.Minute, 1, 7 * time.Minute},
		{"two stations share the pot", "xyz", "ab", 2, 26 * time.Minute, 0, 0},
	} {
		tr := bench("a", "b", "c")
		for i := range tr.Entries {
			tr.Entries[i].Burner = row.burners[i : i+1]
		}
		w.Stations = row.stations
		s := session(tr, w, slotsOf(strings.Split(row.order, "")...))
		if s.Length != row.length || s.Waits != row.waits || s.Waiting != row.waiting {
			t.Errorf("%s: %v with %d waits of %v in all, want %v, %d, %v", row.name, s.Length, s.Waits, s.Waiting, row.length, row.waits, row.waiting)
		}
	}
	tr := bench("a", "b", "c")
	for i := range tr.Entries {
		tr.Entries[i].Pot = "pot of " + tr.Entries[i].Name
	}
	w.Stations = 2
	if s := session(tr, w, slotsOf("a", "b", "c")); s.Length != 26*time.Minute {
		t.Errorf("three burns with their own pots on two stations take %v, want 26m", s.Length)
	}
}

func TestFuelAndWater(t *testing.T) {
	tr := bench("a", "b", "c", "d")
	tr.Shelf.Batches = append(tr.Shelf.Batches, gear.FuelBatch{Name: "another"})
	tr.Entries[3].Fuel = "another"
	boiled(tr, "b", 300, 310)
	tr.Burns[0].Fuel.DoseMass = quantity.Given(20 * quantity.Gram)
	tr.Burns[1].Fuel.DoseMass = quantity.Given(23 * quantity.Gram) // the last one counts
	w := Wish{Stations: 1, Doses: map[string]quantity.Dose{"a": {Volume: quantity.Given(30 * quantity.Millilitre)}}}
	s := session(tr, w, slotsOf("a", "b", "c", "d", "b", "a", "d", "c"))
	want := []FuelNeed{
		{Batch: "another", Unknown: 2},
		{Batch: "bottle", Volume: 60 * quantity.Millilitre, Mass: 46 * quantity.Gram, Unknown: 2},
	}
	if diff := cmp.Diff(want, s.Fuel); diff != "" {
		t.Error(diff)
	}
	if s.Water != 8*500*quantity.Gram {
		t.Errorf("water %v kg, want 4", s.Water)
	}
}

func TestDoseAsFactor(t *testing.T) {
	w := Wish{Blocks: 3, Factor: trial.Factor{Name: "dose", Levels: []string{"20 mL", "1 fl oz"}}}
	tr := bench("a", "b")
	tr.Settings.System = quantity.US
	got := made(t, tr, w).Session.Fuel
	if want := 6 * (20*quantity.Millilitre + quantity.USFluidOunce); len(got) != 1 || got[0].Unknown != 0 || got[0].Volume-want > 1e-15 || want-got[0].Volume > 1e-15 {
		t.Errorf("%+v, want %g m³", got, want)
	}
	w.Factor.Levels[1] = "half full"
	if got := made(t, tr, w).Session.Fuel; got[0].Unknown != 6 {
		t.Errorf("%+v, want 6 unknown", got)
	}
}

func TestChecklist(t *testing.T) {
	tr := bench("b", "a")
	p := made(t, tr, Wish{Blocks: 2, Snuffed: 1, CoolDown: 5 * time.Minute, Doses: map[string]quantity.Dose{"a": {Volume: quantity.Given(30 * quantity.Millilitre)}}})
	want := []Step{
		{Prepare, "set aside about 1 h 30 min for 6 burns in 3 blocks; break off between blocks, never within one", false},
		{Prepare, "draw water for 6 fills of 500 g at once and let it stand", false},
		{Prepare, "have of bottle: 90 mL, the doses of 3 burns, and some to spare", false},
	}
	if diff := cmp.Diff(want, p.Checklist[:len(want)]); diff != "" {
		t.Error(diff)
	}
	moments := []When{Prepare, EachLight, WhileBurns, AfterBurn}
	at, cautions := 0, map[When]string{}
	for _, s := range p.Checklist {
		for moments[at] != s.When {
			at++
		}
		if s.Caution {
			cautions[s.When] += s.Do + "\n"
		}
		if strings.HasSuffix(s.Do, ".") {
			t.Errorf("%q ends with a full stop", s.Do)
		}
	}
	for when, words := range map[When][]string{
		Prepare:    {"outdoors", "level, bare, cleared ground", "local fire rules", "maker's instructions", "carbon monoxide"},
		EachLight:  {"fuel bottle closed and moved away", "lid or snuffer within reach"},
		WhileBurns: {"add no fuel", "snuffer test"},
		AfterBurn:  {"never refuel a hot burner"},
	} {
		for _, w := range words {
			if !strings.Contains(cautions[when], w) {
				t.Errorf("the cautions %s lack %q: %s", when, w, cautions[when])
			}
		}
	}
	if n := len(p.Checklist); n > 25 {
		t.Errorf("%d steps: nobody reads so many", n)
	}
}

func TestMinutesAreSaidAsPeopleSayThem(t *testing.T) {
	for span, want := range map[time.Duration]string{
		90 * time.Second: "90 s", time.Minute: "1 min", 10 * time.Minute: "10 min", 599 * time.Second: "10 min",
		59*time.Minute + 40*time.Second: "1 h 00 min", 310 * time.Minute: "5 h 10 min", 0: "0 min",
	} {
		if got := Minutes(span); got != want {
			t.Errorf("%v: %q, want %q", span, got, want)
		}
	}
}

// TestFillIsTheTrialsOwn: without a reference in the sheet, water is drawn for
// what the burns boiled.
func TestFillIsTheTrialsOwn(t *testing.T) {
	tr := bench("a", "b")
	boiled(tr, "a", 300, 310)
	for i := range tr.Burns {
		tr.Burns[i].Water.Mass = quantity.Given(400 * quantity.Gram)
	}
	p := made(t, tr, Wish{Blocks: 3})
	if want := 6 * 400 * quantity.Gram; p.Session.Water-want > 1e-12 || want-p.Session.Water > 1e-12 {
		t.Errorf("water %v kg, want %v", p.Session.Water, want)
	}
}
