package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/trial"
)

// When is the moment at which a step of the checklist is due.
type When string

// The moments, in order.
const (
	Prepare    When = "before the session"
	EachLight  When = "before each light"
	WhileBurns When = "while it burns"
	AfterBurn  When = "after each burn"
)

// Step is one line of the checklist. Cautions are the usual ones (common
// practice, no source); they claim no safety, and local rules and the maker's
// instructions come first.
type Step struct {
	When    When   `json:"when"`
	Do      string `json:"do"`
	Caution bool   `json:"caution"`
}

// checklist says what to prepare and do, in order.
func checklist(t *trial.Trial, w Wish, p *Proposal) []Step {
	steps := prepare(t, w, p)
	add := func(when When, caution bool, dos ...string) {
		for _, do := range dos {
			steps = append(steps, Step{when, do, caution})
		}
	}
	add(EachLight, false, "burner cool enough to hold, and rested for "+Minutes(w.CoolDown),
		"rinse the pot to the water's temperature and dry it; weigh the water, stir, read its temperature",
		"weigh the burner, pour the dose, weigh again")
	add(EachLight, true, "fuel bottle closed and moved away", "lid or snuffer within reach")
	add(WhileBurns, false, "mark light, bloom, pot on and boil; call every boil by the same rule")
	if w.Snuffed > 0 {
		add(WhileBurns, false, "planned to be snuffed: put it out at the boil and mark it")
	}
	if w.Blocks > 0 {
		add(WhileBurns, false, "planned to flame-out: let it burn out and mark it by the snuffer test")
	}
	add(WhileBurns, true, "add no fuel; a flame that is not seen may still burn: only the snuffer test ends a burn")
	add(AfterBurn, false, "weigh what is left at once, then the water", "write down what went wrong before looking at the time")
	add(AfterBurn, true, "never refuel a hot burner")
	return steps
}

// prepare lists what must be there before the first burn.
func prepare(t *trial.Trial, w Wish, p *Proposal) []Step {
	var steps []Step
	add := func(caution bool, format string, args ...any) {
		steps = append(steps, Step{Prepare, fmt.Sprintf(format, args...), caution})
	}
	sys := t.Units()
	burns, blocks := len(p.Plan.Slots), w.Blocks+w.Snuffed
	add(false, "set aside about %s for %s in %s; break off between blocks, never within one", Minutes(p.Session.Length), counted(burns, "burn"), counted(blocks, "block"))
	add(false, "draw water for %s of %s at once and let it stand", counted(burns, "fill"), quantity.FormatBrief(t.Settings.Reference.Water, sys))
	for _, n := range p.Session.Fuel {
		add(false, "%s", fuelLine(n, sys))
	}
	if w.Factor.Name != "" {
		add(false, "try out every level of %s beforehand, and mark how it is set: %s", w.Factor.Name, strings.Join(w.Factor.Levels, ", "))
	}
	add(false, "check the scale with something of known mass, and the thermometer in boiling water")
	add(true, "outdoors, on level, bare, cleared ground; no tent; children and pets away; sleeves and hair tied back; water at hand")
	add(true, "look up today's local fire rules, and follow them and the maker's instructions where they say otherwise")
	add(true, "a new build: check it for leaks with water first, then a small dose without a pot")
	for _, c := range fuelCautions(t) {
		add(true, "%s", c)
	}
	return steps
}

// Minutes says a span as people say it: "10 min", "5 h 10 min", "90 s". It
// rounds to minutes from two minutes on.
func Minutes(d time.Duration) string {
	minutes := int(d.Round(time.Minute).Minutes())
	switch {
	case d < 2*time.Minute && d%time.Minute != 0:
		return fmt.Sprintf("%.0f s", d.Seconds())
	case minutes < 60:
		return fmt.Sprintf("%d min", minutes)
	}
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}

// fuelLine says how much of a batch the plan pours.
func fuelLine(n FuelNeed, sys quantity.System) string {
	name := n.Batch
	if name == "" {
		name = "the fuel"
	}
	var parts []string
	if n.Volume > 0 {
		parts = append(parts, quantity.FormatBrief(n.Volume, sys))
	}
	if n.Mass > 0 {
		parts = append(parts, quantity.FormatBrief(n.Mass, sys))
	}
	if n.Unknown > 0 {
		parts = append(parts, "the doses of "+counted(n.Unknown, "burn"))
	}
	return "have of " + name + ": " + strings.Join(parts, ", ") + ", and some to spare"
}

// fuelCautions are those of the fuels that the entries burn, each once.
func fuelCautions(t *trial.Trial) []string {
	var all []string
	for _, e := range t.Entries {
		b, _ := gear.Find(t.Shelf.Batches, e.Fuel)
		blend, err := b.Blend()
		if err != nil {
			continue // Unfair says so
		}
		for _, c := range blend.Cautions() {
			if !slices.Contains(all, c) {
				all = append(all, c)
			}
		}
	}
	return all
}
