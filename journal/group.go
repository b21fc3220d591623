package journal

import "slices"

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
