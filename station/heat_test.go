package station

import (
	"testing"
	"time"

	"fairburn/trial"
)

func TestDueIsTheFirstThatIsCold(t *testing.T) {
	left := Progress{Left: []trial.Slot{{Order: 1, Entry: "A"}, {Order: 2, Entry: "B"}, {Order: 3, Entry: "A"}, {Order: 4, Entry: "C"}}}
	hot := func(d time.Duration) Heat { return Heat{Left: d} }
	inUse := Heat{InUse: true}
	for name, c := range map[string]struct {
		heat map[string]Heat
		want int
	}{
		"all cold":                  {nil, 1},
		"the first cools":           {map[string]Heat{"A": hot(1)}, 2},
		"the first burns":           {map[string]Heat{"A": inUse}, 2},
		"only the last is cold":     {map[string]Heat{"A": inUse, "B": hot(time.Hour)}, 4},
		"none is cold":              {map[string]Heat{"A": hot(3), "B": hot(2), "C": hot(2)}, 2},
		"one burns, the rest cools": {map[string]Heat{"A": inUse, "B": hot(5 * time.Minute), "C": hot(time.Minute)}, 4},
		"all burn":                  {map[string]Heat{"A": inUse, "B": inUse, "C": inUse}, 1},
		"it burns before it cools":  {map[string]Heat{"A": {true, time.Second}, "B": hot(time.Hour), "C": inUse}, 2},
	} {
		slot, heat, ok := left.Due(func(entry string) Heat { return c.heat[entry] })
		if !ok || slot.Order != c.want || heat != c.heat[slot.Entry] {
			t.Errorf("%s: slot %d, %v", name, slot.Order, heat)
		}
	}
	if slot, _, ok := (Progress{}).Due(func(string) Heat { return Heat{} }); ok {
		t.Errorf("of nothing left: %v", slot)
	}
}

func TestOpenIsTheFirstOfAnEntry(t *testing.T) {
	p := Progress{Left: []trial.Slot{{Order: 2, Entry: "B"}, {Order: 3, Entry: "A"}, {Order: 5, Entry: "A"}}}
	if slot, ok := p.Open("A"); !ok || slot.Order != 3 {
		t.Error(slot, ok)
	}
	if slot, ok := p.Open("C"); ok {
		t.Error(slot)
	}
	if !(Heat{}).Cold() || (Heat{Left: 1}).Cold() || (Heat{InUse: true}).Cold() {
		t.Error("cold is nothing in use and nothing left")
	}
}
