package station

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fairburn/burn"
	"fairburn/gear"
)

var families = []gear.Family{
	gear.OpenCup, gear.CapillaryRim, gear.NotchedRings, gear.RimHoles, gear.AirJacket,
	gear.SideJets, gear.TopJets, gear.SlitSeam, gear.Wick, gear.LowPressure, "",
}

// What each family passes follows from how it works (common practice, no source).
func TestOrderOfEachFamily(t *testing.T) {
	const blooming, plain = "light bloom pot_on boil pot_off out", "light pot_on boil pot_off out"
	want := map[gear.Family]string{
		gear.OpenCup: plain, gear.NotchedRings: plain, gear.RimHoles: "light pot_on bloom boil pot_off out", gear.AirJacket: plain, gear.Wick: plain,
		gear.CapillaryRim: blooming, gear.SideJets: blooming, gear.TopJets: blooming, gear.SlitSeam: blooming, gear.LowPressure: blooming,
		"": blooming,
	}
	for _, f := range families {
		if got := spelled(Order(f, false, false)); got != want[f] {
			t.Errorf("%q: order is %s, expected %s", f, got, want[f])
		}
	}
}

func TestOrderOfPlannedEnds(t *testing.T) {
	for _, c := range []struct {
		snuff, simmer bool
		want          string
	}{
		{false, true, "light bloom pot_on boil simmer_start simmer_end pot_off out"},
		{true, false, "light bloom pot_on boil snuffed pot_off"},
		{true, true, "light bloom pot_on boil snuffed pot_off"},
	} {
		if got := spelled(Order(gear.SideJets, c.snuff, c.simmer)); got != c.want {
			t.Errorf("snuff %v, simmer %v: order is %s, expected %s", c.snuff, c.simmer, got, c.want)
		}
	}
}

func TestOrderHoldsBloomAndPotByFamily(t *testing.T) {
	for _, f := range families {
		for _, snuff := range []bool{false, true} {
			order := Order(f, snuff, !snuff)
			bloom, pot := slices.Index(order, burn.Bloom), slices.Index(order, burn.PotOn)
			if order[0] != burn.Light || (bloom >= 0) != (f.Blooms() || f == "") || slices.Contains(order, burn.NotBoiling) {
				t.Errorf("%q: order is %v", f, order)
			}
			if bloom >= 0 && (pot < bloom) != f.TakesPotBeforeBloom() {
				t.Errorf("%q: pot on at %d and bloom at %d of %v", f, pot, bloom, order)
			}
		}
	}
}

func spelled(order []burn.Mark) string {
	words := make([]string, len(order))
	for i, m := range order {
		words[i] = string(m)
	}
	return strings.Join(words, " ")
}

func among(marked ...burn.Mark) func(burn.Mark) bool {
	return func(m burn.Mark) bool { return slices.Contains(marked, m) }
}

func TestNext(t *testing.T) {
	toTheEnd, atTheBoil := Order(gear.SideJets, false, false), Order(gear.SideJets, true, false)
	for _, c := range []struct {
		name  string
		order []burn.Mark
		has   []burn.Mark
		want  burn.Mark // "": nothing left
	}{
		{"nothing marked", toTheEnd, nil, burn.Light},
		{"lit", toTheEnd, []burn.Mark{burn.Light}, burn.Bloom},
		{"bloom missed", toTheEnd, []burn.Mark{burn.Light, burn.PotOn}, burn.Boil},
		{"light came from a notebook", toTheEnd, []burn.Mark{burn.PotOn}, burn.Boil},
		{"not boiling yet", toTheEnd, []burn.Mark{burn.Light, burn.Bloom, burn.PotOn, burn.NotBoiling}, burn.Boil},
		{"pot off without a boil", toTheEnd, []burn.Mark{burn.Light, burn.PotOn, burn.PotOff}, burn.Out},
		{"out", toTheEnd, []burn.Mark{burn.Light, burn.Out}, ""},
		{"snuffed, though planned to the end", toTheEnd, []burn.Mark{burn.Light, burn.Boil, burn.Snuffed}, ""},
		{"boiled, to be snuffed", atTheBoil, []burn.Mark{burn.Light, burn.Boil}, burn.Snuffed},
		{"snuffed as planned", atTheBoil, []burn.Mark{burn.Light, burn.Boil, burn.Snuffed}, burn.PotOff},
		{"out before it could be snuffed", atTheBoil, []burn.Mark{burn.Light, burn.Out}, burn.PotOff},
		{"pot off after snuffing", atTheBoil, []burn.Mark{burn.Light, burn.Snuffed, burn.PotOff}, ""},
		{"no order", nil, nil, ""},
	} {
		got, more := Next(c.order, among(c.has...))
		if got != c.want || more != (c.want != "") {
			t.Errorf("%s: next is %q, %v; expected %q", c.name, got, more, c.want)
		}
	}
}

// Pressed in any order, marks never bring an earlier one back, and never ask
// for one that is there.
func TestNextNeverGoesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		order := Order(rapid.SampledFrom(families).Draw(t, "family"), rapid.Bool().Draw(t, "snuff"), rapid.Bool().Draw(t, "simmer"))
		var marked []burn.Mark
		for _, m := range rapid.Permutation(burn.Marks()).Draw(t, "pressed") {
			marked = append(marked, m)
			next, more := Next(order, among(marked...))
			for i, o := range order {
				if more && slices.Contains(marked, o) && slices.Index(order, next) <= i {
					t.Fatalf("after %v of %v, next is %q", marked, order, next)
				}
			}
		}
		if next, more := Next(order, among(marked...)); more {
			t.Fatalf("everything is marked and next is %q", next)
		}
	})
}

func TestNextWalksTheWholeOrder(t *testing.T) {
	for _, f := range families {
		for _, snuff := range []bool{false, true} {
			order := Order(f, snuff, true)
			var walked []burn.Mark
			for m, more := Next(order, among()); more; m, more = Next(order, among(walked...)) {
				walked = append(walked, m)
			}
			if !slices.Equal(walked, order) {
				t.Errorf("%q: walked %v of %v", f, walked, order)
			}
		}
	}
}

func TestSimmerShort(t *testing.T) {
	for _, c := range []struct {
		start, end time.Duration
		want       bool
	}{
		{7 * time.Minute, 12*time.Minute - time.Second, true},
		{7 * time.Minute, 12 * time.Minute, false},
		{0, 6 * time.Minute, false},
		{8 * time.Minute, 7 * time.Minute, true},
	} {
		if got := SimmerShort(c.start, c.end); got != c.want {
			t.Errorf("from %v to %v: short is %v", c.start, c.end, got)
		}
	}
}
