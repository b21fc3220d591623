// Package plan says what to burn before the first burner is lit: how many
// burns, in which blocks and order, what they can answer, how long it takes,
// and what would be unfair.
//
// It judges no burn and changes no trial. It promises no result: a number of
// burns is a range, because nobody knows beforehand how much burns scatter, and
// a question that a plan cannot answer is named as such.
//
// Read plan.go (what is asked and what comes back), order.go (blocks and their
// order), needed.go (how many burns), answer.go (what they will tell),
// session.go (time, fuel, water), unfair.go (what to put right first) and
// checklist.go (what to do in what order).
package plan

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

// Wish is what a tester asks of a plan. A field left zero takes the default
// named beside it.
type Wish struct {
	// Blocks burn every entry once (at every level of the factor) to
	// flame-out. 0: chosen by [Make].
	Blocks int
	// Snuffed blocks do the same, but every flame is put out at the boil and the
	// fuel weighed: so each entry gets that many snuffed burns.
	Snuffed int
	Factor  trial.Factor // no name: nothing but the entries varies

	CoolDown time.Duration // a burner rests this long between its burns; 0: 10 minutes (common practice, no source)
	Burn     time.Duration // how long one burn takes; 0: 10 minutes (common practice, no source)
	Stations int           // burners that burn at the same time; 0: 1
	Seed     uint64        // of the order; 0: the trial's

	CV         quantity.Ratio // scatter of one entry's burns; 0: the trial's own burns, else 3 to 8 % (common practice, no source)
	Difference quantity.Ratio // that ought to be found; 0: the trial's margin
	Power      quantity.Ratio // wanted chance to find it; 0: the trial's

	Doses map[string]quantity.Dose               // by entry; none: the dose of its last burn, if it has one
	Start quantity.Reading[quantity.Temperature] // of the water
}

const (
	usualCoolDown = 10 * time.Minute // common practice, no source
	usualBurn     = 10 * time.Minute // reported burns end after 8 to 11 minutes (common practice, no source)

	fewest    = 3    // below, a verdict is "too few burns"
	usualMost = 12   // blocks that Make asks for by itself: about what one tester burns in a trial (common practice, no source)
	mostBurns = 1000 // of a plan; nobody makes more by hand
)

// Proposal is a plan with its reasons.
type Proposal struct {
	Plan      trial.Plan `json:"plan"`
	Needed    Needed     `json:"needed"`
	Answers   []Answer   `json:"answers"`
	Session   Session    `json:"session"`
	Checklist []Step     `json:"checklist"`
}

// Make lays a trial out. Every block holds every entry once at every level of
// the factor; the order is shuffled by the seed and balanced (see order.go), and
// depends on the names of the entries, not on their order in the trial.
//
// Where Blocks is 0 the question decides: judged by speed, as many that with
// the snuffed ones the lower end of [Needed] is reached, at least 3 and at most
// 12 in all; by least fuel, none, and so many snuffed ones where Snuffed is 0
// too; by surest boil 12; by lightest system 3, since mass needs a scale and no
// burns. A finding says when that is fewer than needed.
//
// The trial is not changed. Errors: no entries, an entry without a name or with
// that of another, a number in the wish out of its range, a dose for an unknown
// entry, more than 1000 burns, or more than 10,000 burns of each entry needed.
func Make(t *trial.Trial, w Wish) (*Proposal, []finding.Finding, error) {
	w = w.filled(t)
	if err := cmp.Or(checkEntries(t), w.check(t)); err != nil {
		return nil, nil, err
	}
	r := reduced(t)
	spread, err := scatter(r, w)
	if err != nil {
		return nil, nil, err
	}
	c := comparison{len(t.Entries), 1 - float64(t.Settings.Level), float64(w.Power)}
	p := &Proposal{}
	if p.Needed, err = c.needed(spread, w.Difference); err != nil {
		return nil, nil, err
	}
	w.choose(t.Settings.JudgeBy, p.Needed.Least)
	levels := max(1, len(w.Factor.Levels))
	if n := (w.Blocks + w.Snuffed) * levels * len(t.Entries); n > mostBurns {
		return nil, nil, fmt.Errorf("the plan has %d burns, expected at most %d: fewer blocks, entries or levels", n, mostBurns)
	}
	p.Plan = trial.Plan{Seed: w.Seed, CoolDown: w.CoolDown, Factor: w.Factor, Slots: layOut(names(t), w)}
	if p.Answers, err = c.answers(t, w, p.Needed); err != nil {
		return nil, nil, fmt.Errorf("what the burns can answer: %w", err)
	}
	p.Session = session(r.Trial, w, p.Plan.Slots)
	p.Checklist = checklist(r.Trial, w, p)
	return p, append(Unfair(t, p.Plan), unready(t, w, p)...), nil
}

// filled puts defaults in place of what was left zero.
func (w Wish) filled(t *trial.Trial) Wish {
	if w.CoolDown == 0 {
		w.CoolDown = usualCoolDown
	}
	if w.Burn == 0 {
		w.Burn = usualBurn
	}
	if w.Stations == 0 {
		w.Stations = 1
	}
	if w.Seed == 0 {
		w.Seed = t.Settings.Seed
	}
	if w.Difference == 0 {
		w.Difference = t.Settings.Margin
	}
	if w.Power == 0 {
		w.Power = t.Settings.Power
	}
	return w
}

// choose sets the number of blocks where the wish leaves it open.
func (w *Wish) choose(by trial.JudgeBy, least int) {
	if w.Blocks > 0 {
		return
	}
	n := min(max(fewest, least), usualMost)
	switch by {
	case trial.LeastFuel:
		if w.Snuffed == 0 {
			w.Snuffed = n
		}
	case trial.Surest:
		w.Blocks = usualMost
	case trial.Lightest:
		w.Blocks = fewest
	default:
		w.Blocks = max(fewest, n-w.Snuffed)
	}
}

func checkEntries(t *trial.Trial) error {
	if len(t.Entries) == 0 {
		return errors.New("the trial has no entries: list what is to be compared")
	}
	seen := map[string]bool{}
	for i, e := range t.Entries {
		switch {
		case e.Name == "":
			return fmt.Errorf("entry number %d has no name: give it one of its own", i+1)
		case seen[e.Name]:
			return fmt.Errorf("two entries are named %q: rename one", e.Name)
		}
		seen[e.Name] = true
	}
	return nil
}

func (w Wish) check(t *trial.Trial) error {
	switch {
	case w.Blocks < 0:
		return fmt.Errorf("%d blocks, expected 1 or more, or 0 for as many as are needed", w.Blocks)
	case w.Snuffed < 0:
		return fmt.Errorf("%d snuffed burns of each entry, expected 0 or more", w.Snuffed)
	case w.Stations < 1:
		return fmt.Errorf("%d stations, expected 1 or more", w.Stations)
	case w.CoolDown < 0:
		return fmt.Errorf("cool-down of %v, expected more than 0, or 0 for the usual %v", w.CoolDown, usualCoolDown)
	case w.Burn < 0:
		return fmt.Errorf("burns of %v, expected more than 0, or 0 for the usual %v", w.Burn, usualBurn)
	case !(w.CV >= 0 && w.CV < 1):
		return fmt.Errorf("burns that scatter by %g %%, expected 0 (not known) or more and less than 100 %%", 100*w.CV)
	case !(w.Difference > 0 && w.Difference <= 1):
		return fmt.Errorf("a difference of %g %%, expected more than 0 and at most 100 %%", 100*w.Difference)
	case !(w.Power >= 0.5 && w.Power < 1):
		return fmt.Errorf("a wanted chance of %g %% to find the difference, expected 50 %% or more and less than 100 %%", 100*w.Power)
	case !(t.Settings.Level >= 0.5 && t.Settings.Level < 1):
		return fmt.Errorf("the trial's level is %g %%, expected 50 %% or more and less than 100 %%", 100*t.Settings.Level)
	}
	for _, name := range slices.Sorted(maps.Keys(w.Doses)) {
		if _, ok := t.Entry(name); !ok {
			return fmt.Errorf("a dose is given for %q, which is not an entry of the trial", name)
		}
	}
	return checkFactor(w.Factor)
}

func checkFactor(f trial.Factor) error {
	if f.Name == "" && len(f.Levels) > 0 {
		return fmt.Errorf("the factor with levels %q has no name: name what is varied", f.Levels)
	}
	if f.Name != "" && len(f.Levels) < 2 {
		return fmt.Errorf("factor %q has %d of the at least 2 levels that make it vary", f.Name, len(f.Levels))
	}
	for i, l := range f.Levels {
		if l == "" {
			return fmt.Errorf("level %d of factor %q has no name", i+1, f.Name)
		}
		if slices.Contains(f.Levels[:i], l) {
			return fmt.Errorf("factor %q has the level %q twice", f.Name, l)
		}
	}
	return nil
}

// names returns the entries' names in order, whatever their order in the trial.
func names(t *trial.Trial) []string {
	ns := make([]string, len(t.Entries))
	for i, e := range t.Entries {
		ns[i] = e.Name
	}
	slices.Sort(ns)
	return ns
}

// reduced reduces the burns that the trial already holds, on a copy.
func reduced(t *trial.Trial) *trial.Reduced {
	c := *t
	c.Burns = slices.Clone(t.Burns)
	return c.Reduce()
}
