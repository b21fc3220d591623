package journal

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
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
	Value  any  // what Kind.Read made of the body; nil when Cut or Newer
	Cut    bool // the body stayed in the store
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
// never on the order of adding. It is not safe for use by several goroutines.
//
// Only records of one kind and subject replace each other, and only those of one
// author. A record stands when it replaces nothing that is here, or something of
// its own author's that stands; it is live when it stands and no record of its
// author's replaces it. A record whose body breaks the rules of its kind is set
// aside as if it were not here. One of a newer version takes part, since its
// author did replace what was there, but has no Value.
type Fold struct {
	kinds  map[string]Kind
	facts  map[ID]Fact
	groups map[string]map[string][]ID // kind, subject
	aside  map[ID]error               // bodies that break the rules
}

// NewFold returns an empty fold. Records of kinds it does not name are ignored
// but for a finding.
func NewFold(kinds map[string]Kind) *Fold {
	return &Fold{kinds, map[ID]Fact{}, map[string]map[string][]ID{}, map[ID]error{}}
}

// Add takes an entry of a store; adding it again changes nothing. It holds the
// bytes to the id but does not look at the signature: Merge did, and Verify does.
func (f *Fold) Add(e Entry) error {
	if _, here := f.facts[e.ID]; here {
		return nil
	}
	if !e.Cut && sha256.Sum256(e.Bytes) != e.ID {
		return fmt.Errorf("record %v was altered in the store: its bytes hash to something else", e.ID)
	}
	r, rest, err := parseHead(e.Bytes)
	if err != nil {
		return fmt.Errorf("record %v: %w", e.ID, err)
	}
	fact := Fact{ID: e.ID, Record: r, Cut: e.Cut}
	kind, known := f.kinds[r.Kind]
	fact.Newer = known && r.Version > kind.Newest
	if !e.Cut {
		fact.Record.Body = rest[:max(0, len(rest)-1)]
	}
	if known && !fact.Newer && !e.Cut {
		if fact.Value, err = kind.Read(r.Version, fact.Record.Body); err != nil {
			f.aside[e.ID] = err
		}
	}
	f.facts[e.ID] = fact
	if known && f.aside[e.ID] == nil {
		f.join(fact)
	}
	return nil
}

// join puts a fact into its group, in order of id.
func (f *Fold) join(fact Fact) {
	group := f.groups[fact.Record.Kind]
	if group == nil {
		group = map[string][]ID{}
		f.groups[fact.Record.Kind] = group
	}
	ids := group[fact.Record.Subject]
	at, _ := slices.BinarySearchFunc(ids, fact.ID, compareID)
	group[fact.Record.Subject] = slices.Insert(ids, at, fact.ID)
}

// Drop forgets a record that was shunned. What it replaced stands again.
func (f *Fold) Drop(id ID) {
	r := f.facts[id].Record
	delete(f.facts, id)
	delete(f.aside, id)
	group := f.groups[r.Kind]
	ids := slices.DeleteFunc(group[r.Subject], func(other ID) bool { return other == id })
	if len(ids) > 0 {
		group[r.Subject] = ids
		return
	}
	delete(group, r.Subject)
}

// Subjects returns the subjects of a kind, sorted.
func (f *Fold) Subjects(kind string) []string {
	return slices.Sorted(maps.Keys(f.groups[kind]))
}

// State works out what stands for one subject.
func (f *Fold) State(kind, subject string) State {
	ids := f.groups[kind][subject]
	if len(ids) == 1 { // nearly all are alone, and then there is nothing to work out
		return State{Live: []Fact{f.facts[ids[0]]}}
	}
	g := newGroup(f, ids)
	var s State
	for _, id := range g.ids {
		fact := f.facts[id]
		switch {
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

// alike reports whether two facts say the same. Of bodies left in the store it
// is not known, so they count as different.
func alike(a, b Fact) bool {
	if a.ID == b.ID {
		return true
	}
	return !a.Cut && !b.Cut && a.Record.Version == b.Record.Version && string(a.Record.Body) == string(b.Record.Body)
}

// group is the records of one kind and subject while their state is worked out.
type group struct {
	fold     *Fold
	ids      []ID
	targets  map[ID][]ID // what each record replaces, as far as it is in the group
	sources  map[ID][]ID // the same, backwards
	replaced map[ID]bool // by a record of its own author
	standing map[ID]bool
}

func newGroup(f *Fold, ids []ID) *group {
	g := &group{f, ids, map[ID][]ID{}, map[ID][]ID{}, map[ID]bool{}, map[ID]bool{}}
	for _, id := range ids {
		for _, target := range f.facts[id].Record.Replaces {
			if _, here := slices.BinarySearchFunc(ids, target, compareID); !here {
				continue
			}
			g.targets[id] = append(g.targets[id], target)
			g.sources[target] = append(g.sources[target], id)
			g.replaced[target] = g.replaced[target] || g.author(target) == g.author(id)
		}
	}
	return g
}

func (g *group) author(id ID) Author { return g.fold.facts[id].Record.Author }

// stands reports whether id replaces nothing here, or something of its own
// author's that stands. Ids are hashes, so records cannot replace each other in
// a ring; a damaged store could say so, and there nothing in the ring stands.
func (g *group) stands(id ID) bool {
	if s, known := g.standing[id]; known {
		return s
	}
	g.standing[id] = false
	s := len(g.targets[id]) == 0 || slices.ContainsFunc(g.targets[id], func(t ID) bool {
		return g.author(t) == g.author(id) && g.stands(t)
	})
	g.standing[id] = s
	return s
}

// answered reports whether an author of what the proposal id would replace has
// since written a record that stands and replaces the proposal too.
func (g *group) answered(id ID) bool {
	return slices.ContainsFunc(g.sources[id], func(source ID) bool {
		owns := func(target ID) bool { return g.author(target) == g.author(source) }
		return g.stands(source) && slices.ContainsFunc(g.targets[id], owns)
	})
}
