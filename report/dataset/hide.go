package dataset

import (
	"fmt"
	"slices"

	"fairburn/burn"
	"fairburn/gear"
	"fairburn/trial"
)

// Hidden returns a copy of the trial in which people and places stand as the
// options allow, and notes only where both may be published. A pack whose sheet
// and report are made of it says no more than its data do: reduce and judge the
// copy. No figure changes.
func Hidden(t *trial.Trial, o Options) *trial.Trial {
	testers, places := aliases(t, o)
	own := *t
	own.Site.Name = places[t.Site.Name]
	own.Burns = changed(t.Burns, func(b *burn.Record) { b.Tester, b.Site.Name = testers[b.Tester], places[b.Site.Name] })
	if o.notes() {
		return &own
	}
	own.Notes = ""
	own.Burns = changed(own.Burns, func(b *burn.Record) { b.Notes = "" })
	own.Entries = changed(t.Entries, func(e *trial.Entry) { e.Notes = "" })
	s := &own.Shelf
	s.Burners = changed(s.Burners, func(b *gear.Burner) {
		b.Notes = ""
		b.Traits = changed(b.Traits, func(t *gear.Trait) { t.Note = "" })
	})
	s.Pots = changed(s.Pots, func(p *gear.Pot) { p.Notes = "" })
	s.Lids = changed(s.Lids, func(l *gear.Lid) { l.Notes = "" })
	s.Screens = changed(s.Screens, func(x *gear.Screen) { x.Notes = "" })
	s.Stands = changed(s.Stands, func(x *gear.Stand) { x.Notes = "" })
	s.Batches = changed(s.Batches, func(b *gear.FuelBatch) { b.Notes = "" })
	return &own
}

// changed is a copy of a list with every thing in it changed.
func changed[T any](list []T, change func(*T)) []T {
	own := slices.Clone(list)
	for i := range own {
		change(&own[i])
	}
	return own
}

// notes reports whether free text may be published.
func (o Options) notes() bool { return o.Names && o.Places }

// aliases are the testers and places of a trial as they may be published, in the
// order of the burns' ids.
func aliases(t *trial.Trial, o Options) (testers, places map[string]string) {
	ordered := trial.Trial{Burns: slices.Clone(t.Burns)}
	ordered.SortBurns()
	testers, places = map[string]string{}, map[string]string{}
	alias(places, t.Site.Name, "place", o.Places)
	for _, b := range ordered.Burns {
		alias(testers, b.Tester, "tester", o.Names)
		alias(places, b.Site.Name, "place", o.Places)
	}
	return testers, places
}

// alias gives a name what stands for it: itself if it may be published, else
// what it is and a number.
func alias(known map[string]string, name, what string, published bool) {
	if _, ok := known[name]; ok || name == "" {
		return
	}
	known[name] = name
	if !published {
		known[name] = fmt.Sprintf("%s %d", what, len(known))
	}
}
