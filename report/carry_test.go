package report

import (
	"bytes"
	"context"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"fairburn/carry"
	"fairburn/draw"
	"fairburn/quantity"
)

// The trip here is invented; nobody walked it.

func mL(v float64) quantity.Reading[quantity.Volume] {
	return quantity.Given(quantity.Volume(v) * quantity.Millilitre)
}

const markup = `<script>alert("x")</script> & "co"`

func walk() (carry.Trip, carry.Shelf) {
	supper := carry.Boil{Name: "supper", Volume: mL(500), PerDay: 2}
	trip := carry.Trip{Title: "A walk " + markup, Invented: true, People: 1, Seed: 5, Draws: 400, Currency: "EUR", Legs: []carry.Leg{
		{Name: "up", Days: 2, Boils: []carry.Boil{supper}, Wind: carry.Breeze, Resupply: []carry.Kind{carry.Spirit}},
		{Name: "over", Days: 3, Boils: []carry.Boil{supper}},
	}, Rules: []carry.RuleNote{{Place: "wood", Text: "ask " + markup, Checked: "2 May"}, {Text: "undated"}}}
	shelf := carry.Shelf{
		Stoves: []carry.Stove{
			{Name: "can " + markup, Kind: carry.Spirit, Mass: grams(10)},
			{Name: "gas top", Kind: carry.Gas, Mass: grams(80)},
			{Name: "tablet stand", Kind: carry.Tablets, Mass: grams(13)},
			{Name: "cold food", Kind: carry.NoStove},
		},
		Parts: []carry.Part{{Name: "pot", Slot: carry.Pot, Mass: grams(100)}},
		Vessels: []carry.Vessel{
			{Name: "bottle", For: carry.Spirit, Holds: mL(250), Mass: grams(30)},
			{Name: "cartridge", For: carry.Gas, Fuel: grams(100), Mass: grams(195)},
			{Name: "tablet", For: carry.Tablets, Fuel: grams(14), Mass: grams(14)},
		},
	}
	return trip, shelf
}

func planned(t *testing.T, change func(*carry.Trip, *carry.Shelf)) Carry {
	t.Helper()
	trip, shelf := walk()
	if change != nil {
		change(&trip, &shelf)
	}
	var p carry.Planner
	a, err := p.Choose(context.Background(), trip, shelf, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := Carry{Answer: a, Reserve: trip.Reserve}
	if len(a.Kits) == 0 {
		return c
	}
	if c.Sweep, err = p.Sweep(context.Background(), trip, shelf, 6, nil); err != nil {
		t.Fatal(err)
	}
	if c.Drivers, err = p.Drive(context.Background(), trip, shelf, nil); err != nil {
		t.Fatal(err)
	}
	return c
}

func carryText(t *testing.T, c Carry, sys quantity.System) string {
	t.Helper()
	var b bytes.Buffer
	if err := CarryTerminal(&b, c, Options{System: sys}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestCarryLeadsWithTheChanceOfRunningDry(t *testing.T) {
	c := planned(t, func(_ *carry.Trip, s *carry.Shelf) { s.Stoves = s.Stoves[:1] })
	text := carryText(t, c, quantity.Metric)
	if !strings.HasPrefix(text, "Chance of running dry "+chance(c.Answer.Best.Dry.Share)) {
		t.Errorf("begins with %.60s", text)
	}
	flat := strings.Join(strings.Fields(text), " ")
	for _, want := range []string{inventedTrip, "PLANNING FIGURE", "filled again on the way", "MARKS FOR THE CAP", "(not checked since 2 May)", "(date not written down)", "Label the bottle by fuel"} {
		if !strings.Contains(flat, want) {
			t.Errorf("does not say %q:\n%s", want, text)
		}
	}
}

// Rules and safety are deferred, never judged.
func TestCarryClaimsNothing(t *testing.T) {
	text := strings.ToLower(carryText(t, planned(t, nil), quantity.Metric))
	text = strings.Join(strings.Fields(text), " ")
	text = strings.ReplaceAll(text, "nothing here claims that any of this is safe, legal or approved", "")
	if m := regexp.MustCompile(`\b(safe|safely|legal|allowed|permitted|compliant|guarantee)\w*`).FindString(text); m != "" {
		t.Errorf("says %q", m)
	}
}

func TestCarryLinesFitTheTerminal(t *testing.T) {
	for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
		plain := planned(t, func(t *carry.Trip, s *carry.Shelf) {
			s.Stoves[0].Name = "a can with a rather long name"
			*t = t.Lasting(30)
		})
		for line := range strings.Lines(carryText(t, plain, sys)) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > lineWidth {
				t.Errorf("%d wide: %s", n, line)
			}
		}
	}
}

func TestCarryWithoutAnAnswer(t *testing.T) {
	for _, row := range []struct {
		change func(*carry.Trip, *carry.Shelf)
		want   string
	}{
		{func(t *carry.Trip, _ *carry.Shelf) { t.Legs = nil }, "No answer: what is asked, or what there is to take, must be mended first (under Findings)."},
		{func(t *carry.Trip, _ *carry.Shelf) { t.Limits.Start = grams(5) }, "No kit keeps the limits; the nearest stand below with the limit that each breaks."},
		{func(t *carry.Trip, _ *carry.Shelf) { t.Legs[0].Boils, t.Legs[1].Boils = nil, nil }, "Nothing is heated, so nothing can run dry: no stove is carried."},
	} {
		c := planned(t, row.change)
		text := strings.Join(strings.Fields(carryText(t, c, quantity.Metric)), " ")
		if !strings.HasPrefix(text, row.want) {
			t.Errorf("got %.100s, want %s", text, row.want)
		}
		for _, write := range []func(*bytes.Buffer) error{
			func(b *bytes.Buffer) error { return CarryBody(b, c, Options{}) },
			func(b *bytes.Buffer) error { return CarryCardFile(b, c, Options{}) },
			func(b *bytes.Buffer) error { return CarryJSON(b, c) },
		} {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Errorf("%s: %v", row.want, err)
			}
		}
	}
}

// The pieces for a page hold classes only, and names stay text.
func TestCarryFragments(t *testing.T) {
	c := planned(t, nil)
	for name, write := range map[string]func(*bytes.Buffer) error{
		"body": func(b *bytes.Buffer) error { return CarryBody(b, c, Options{Made: "1 May"}) },
		"card": func(b *bytes.Buffer) error { return CarryCard(b, c, Options{Made: "1 May"}) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		if m := regexp.MustCompile(`(?i)<script|<style|\sstyle=|\son\w+=|javascript:`).FindString(b.String()); m != "" {
			t.Errorf("%s holds %q", name, m)
		}
		if !strings.Contains(b.String(), "&lt;script&gt;") {
			t.Errorf("%s: the name is not text", name)
		}
	}
}

func TestCarryCharts(t *testing.T) {
	c := planned(t, nil)
	for _, at := range []Layout{{Width: phoneWidth}, {Width: deskWidth}, {Width: 880, Alone: true}} {
		charts, err := CarryCharts(c, quantity.Metric, at)
		if err != nil {
			t.Fatal(err)
		}
		var ids []string
		for _, c := range charts {
			ids = append(ids, c.ID)
			if err := draw.SVG(&bytes.Buffer{}, c.Scene, c.ID); err != nil {
				t.Error(err)
			}
		}
		if got := strings.Join(ids, " "); got != "risk by-day sweep-start sweep-mean" {
			t.Errorf("at %v: %s", at, got)
		}
	}
}

// A kit keeps its mark when another becomes the best.
func TestCarryMarksStay(t *testing.T) {
	by := func(o carry.Objective) map[string]int {
		c := planned(t, func(t *carry.Trip, _ *carry.Shelf) { t.Choose = o })
		c.Markers = map[string]int{"gas top": 3}
		return newCarried(c, quantity.Metric).markers
	}
	want := by(carry.LeastStart)
	if want["gas top and pot"] != 3 || len(want) != 4 {
		t.Fatalf("got %v", want)
	}
	seen := map[int]bool{}
	for name, n := range by(carry.LeastWait) {
		if want[name] != n || seen[n] {
			t.Errorf("%s: %d, then %d", name, want[name], n)
		}
		seen[n] = true
	}
}

func TestCarryJSONIsSI(t *testing.T) {
	c := planned(t, nil)
	var b bytes.Buffer
	if err := CarryJSON(&b, c); err != nil {
		t.Fatal(err)
	}
	var got struct {
		Answer struct {
			Best struct {
				Start float64 `json:"start_kg"`
				Risk  []carry.Risk
			}
		}
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil || got.Answer.Best.Start != float64(c.Answer.Best.Start) || len(got.Answer.Best.Risk) == 0 {
		t.Errorf("%v %+v", err, got)
	}
}

func TestChanceInWords(t *testing.T) {
	for share, want := range map[float64]string{0: "under 0.1 %", 0.0004: "under 0.1 %", 0.001: "0.1 %", 0.0123: "1.2 %", 0.0994: "9.9 %", 0.0996: "10 %", 0.5: "50 %", 0.999: "over 99 %", 1: "100 %"} {
		if got := chance(share); got != want {
			t.Errorf("%g: got %s, want %s", share, got, want)
		}
	}
}

// Seven tablets are one line, a bottle that waits for the resupply is empty.
func TestLoadInWords(t *testing.T) {
	c := carried{sys: quantity.Metric}
	tablet := carry.Filled{Name: "tablet", Mass: 14 * quantity.Gram}
	got := c.load(carry.Load{FromDay: 1, Days: 1, Mass: 42 * quantity.Gram, Vessels: []carry.Filled{tablet, tablet, tablet}, Reserve: 1.04})
	if want := "from day 1 for 1 day: 42 g in 3 × tablet; reserve 1.0 days"; got != want {
		t.Errorf("got %s", got)
	}
	got = c.load(carry.Load{FromDay: 3, Days: 2, Mass: 81 * quantity.Gram, Volume: 100 * quantity.Millilitre, Reserve: 1, Vessels: []carry.Filled{
		{Name: "large", Mass: 81 * quantity.Gram, Volume: 100 * quantity.Millilitre}, {Name: "small"},
	}})
	if want := "from day 3 for 2 days: 100 mL (81 g) in large with 100 mL, an empty small; reserve 1.0 days"; got != want {
		t.Errorf("got %s", got)
	}
}
