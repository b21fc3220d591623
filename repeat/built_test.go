package repeat

import (
	"slices"
	"testing"

	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// One name on other things: which figures differ is said, and nothing is merged
// in silence.
func TestOneNameOnDifferentThings(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*trial.Trial)
		want   string // of the finding; "" for alike
	}{
		{"alike", func(*trial.Trial) {}, ""},
		{"family", func(x *trial.Trial) { x.Shelf.Burners[0].Family = gear.TopJets }, "family top jets against side jets"},
		{"jets", func(x *trial.Trial) {
			x.Shelf.Burners[0].Jets = []gear.JetRing{{Count: 16, Diameter: millimetres(1.5)}}
		},
			"jets of ring 1 16 against 24, diameter of jets of ring 1 1.5 mm against 1.0 mm"},
		{"rings, so that rings are not compared", func(x *trial.Trial) {
			x.Shelf.Burners[0].Jets = []gear.JetRing{{Count: 8, Diameter: millimetres(3)}, {Count: 8}}
		}, "rings of jets 2 against 1"},
		{"length at the limit", func(x *trial.Trial) { x.Shelf.Burners[0].Can = millimetres(53 * 1.1) }, ""},
		{"length past it", func(x *trial.Trial) { x.Shelf.Burners[0].Can = millimetres(58.4) }, "diameter of the can 58.4 mm against 53.0 mm"},
		{"smaller past it", func(x *trial.Trial) { x.Shelf.Burners[0].Can = millimetres(48.1) }, "diameter of the can 48.1 mm against 53.0 mm"},
		{"mass at the limit", func(x *trial.Trial) { x.Shelf.Burners[0].DryMass = grams(14.4) }, ""},
		{"mass past it", func(x *trial.Trial) { x.Shelf.Burners[0].DryMass = grams(14.5) }, "mass of the burner 14.5 g against 12.0 g"},
		{"seam", func(x *trial.Trial) { x.Shelf.Burners[0].Seam.Kind = "epoxy" }, "seam epoxy against interference"},
		{"case does not matter", func(x *trial.Trial) { x.Shelf.Burners[0].Seam.Kind = "Interference " }, ""},
		{"pot", func(x *trial.Trial) {
			x.Shelf.Pots[0].Material, x.Shelf.Pots[0].Diameter = "aluminium", millimetres(140)
		}, "pot aluminium against titanium, diameter of the pot 140.0 mm against 115.0 mm"},
		{"no lid", func(x *trial.Trial) { x.Entries[0].Lid = "" }, "lid none against used"},
		{"no screen", func(x *trial.Trial) { x.Entries[0].Screen = "" }, "screen none against used"},
		{"stand", func(x *trial.Trial) { x.Shelf.Stands[0].Height = millimetres(50) }, "height of the stand 50.0 mm against 35.0 mm"},
		{"fuel", func(x *trial.Trial) {
			x.Shelf.Batches[0].Components[0].Low.Value.Value = 0.80
		}, "heating value of the fuel 21.0 MJ/kg against 25.1 MJ/kg"},
	} {
		a, b := alder(), bo()
		c.change(b)
		var got []string
		for _, f := range judged(t, a, b).Findings {
			if f.Code == "built_differently" && f.Where.Subject == "entry Ash" {
				got = append(got, f.String())
			}
		}
		var want []string
		if c.want != "" {
			want = []string{"entry Ash: caution: Bo's and Alder's are clearly different things under one name: " + c.want +
				"; give what is another burner another name; figures of both stand side by side here and are not those of one burner"}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: got %q\nwant %q", c.name, got, want)
		}
	}
}

func TestWhatOneDidNotWriteDownIsSaid(t *testing.T) {
	a, b := alder(), bo()
	b.Shelf.Burners[0].DryMass, b.Shelf.Burners[0].Seam = quantity.Reading[quantity.Mass]{}, gear.Seam{}
	b.Shelf.Burners[0].Height = millimetres(40)
	b.Shelf.Batches[0].Components = nil
	c := judged(t, a, b)
	want := []string{"height", "seam", "mass of the burner", "heating value of the fuel"}
	if got := c.Entries[0].Unstated; !slices.Equal(got, want) {
		t.Errorf("not stated: %q, want %q", got, want)
	}
	expect(t, lines(c.Findings, "build_not_stated")[:1],
		"entry Ash: note: not every tester wrote down height, seam, mass of the burner, heating value of the fuel, so nothing says whether these are alike; measure them, and write them on the shelf")
	if len(c.Entries[0].Built) > 0 {
		t.Error("what is missing on one side is no difference")
	}
}
