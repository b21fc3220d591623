package protocol

import (
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/quantity"
	"fairburn/trial"
)

// Again is the trial that repeats one, still to be burned: its question, its rules,
// its gear as built there, its doses beside the entries, and a plan. What only that
// place and those burns can say, such as height, wind and what was seen of a burner,
// is left out for the next tester to find.
func Again(r *trial.Reduced) *trial.Trial {
	t := *r.Trial
	t.Title, t.Repeats, t.Invented = "Repeat of "+t.Title, t.Title, false
	t.Notes, t.Site, t.Burns = "", burn.Site{}, nil
	t.Shelf.Burners = slices.Clone(t.Shelf.Burners)
	for i := range t.Shelf.Burners {
		t.Shelf.Burners[i].Traits = nil
	}
	t.Entries = slices.Clone(t.Entries)
	for i := range t.Entries {
		e := &t.Entries[i]
		if doses := dosesOf(r, e.Name, r.Settings.System); len(doses) > 0 {
			e.Notes = strings.TrimPrefix(fmt.Sprintf("%s; in the trial repeated: %s", e.Notes, strings.Join(doses, ", ")), "; ")
		}
	}
	if p, err := Proposal(r); err == nil { // where none can be made, the page says so
		t.Plan = p.Plan
	}
	return &t
}

// dosesOf are the different doses of an entry's burns, in words.
func dosesOf(r *trial.Reduced, entry string, sys quantity.System) []string {
	var all []string
	for _, b := range r.Of(entry) {
		if d := dose(b.Fuel, sys); !slices.Contains(all, d) {
			all = append(all, d)
		}
	}
	return all
}
