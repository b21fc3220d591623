package station

import (
	"cmp"
	"math"
	"slices"
	"time"

	"fairburn/trial"
)

// Heat is why the burner of an entry should not be lit yet. The zero value is a
// burner that is cold by the tester's own rule, see [Rest].
type Heat struct {
	InUse bool          // it stands in a burn that has not ended
	Left  time.Duration // of its cool-down
}

// Cold reports that nothing speaks against lighting the burner.
func (h Heat) Cold() bool { return h == Heat{} }

// wait is how long it takes at least; of a burner in use nobody knows.
func (h Heat) wait() time.Duration {
	if h.InUse {
		return math.MaxInt64
	}
	return h.Left
}

// Due is the slot to burn now: of those left the first in the order whose burner
// is cold; where none is, the one that will be so first, as far as that is known.
// Its burner's heat comes with it. It is false when no slot is left.
func (p Progress) Due(heat func(entry string) Heat) (trial.Slot, Heat, bool) {
	if len(p.Left) == 0 {
		return trial.Slot{}, Heat{}, false
	}
	of := map[string]Heat{}
	for _, s := range p.Left {
		if _, known := of[s.Entry]; !known {
			of[s.Entry] = heat(s.Entry)
		}
	}
	due := slices.MinFunc(p.Left, func(a, b trial.Slot) int { // of equals the first
		return cmp.Compare(of[a.Entry].wait(), of[b.Entry].wait())
	})
	return due, of[due.Entry], true
}

// Open is the first slot left of an entry, and false when it has none.
func (p Progress) Open(entry string) (trial.Slot, bool) {
	i := slices.IndexFunc(p.Left, func(s trial.Slot) bool { return s.Entry == entry })
	if i < 0 {
		return trial.Slot{}, false
	}
	return p.Left[i], true
}
