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
	gone   map[string]bool     // subjects of burns that were withdrawn once, if not for good
	order  []place             // as they came into the store
	said   map[string]uint64   // by title, how many records could have changed the trial
	gear   uint64              // the same for gear, which any trial may use
	shuns  uint64              // how many records were shunned since the bench was opened
}

// place is where a record is in the store.
type place struct {
	seq int64
	id  journal.ID
}

func newIndex() index {
	return index{burns: map[string][]string{}, marks: map[string][]string{}, photos: map[string][]string{}, gone: map[string]bool{}, said: map[string]uint64{}}
}

// add takes up a record; first says that nothing was known of its subject.
func (x *index) add(e journal.Entry, r journal.Record, first bool) {
	x.order = append(x.order, place{e.Seq, e.ID})
	at := titleOf(r.Subject)
	switch r.Kind {
	case trialKind.name:
		x.said[r.Subject]++
	case burnKind.name:
		x.said[at]++
		if r.Version == withdrawnVersion {
			x.gone[r.Subject] = true
		}
	case markName:
		x.said[titleOf(at)]++
		if of, what := splitMark(r.Subject); once(what) && r.Subject != markSubject(of, what, "") {
			return // filed where nobody files such a moment
		}
	case tripKind.name: // no trial uses it
	default:
		x.gear++
	}
	if list := x.list(r.Kind); first && list != nil {
		list[at] = append(list[at], r.Subject)
	}
}

// list is where the subjects of a kind are, nil for those that are not listed.
func (x *index) list(kindName string) map[string][]string {
	return map[string]map[string][]string{burnKind.name: x.burns, markName: x.marks, photoName: x.photos}[kindName]
}

// drop forgets a record that was shunned.
func (b *Bench) drop(id journal.ID) {
	r, ok := b.fold.Record(id)
	if !ok {
		return
	}
	b.fold.Drop(id)
	b.index.order = slices.DeleteFunc(b.index.order, func(p place) bool { return p.id == id })
	b.index.gear++
	b.index.shuns++
	if list, at := b.index.list(r.Kind), titleOf(r.Subject); list != nil && b.fold.Count(r.Kind, r.Subject) == 0 {
		list[at] = slices.DeleteFunc(list[at], func(s string) bool { return s == r.Subject })
	}
}

// Version changes whenever something was recorded that could change the trial;
// that of "", whenever anything was. Erasing counts.
func (b *Bench) Version(title string) uint64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	if title == "" {
		return b.version()
	}
	return b.index.said[title] + b.index.gear
}

// version grows whenever something was recorded or erased.
func (b *Bench) version() uint64 { return uint64(b.seq) + b.index.shuns }
