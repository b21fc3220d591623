package bench

import (
	"slices"

	"fairburn/journal"
)

// index finds the records of a trial without looking at all of them.
type index struct {
	burns  map[string][]string // subjects of burns by title
	marks  map[string][]string // subjects of moments by the burn's subject
	photos map[string][]string // subjects of photos by what they show
	order  []journal.ID        // as they came into the store
	said   map[string]uint64   // by title, how many records could have changed the trial
	gear   uint64              // the same for gear, which any trial may use
}

func newIndex() index {
	return index{burns: map[string][]string{}, marks: map[string][]string{}, photos: map[string][]string{}, said: map[string]uint64{}}
}

// add takes up a record; first says that nothing was known of its subject.
func (x *index) add(id journal.ID, r journal.Record, first bool) {
	x.order = append(x.order, id)
	subject, list, at := r.Subject, map[string][]string(nil), ""
	switch r.Kind {
	case trialKind.name:
		x.said[subject]++
	case burnKind.name:
		list, at = x.burns, titleOf(subject)
		x.said[at]++
	case markName:
		list, at = x.marks, titleOf(subject)
		x.said[titleOf(at)]++
	case photoName:
		list, at = x.photos, titleOf(subject)
		x.gear++
	default:
		x.gear++
	}
	if first && list != nil {
		list[at] = append(list[at], subject)
	}
}

// drop forgets a record that was shunned.
func (b *Bench) drop(id journal.ID) {
	r, ok := b.fold.Record(id)
	if !ok {
		return
	}
	b.fold.Drop(id)
	b.index.order = slices.DeleteFunc(b.index.order, func(other journal.ID) bool { return other == id })
	b.index.gear++
	if b.fold.Count(r.Kind, r.Subject) > 0 {
		return
	}
	for _, list := range []map[string][]string{b.index.burns, b.index.marks, b.index.photos} {
		at := titleOf(r.Subject)
		list[at] = slices.DeleteFunc(list[at], func(s string) bool { return s == r.Subject })
	}
}

// Version changes whenever something was recorded that could change the trial;
// that of "", whenever anything was.
func (b *Bench) Version(title string) uint64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	if title == "" {
		return uint64(b.seq)
	}
	return b.index.said[title] + b.index.gear
}
