package journal

// Fact returns one record; false when it is not here. One that is set aside has
// no Value, as one of a kind that is not known.
func (f *Fold) Fact(id ID) (Fact, bool) {
	h, here := f.records[id]
	if !here {
		return Fact{}, false
	}
	fact, _ := f.fact(h)
	return fact, true
}

// Record returns one record as Fact does, without having its body read.
func (f *Fold) Record(id ID) (Record, bool) {
	h, here := f.records[id]
	if !here {
		return Record{}, false
	}
	return h.record(), true
}

// Facts returns every record of a kind about a subject, replaced ones too but
// none that is set aside, in order of id.
func (f *Fold) Facts(kind, subject string) []Fact {
	hs := f.groups[kind][subject]
	facts := make([]Fact, 0, len(hs))
	for _, h := range hs {
		if fact, aside := f.fact(h); aside == nil {
			facts = append(facts, fact)
		}
	}
	return facts
}

// Count returns how many records of a kind are here about a subject, those that
// Facts would leave out too, without having a body read.
func (f *Fold) Count(kind, subject string) int { return len(f.groups[kind][subject]) }
