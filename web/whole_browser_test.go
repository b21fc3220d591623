package web

import (
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/station"
)

// form fills in the form of the page that has a field of the first name and sends
// it by its leading button. A value of "yes" ticks what has that name or value.
func (x *tab) form(fields ...string) {
	x.Helper()
	for i := 0; i+1 < len(fields); i += 2 {
		name, value := fields[i], fields[i+1]
		found := eval[bool](x, `((name, value) => {
			const all = [...document.querySelectorAll("main [name='" + name + "']:not([type=hidden])")];
			const tick = all.find(e => /checkbox|radio/.test(e.type) && (e.value === value));
			if (tick) { tick.checked = true; return true; }
			if (!all.length) return false;
			const d = all[0].closest("details"); if (d) d.open = true;
			all[0].value = value;
			all[0].dispatchEvent(new Event("input", {bubbles: true}));
			return all[0].value === value;
		})(%s, %s)`, quoted(name), quoted(value))
		if !found {
			x.Fatalf("no field %q takes %q on %s:\n%s", name, value, eval[string](x, "location.pathname"), eval[string](x, "document.body.innerText"))
		}
	}
	x.follow(fmt.Sprintf("main form:has([name='%s']) button.lead", fields[0]))
	if wrong := x.text(".why"); wrong != "" {
		x.Fatalf("the form was not taken: %s", wrong)
	}
}

// course is how a burner burns in this test: bloom, pot on, boil and out after light,
// in seconds, and what the fuel weighed. Invented.
type course struct {
	bloom, potOn, boil, out int
	poured, atBoil, left    float64
}

var courses = map[string]course{
	"Dock":   {25, 35, 330, 400, 25.8, 13.1, 9.8},
	"Elder":  {40, 20, 390, 440, 23.3, 9.9, 7.4},
	"Fennel": {40, 50, 455, 550, 28.6, 15.0, 12.6},
	"Gorse":  {60, 70, 570, 610, 110.4, 97.2, 95.1},
}

const wholeTitle = "Which of four"

// TestAWholeTrial goes from an empty bench to a verdict through pages alone, with
// every burn of the plan; the first four with a browser, two at a time, once on a phone
// and once on a desktop, the others by the same forms. Minutes of flame take no time:
// the clocks are set.
func TestAWholeTrial(t *testing.T) {
	t.Parallel()
	s := newStand(t)
	x := newTab(t, phoneScreen)
	stock(s, x)
	x.open(s.own("trials", "new"))
	x.form("title", wholeTitle, "question", "Which boils half a litre with the least fuel?", "judge_by", "least fuel", "burner", "Dock", "burner", "Elder", "burner", "Fennel", "burner", "Gorse",
		"pot", "kettle", "fuel", "bottle", "site.elevation", "400 m")
	x.open(s.own("trial", wholeTitle, "plan") + "?blocks=3&snuffed=1&cool_down=10+min&seed=7")
	x.follow("form[method=post].row button.lead")
	burnTwoByHand(t, s, x, 0)
	x.screen(desktopScreen)
	burnTwoByHand(t, s, x, 2)
	for i := 4; i < 16; i++ {
		burnByForms(t, s, i)
	}
	x.open(s.own("trial", wholeTitle, "bench"))
	if !strings.Contains(x.text(".coming"), "The plan is done") {
		t.Fatalf("after every burn the page says: %s", x.text("main"))
	}
	x.follow(".coming a.lead")
	x.shot("verdict")
	v, err := s.view(wholeTitle)
	if err != nil || len(v.Burns) != 16 {
		t.Fatalf("%d burns: %v", len(v.Burns), err)
	}
	sentence := v.Verdict().Sentence
	if sentence == "" || !strings.Contains(x.text("main"), sentence) {
		t.Errorf("the page does not say %q: %s", sentence, x.text("main"))
	}
	for _, b := range v.Burns {
		if want := courses[b.Entry].boil; !b.Marks[burn.Boil].Given || b.Marks[burn.Boil].Value < time.Duration(want)*time.Second || b.Marks[burn.Boil].Value > time.Duration(want+9)*time.Second+patience {
			t.Errorf("burn %s of %s boiled after %v, wanted about %d s", b.ID, b.Entry, b.Marks[burn.Boil].Text, want)
		}
	}
}

// stock puts four burners, a pot, a bottle and a scale on the shelf.
func stock(s *stand, x *tab) {
	for _, name := range slices.Sorted(maps.Keys(courses)) {
		family := "side jets"
		if courses[name].bloom > courses[name].potOn { // the pot closes it
			family = "rim holes"
		}
		x.open(s.own("add", "burner"))
		x.form("name", name, "family", family)
	}
	for _, thing := range [][]string{{"pot", "name", "kettle", "mass", "118 g", "material", "aluminium"}, {"fuel", "name", "bottle", "strength", "95 % vol"}, {"scale", "name", "pocket scale", "step", "0.1 g"}} {
		x.open(s.own("add", thing[0]))
		x.form(thing[1:]...)
	}
}

// readings are what is read before the light.
func readings(c course, i int) []string {
	return []string{"water", "500 g", "start", fmt.Sprintf("%.1f °C", 14+0.1*float64(i)), "dose", "20 mL", "poured", fmt.Sprintf("%.1f g", c.poured+0.1*float64(i%3)),
		"weighed", "burner and fuel", "boil_by", "rolling", "air", "12 °C", "wind", "still"}
}

// steps are the marks of a burn and when they come, in seconds.
func (c course) steps(snuff bool, i int) (steps []step) {
	late := i % 4 // repeats differ
	add := func(what burn.Mark, at int) { steps = append(steps, step{string(what), at}) }
	add(burn.Light, 0)
	add(burn.Bloom, c.bloom)
	add(burn.PotOn, c.potOn)
	slices.SortFunc(steps, func(a, b step) int { return a.at - b.at })
	add(burn.Boil, c.boil+3*late)
	if snuff {
		add(burn.Snuffed, c.boil+3*late+2)
		add(burn.PotOff, c.boil+3*late+6)
		return steps
	}
	add(burn.PotOff, c.boil+3*late+15)
	return append(steps, step{"unseen", c.out + 2*late}, step{string(burn.Out), c.out + 2*late + 60})
}

type step struct {
	what string
	at   int
}

// flame is a burn at one of two stations.
type flame struct {
	number int // of the station
	course
	snuff bool
	i     int
}

// in is a selector within the flame's station.
func (f flame) in(selector string) string {
	return strings.TrimSpace(fmt.Sprintf(ofBay, f.number, selector))
}

// burnTwoByHand sets up, marks, tests and weighs two burns side by side in the
// browser, the second lit 100 s after the first.
func burnTwoByHand(t *testing.T, s *stand, x *tab, i int) {
	t.Helper()
	x.open(s.own("trial", wholeTitle, "bench"))
	showStations(x, 2)
	var flames []flame
	for number := 1; number <= 2; number++ {
		flames = append(flames, setUpByHand(t, s, x, number, i+number-1))
	}
	x.delivered()
	x.shot(fmt.Sprintf("two-ready-%d", i))
	type press struct {
		flame
		step
	}
	var all []press
	for k, f := range flames {
		for _, st := range f.steps(f.snuff, f.i) {
			all = append(all, press{f, step{st.what, st.at + 100*k}})
		}
	}
	slices.SortStableFunc(all, func(a, b press) int { return a.at - b.at })
	at := 0
	for _, p := range all {
		s.advance(time.Duration(p.at-at)*time.Second, x)
		at = p.at
		selector := p.in(".next[value=" + p.what + "]:not([hidden])")
		if p.what == "out" {
			selector = p.in("button[value=out]")
			if eval[bool](x, "document.querySelector(%s).checkVisibility()", quoted(p.in(".pick"))) { // on a phone the test of one is shown
				x.press(p.in(".pick label"))
			}
		}
		x.until("document.querySelector(%s)?.checkVisibility()", quoted(selector))
		x.press(selector)
		if p.what == "out" {
			x.until("document.querySelector(%s).dataset.stage === 'ended'", quoted(p.in("")))
			x.until("document.querySelector(%s)?.checkVisibility()", quoted(p.in(".coming"))) // which pushes the other station down
		}
	}
	x.delivered()
	x.until("document.querySelectorAll('.ended').length === 2")
	x.shot(fmt.Sprintf("two-ended-%d", i))
	for _, f := range flames {
		x.open(s.own("trial", wholeTitle, "bench"))
		x.follow(f.in(".ended a.lead"))
		x.form("left", fmt.Sprintf("%.1f g", f.weighedAfter(f.snuff)), "water_end", "490 g")
	}
	s.advance(11*time.Minute, x)
}

// setUpByHand sets up the burn that the page proposes for a station.
func setUpByHand(t *testing.T, s *stand, x *tab, number, i int) flame {
	t.Helper()
	v, err := s.view(wholeTitle)
	if err != nil {
		t.Fatal(err)
	}
	next, err := s.next(v)
	if err != nil || next == nil || next.UsedAt != 0 || next.Until != 0 {
		t.Fatalf("next comes %+v, wanted a burner that is cold: %v", next, err)
	}
	slot, _ := station.Of(v.Trial).Open(next.Entry)
	f := flame{number, courses[slot.Entry], slot.Snuff, i}
	x.follow(f.in(".coming a.lead"))
	for _, tick := range station.Ticks(2) {
		x.press("input[value=" + tick.Key + "]")
	}
	x.form(readings(f.course, i)...)
	return f
}

func (c course) weighedAfter(snuffed bool) float64 {
	if snuffed {
		return c.atBoil
	}
	return c.left
}

// burnByForms sends what the pages send.
func burnByForms(t *testing.T, s *stand, i int) {
	t.Helper()
	v, err := s.view(wholeTitle)
	if err != nil {
		t.Fatal(err)
	}
	slot, _ := station.Of(v.Trial).Next()
	c, id := courses[slot.Entry], station.NextID(v.Trial)
	form := url.Values{"station": {"1"}, "entry": {slot.Entry}, "burn": {id}}
	fields := readings(c, i)
	for k := 0; k+1 < len(fields); k += 2 {
		form.Set(fields[k], fields[k+1])
	}
	for _, tick := range station.Ticks(1) {
		form.Add("tick", tick.Key)
	}
	sent(t, s.Site, at("trial", wholeTitle, "setup"), form)
	passed := 0
	for _, st := range c.steps(slot.Snuff, i) {
		s.advance(time.Duration(st.at-passed) * time.Second)
		passed = st.at
		sent(t, s.Site, "/marks", url.Values{"title": {wholeTitle}, "burn": {id}, "nonce": {newNonce()}, "what": {st.what}})
	}
	sent(t, s.Site, at("trial", wholeTitle, "burn", id, "after"), url.Values{"left": {fmt.Sprintf("%.1f g", c.weighedAfter(slot.Snuff))}, "water_end": {"490 g"}})
	s.advance(11 * time.Minute)
}
