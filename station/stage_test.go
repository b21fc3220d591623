package station

import (
	"testing"

	"fairburn/burn"
)

func TestStageOf(t *testing.T) {
	must, should := []Ask{{Key: "notes", Need: May}, {Key: "start", Need: Must}}, []Ask{{Key: "air", Need: Should}, {Key: "notes", Need: May}}
	for _, c := range []struct {
		name   string
		marks  []burn.Mark
		void   string
		asks   []Ask
		unseen bool
		want   Stage
	}{
		{"something missing", nil, "", must, false, SettingUp},
		{"the rest is good to have", nil, "", should, false, Ready},
		{"nothing missing", nil, "", nil, false, Ready},
		{"unseen before it was lit", nil, "", nil, true, Ready},
		{"given up before it was lit", nil, "did not light", must, false, Ended},
		{"lit", []burn.Mark{burn.Light}, "", nil, false, Burning},
		{"lit with something missing", []burn.Mark{burn.Light}, "", must, false, Burning},
		{"pot off", []burn.Mark{burn.Light, burn.Boil, burn.PotOff}, "", nil, false, Burning},
		{"flame not seen", []burn.Mark{burn.Light, burn.Boil}, "", nil, true, Unseen},
		{"void does not put a flame out", []burn.Mark{burn.Light}, "wrong pot", nil, false, Burning},
		{"void and not seen", []burn.Mark{burn.Light}, "wrong pot", nil, true, Unseen},
		{"out", []burn.Mark{burn.Light, burn.Out}, "", nil, true, Ended},
		{"snuffed", []burn.Mark{burn.Light, burn.Snuffed}, "", must, false, Ended},
		{"out, without the light", []burn.Mark{burn.Out}, "", nil, false, Ended},
	} {
		r := burn.Record{Marks: marked(c.marks...), Void: c.void}
		if got := StageOf(r, c.asks, c.unseen); got != c.want {
			t.Errorf("%s: %q, expected %q", c.name, got, c.want)
		}
	}
}

// No press but the two ends of the flame ends a burn, faults included.
func TestOnlyTwoMomentsEndABurn(t *testing.T) {
	for _, m := range Moments() {
		r := burn.Record{Marks: marked(burn.Light)}
		if m.Mark != "" {
			r.Marks = marked(burn.Light, m.Mark)
		}
		if m.Fault != "" {
			r.Faults = []burn.Fault{{Kind: m.Fault}}
		}
		ended := m.Mark == burn.Out || m.Mark == burn.Snuffed
		if got := StageOf(r, nil, m.Unseen); (got == Ended) != ended {
			t.Errorf("after %q the burn is %q", m.Label, got)
		}
	}
}
