package station

import (
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
func Of(t *trial.Trial) Progress { return Progress{} }

// SlotOf is the slot that a burn of the trial takes, and false when it takes none.
func SlotOf(t *trial.Trial, id string) (trial.Slot, bool) { return trial.Slot{}, false }

// NextID is the id of the next burn: the whole number after the greatest so far.
func NextID(t *trial.Trial) string { return "" }

// Rest is what is left of the cool-down before the burner of an entry may burn
// again, by the plan's cool-down or else 10 minutes (common practice, no source);
// warm is false when it has passed. It is the tester's own rule and says nothing
// of how hot the burner is. ended says when the flame of an entry last ended;
// entries with the same burner share its warmth.
func Rest(t *trial.Trial, entry string, ended func(entry string) (time.Time, bool), now time.Time) (left time.Duration, warm bool) {
	return 0, false
}

// Turn says who burns, where and when.
type Turn struct {
	ID      string
	Tester  string
	Date    string // as written
	Station int    // place on the bench, 0 = the only one
}

// Start is the record of a new burn in a slot. It holds no reading: none was taken.
func Start(t *trial.Trial, slot trial.Slot, turn Turn) burn.Record { return burn.Record{} }

// Last is the last burn before r of the same entry that counts, by id, to be
// shown beside what is asked; it is false when there is none. Its readings are
// never taken over.
func Last(t *trial.Trial, r burn.Record) (burn.Record, bool) { return burn.Record{}, false }
