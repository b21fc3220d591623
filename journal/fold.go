package journal

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
)

// Kind tells how to read the bodies of one kind of record.
type Kind struct {
	Newest int // the newest version of the body that Read understands; it reads all older ones
	// Read decodes a body and says, in words, what in it breaks the kind's rules.
	Read func(version int, body json.RawMessage) (any, error)
}

// Fact is a record as a Fold sees it.
type Fact struct {
	ID     ID
	Record Record
	Value  any  // what Kind.Read made of the body; nil when Cut, Newer or set aside
	Cut    bool // the body stayed in the store: Record.Body is nil and Store.Get brings it
	Newer  bool // the body is of a version that this program cannot read
}

// Proposal is a record by which another author would replace what is not theirs.
// It is shown and never applied. The author of what it would replace answers by
// a record of their own that replaces both: with the same body to accept it.
type Proposal struct {
	Fact    Fact
	Against []ID
}

// State is what stands for one subject.
type State struct {
	// Live holds what nothing replaces, in order of id. One fact is the rule.
	Live []Fact
	// Disagree says that Live holds facts that differ: a person must look, and
	// settle it by a record that replaces them all. Like facts agree, whoever
	// states them.
	Disagree  bool
	Proposals []Proposal // unanswered, in order of id
}

// Fold works out from a set of records what stands. It depends on the set alone,
// never on the order of adding. It is not safe for use by several goroutines, not
// even to ask it: bodies are read when they are first asked for.
//
// Only records of one kind and subject replace each other, and only those of one
// author. A record stands when it replaces nothing that is here, or something of
// its own author's that stands; it is live when it stands and no record of its
// author's replaces it. A record whose body breaks the rules of its kind is set
// aside as if it were not here. One of a newer version takes part, since its
// author did replace what was there, but has no Value.
type Fold struct {
	kinds   map[string]Kind
	records map[ID]*held
	groups  map[string]map[string][]*held // kind, subject; each in order of id
	valued  []*held                       // have a value
}

// mostValues is how many values a fold keeps at a time. A burn's takes about
// 7 kB, ten times what its record does: whoever walks through a large bench
// should not end with all of it in memory.
const mostValues = 20_000

// held is a record in a fold: its bytes, once. The head is taken apart whenever
// it is asked for, which takes a microsecond and saves some 250 bytes a record.
type held struct {
	id    ID
	bytes []byte
	cut   bool
	read  bool  // whether value and aside tell what Kind.Read said
	value any   // what it made of the body
	aside error // why it did not
}

// NewFold returns an empty fold. Records of kinds it does not name are ignored
// but for a finding.
func NewFold(kinds map[string]Kind) *Fold {
	return &Fold{kinds: kinds, records: map[ID]*held{}, groups: map[string]map[string][]*held{}}
}

// Add takes an entry of a store; adding it again changes nothing. It holds the
// bytes to the id, but those of a Cut entry cannot be, and it does not look at
// the signature: Merge did, and Verify does. The body is not read yet: Kind.Read
// runs when State, Subjects, Facts, Fact or Findings first needs what it says, and
// again only after many others were read since. The bytes stay in use and must
// not be changed.
func (f *Fold) Add(e Entry) error {
	if f.records[e.ID] != nil {
		return nil
	}
	if !e.Cut && sha256.Sum256(e.Bytes) != e.ID {
		return fmt.Errorf("record %v was altered in the store: its bytes hash to something else", e.ID)
	}
	r, _, err := parseHead(e.Bytes)
	if err != nil {
		return fmt.Errorf("record %v: %w", e.ID, err)
	}
	h := &held{id: e.ID, bytes: e.Bytes, cut: e.Cut}
	f.records[e.ID] = h
	if _, known := f.kinds[r.Kind]; known {
		f.join(h, r)
	}
	return nil
}

// join puts a record into its group, in order of id.
func (f *Fold) join(h *held, r Record) {
	group := f.groups[r.Kind]
	if group == nil {
		group = map[string][]*held{}
		f.groups[r.Kind] = group
	}
	hs := group[r.Subject]
	at, _ := slices.BinarySearchFunc(hs, h.id, func(h *held, id ID) int { return compareID(h.id, id) })
	group[r.Subject] = slices.Insert(hs, at, h)
}

// Drop forgets a record that was shunned. What it replaced stands again.
func (f *Fold) Drop(id ID) {
	h := f.records[id]
	if h == nil {
		return
	}
	delete(f.records, id)
	r := h.record()
	group := f.groups[r.Kind]
	hs := slices.DeleteFunc(group[r.Subject], func(other *held) bool { return other == h })
	*h = held{} // it may be among the valued still
	if len(hs) > 0 {
		group[r.Subject] = hs
		return
	}
	delete(group, r.Subject)
}

// record takes the bytes apart; Add found that they can be.
func (h *held) record() Record {
	r, rest, err := parseHead(h.bytes)
	if err != nil {
		panic(err) // whoever added them has changed them since
	}
	if !h.cut {
		r.Body = rest[:max(0, len(rest)-1)]
	}
	return r
}

// fact reads a record's body if that was not done yet. It returns why the record
// is set aside, where it is.
func (f *Fold) fact(h *held) (Fact, error) {
	fact := Fact{ID: h.id, Record: h.record(), Cut: h.cut}
	kind, known := f.kinds[fact.Record.Kind]
	fact.Newer = known && fact.Record.Version > kind.Newest
	if known && !h.read && !fact.Newer && !h.cut {
		value, err := kind.Read(fact.Record.Version, fact.Record.Body)
		if h.read, h.aside = true, err; err == nil {
			f.keep(h, value)
		}
	}
	fact.Value = h.value
	return fact, h.aside
}

// keep keeps a value with its record; when there are too many, all others go.
func (f *Fold) keep(h *held, value any) {
	if len(f.valued) == mostValues {
		for _, other := range f.valued {
			other.read, other.value = false, nil
		}
		f.valued = f.valued[:0]
	}
	f.valued, h.value = append(f.valued, h), value
}

// Subjects returns the subjects of a kind, sorted. It reads a body of each, since
// a subject of which everything is set aside is not among them.
func (f *Fold) Subjects(kind string) []string {
	var subjects []string
	for subject, hs := range f.groups[kind] {
		if slices.ContainsFunc(hs, f.usable) {
			subjects = append(subjects, subject)
		}
	}
	slices.Sort(subjects)
	return subjects
}

func (f *Fold) usable(h *held) bool {
	if !h.read {
		_, _ = f.fact(h) // for what it notes in h
	}
	return h.aside == nil
}

// State works out what stands for one subject.
func (f *Fold) State(kind, subject string) State {
	facts := f.Facts(kind, subject)
	if len(facts) == 1 { // nearly all are alone, and then there is nothing to work out
		return State{Live: facts}
	}
	g := newGroup(facts)
	var s State
	for _, fact := range facts {
		switch id := fact.ID; {
		case g.replaced[id]:
		case g.stands(id):
			s.Live = append(s.Live, fact)
			s.Disagree = s.Disagree || !alike(s.Live[0], fact)
		case !g.answered(id):
			s.Proposals = append(s.Proposals, Proposal{fact, g.targets[id]})
		}
	}
	return s
}

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

// alike reports whether two facts say the same. Of bodies left in the store it
// is not known, so they count as different.
func alike(a, b Fact) bool {
	if a.ID == b.ID {
		return true
	}
	return !a.Cut && !b.Cut && a.Record.Version == b.Record.Version && string(a.Record.Body) == string(b.Record.Body)
}

// group is the usable records of one kind and subject while their state is
// worked out.
type group struct {
	authors  map[ID]Author
	targets  map[ID][]ID // what each record replaces, as far as it is in the group
	sources  map[ID][]ID // the same, backwards
	replaced map[ID]bool // by a record of its own author
	standing map[ID]bool
}

func newGroup(facts []Fact) *group {
	g := &group{map[ID]Author{}, map[ID][]ID{}, map[ID][]ID{}, map[ID]bool{}, map[ID]bool{}}
	for _, fact := range facts {
		g.authors[fact.ID] = fact.Record.Author
	}
	for _, fact := range facts {
		for _, target := range fact.Record.Replaces {
			author, here := g.authors[target]
			if !here {
				continue
			}
			g.targets[fact.ID] = append(g.targets[fact.ID], target)
			g.sources[target] = append(g.sources[target], fact.ID)
			g.replaced[target] = g.replaced[target] || author == fact.Record.Author
		}
	}
	return g
}

// stands reports whether id replaces nothing here, or something of its own
// author's that stands. Ids are hashes, so records cannot replace each other in
// a ring; a damaged store could say so, and there nothing in the ring stands.
func (g *group) stands(id ID) bool {
	if s, known := g.standing[id]; known {
		return s
	}
	g.standing[id] = false
	s := len(g.targets[id]) == 0 || slices.ContainsFunc(g.targets[id], func(t ID) bool {
		return g.authors[t] == g.authors[id] && g.stands(t)
	})
	g.standing[id] = s
	return s
}

// answered reports whether an author of what the proposal id would replace has
// since written a record that stands and replaces the proposal too.
func (g *group) answered(id ID) bool {
	return slices.ContainsFunc(g.sources[id], func(source ID) bool {
		owns := func(target ID) bool { return g.authors[target] == g.authors[source] }
		return g.stands(source) && slices.ContainsFunc(g.targets[id], owns)
	})
}
