package station

import (
	"cmp"
	"slices"
	"sort"
	"strconv"
	"time"

	"fairburn/burn"
	"fairburn/trial"
)

// Progress is how far the burns of a trial have followed its plan.
type Progress struct {
	Planned int
	Done    int          // slots with a burn that counts, ended or not
	Left    []trial.Slot // the others, in the order of burning
	Void    []string     // ids of burns that do not count; they leave their slots open
	Extra   []string     // ids of burns that count and have no slot
}

// Next is the slot to burn next, and false when none is left.
func (p Progress) Next() (trial.Slot, bool) {
	if len(p.Left) == 0 {
		return trial.Slot{}, false
	}
	return p.Left[0], true
}

// Of says how far the trial has followed its plan. A burn takes the slot of its
// place in the order if that is its entry's, else the first open one of its
// block, entry and level; a burn without a block fits any block.
func Of(t *trial.Trial) Progress {
	slots, takers := match(t)
	p := Progress{Planned: len(slots)}
	for i, s := range slots {
		if takers[i] == nil {
			p.Left = append(p.Left, s)
		}
	}
	p.Done = p.Planned - len(p.Left)
	for _, b := range byID(t) {
		switch {
		case b.Void != "":
			p.Void = append(p.Void, b.ID)
		case !slices.Contains(takers, b):
			p.Extra = append(p.Extra, b.ID)
		}
	}
	return p
}

// SlotOf is the slot that a burn of the trial takes, and false when it takes
// none: it is not of the plan, or void.
func SlotOf(t *trial.Trial, id string) (trial.Slot, bool) {
	slots, takers := match(t)
	i := slices.IndexFunc(takers, func(b *burn.Record) bool { return b != nil && b.ID == id })
	if i < 0 {
		return trial.Slot{}, false
	}
	return slots[i], true
}

// match gives each slot of the plan, in the order of burning, the burn that took it.
func match(t *trial.Trial) ([]trial.Slot, []*burn.Record) {
	slots := slices.Clone(t.Plan.Slots)
	sort.SliceStable(slots, func(i, j int) bool { return slots[i].Order < slots[j].Order })
	takers := make([]*burn.Record, len(slots))
	var rest []*burn.Record
	take := func(b *burn.Record, fits func(trial.Slot) bool) bool {
		for i, s := range slots {
			if takers[i] == nil && s.Entry == b.Entry && fits(s) {
				takers[i] = b
				return true
			}
		}
		return false
	}
	for _, b := range byID(t) {
		if b.Void == "" && !(b.Order > 0 && take(b, func(s trial.Slot) bool { return s.Order == b.Order })) {
			rest = append(rest, b)
		}
	}
	for _, b := range rest {
		take(b, func(s trial.Slot) bool {
			return (b.Block == "" || s.Block == b.Block) && s.Level == b.Levels[t.Plan.Factor.Name]
		})
	}
	return slots, takers
}

// byID returns the burns in the order of their ids, the trial's own left as it is.
func byID(t *trial.Trial) []*burn.Record {
	burns := make([]*burn.Record, len(t.Burns))
	for i := range t.Burns {
		burns[i] = &t.Burns[i]
	}
	slices.SortStableFunc(burns, func(a, b *burn.Record) int { return trial.CompareIDs(a.ID, b.ID) })
	return burns
}

// NextID is the id of the next burn: the whole number after the greatest so far.
func NextID(t *trial.Trial) string {
	greatest := 0
	for _, b := range t.Burns {
		if n, err := strconv.Atoi(b.ID); err == nil {
			greatest = max(greatest, n)
		}
	}
	return strconv.Itoa(greatest + 1)
}

// usualRest is the cool-down of a plan that names none, as in package plan
// (common practice, no source).
const usualRest = 10 * time.Minute

// Rest is what is left of the cool-down before the burner of an entry may burn
// again, by the plan's cool-down or else 10 minutes (common practice, no
// source); warm is false when it has passed. It is the tester's own rule and
// says nothing of how hot the burner is. ended says when the flame of an entry
// last ended; entries with the same burner share its warmth.
func Rest(t *trial.Trial, entry string, ended func(entry string) (time.Time, bool), now time.Time) (left time.Duration, warm bool) {
	e, _ := t.Entry(entry)
	coolDown := cmp.Or(t.Plan.CoolDown, usualRest)
	rest := func(entry string) {
		if end, ok := ended(entry); ok {
			left = max(left, coolDown-now.Sub(end))
		}
	}
	rest(entry)
	for _, other := range t.Entries {
		if other.Name != entry && e.Burner != "" && other.Burner == e.Burner {
			rest(other.Name)
		}
	}
	return left, left > 0
}

// Turn says who burns, where and when.
type Turn struct {
	ID      string
	Tester  string
	Date    string // as written
	Station int    // place on the bench, 0 = the only one
}

// Start is the record of a new burn in a slot. It holds no reading: none was taken.
func Start(t *trial.Trial, slot trial.Slot, turn Turn) burn.Record {
	r := burn.Record{
		ID: turn.ID, Tester: turn.Tester, Date: turn.Date, Station: turn.Station,
		Entry: slot.Entry, Block: slot.Block, Order: slot.Order,
	}
	if slot.Level != "" {
		r.Levels = map[string]string{t.Plan.Factor.Name: slot.Level}
	}
	return r
}

// Last is the last other burn of r's entry that counts, by id, to be shown
// beside what is asked; it is false when there is none. Its readings are never
// taken over.
func Last(t *trial.Trial, r burn.Record) (burn.Record, bool) {
	for _, b := range slices.Backward(byID(t)) {
		if b.Entry == r.Entry && b.ID != r.ID && b.Void == "" {
			return *b, true
		}
	}
	return burn.Record{}, false
}
