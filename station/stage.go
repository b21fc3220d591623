package station

import (
	"slices"

	"fairburn/burn"
)

// Stage is how far a burn is.
type Stage string

// The stages, in order. A burn in which the flame is not seen has not ended.
const (
	SettingUp Stage = "setting up"     // something that it must have is missing
	Ready     Stage = "ready"          // to be lit
	Burning   Stage = "burning"        // lit, and nothing says that the flame has ended
	Unseen    Stage = "flame not seen" // the same: only the snuffer test or putting it out ends it
	Ended     Stage = "ended"
)

// StageOf returns how far the burn is. asks is what [Before] still asks for;
// unseen says that the flame is not seen any more. Only out and snuffed end a
// burn that has a mark: a void one goes on until then, since its flame does.
func StageOf(r burn.Record, asks []Ask, unseen bool) Stage {
	switch {
	case has(r, burn.Out) || has(r, burn.Snuffed):
		return Ended
	case len(r.Marks) > 0 && unseen:
		return Unseen
	case len(r.Marks) > 0:
		return Burning
	case r.Void != "":
		return Ended
	case slices.ContainsFunc(asks, func(a Ask) bool { return a.Need == Must }):
		return SettingUp
	}
	return Ready
}

// has reports whether the burn has the mark.
func has(r burn.Record, m burn.Mark) bool {
	_, ok := r.At(m)
	return ok
}
