package journal

// Fact returns one record, false when it is not here or was set aside unread.
func (f *Fold) Fact(id ID) (Fact, bool) {
	fact, ok := f.facts[id]
	return fact, ok
}

// Facts returns every record of a kind about a subject, replaced ones too, in
// order of id.
func (f *Fold) Facts(kind, subject string) []Fact {
	ids := f.groups[kind][subject]
	facts := make([]Fact, len(ids))
	for i, id := range ids {
		facts[i] = f.facts[id]
	}
	return facts
}
