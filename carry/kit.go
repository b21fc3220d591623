package carry

import (
	"iter"
	"slices"
)

// Kit is one combination that fits.
type Kit struct {
	Stove string `json:"stove"`
	Kind  Kind   `json:"kind"`
	Parts []Part `json:"parts,omitempty"` // in the order of Slots
}

// Part returns what fills a slot.
func (k Kit) Part(s Slot) (Part, bool) {
	for _, p := range k.Parts {
		if p.Slot == s {
			return p, true
		}
	}
	return Part{}, false
}

// Name names the kit by what it heats with: "cat can and 0.9 L pot".
func (k Kit) Name() string {
	if pot, ok := k.Part(Pot); ok {
		return k.Stove + " and " + pot.Name
	}
	return k.Stove
}

// empty stands for a slot left empty among the places of parts.
const empty = -1

// options lists the places on the shelf of the parts that can fill a slot beside a
// stove and pot, and empty where that is allowed.
func (s *Shelf) options(slot Slot, v *Stove, pot string) []int {
	var at []int
	for i, p := range s.Parts {
		if p.Slot == slot && p.unusable() == "" && p.fits(v.Name, pot) {
			at = append(at, i)
		}
	}
	required := slot == Pot || slices.Contains(v.Needs, slot) || slot == Lighter && len(at) > 0
	if !required {
		at = append([]int{empty}, at...)
	}
	return at
}

// fits reports whether the part goes with a stove or its pot.
func (p Part) fits(stove, pot string) bool {
	return len(p.With) == 0 || slices.Contains(p.With, stove) || slices.Contains(p.With, pot)
}

// usableStoves lists the stoves that can be in a kit.
func (s *Shelf) usableStoves() []*Stove {
	var vs []*Stove
	for i := range s.Stoves {
		if v := &s.Stoves[i]; v.unusable() == "" {
			vs = append(vs, v)
		}
	}
	return vs
}

// Enumerate lists every combination that fits: a stove with a pot and, where they
// fit, lid, screen, stand, primer dish and lighter; no stove at all is one kit.
func (s *Shelf) Enumerate() iter.Seq[Kit] {
	return func(yield func(Kit) bool) {
		for _, v := range s.usableStoves() {
			if v.Kind == NoStove {
				if !yield(Kit{Stove: v.Name, Kind: NoStove}) {
					return
				}
				continue
			}
			for _, pot := range s.options(Pot, v, "") {
				k := Kit{v.Name, v.Kind, []Part{s.Parts[pot]}}
				if !s.fill(v, k, Slots()[1:], yield) {
					return
				}
			}
		}
	}
}

// fill yields the kit with every choice for the slots left.
func (s *Shelf) fill(v *Stove, k Kit, slots []Slot, yield func(Kit) bool) bool {
	if len(slots) == 0 {
		return yield(k)
	}
	for _, at := range s.options(slots[0], v, k.Parts[0].Name) {
		with := k
		if at != empty {
			with.Parts = append(slices.Clone(k.Parts), s.Parts[at])
		}
		if !s.fill(v, with, slots[1:], yield) {
			return false
		}
	}
	return true
}

// family is all kits whose need is one: their parts by mass and price, of which
// only those on the front can be best. Picks are places of parts on the shelf.
type family struct {
	class
	parts []item
}

// families sorts every combination into families, and counts them. Lid, screen and
// stand decide whether a kit is the one that was burned; primer dish and lighter
// only weigh, and the best of them is found without trying each beside each.
func (s *Shelf) families() (all []family, count int) {
	for _, v := range s.usableStoves() {
		if v.Kind == NoStove {
			all = append(all, family{class{stove: v}, []item{{price: 0}}})
			count++
			continue
		}
		for _, pot := range s.options(Pot, v, "") {
			fs, n := s.around(v, pot)
			all = append(all, fs...)
			count += n
		}
	}
	return all, count
}

// around lists the families of one stove and pot.
func (s *Shelf) around(v *Stove, pot int) (fs []family, count int) {
	name := s.Parts[pot].Name
	lids, screens, stands := s.options(Lid, v, name), s.options(Screen, v, name), s.options(Stand, v, name)
	primers, lighters := s.options(Primer, v, name), s.options(Lighter, v, name)
	mass, price, onFlame := float64(v.Mass.Value), priceOf(v.Price), vesselOf(&s.Parts[pot])
	rest := sums([]item{{start: mass, mean: mass, price: price}}, sums(s.items([]int{pot}), sums(s.items(primers), s.items(lighters))))
	for _, lid := range lids {
		for _, screen := range screens {
			for _, stand := range stands {
				c := s.classOf(v, pot, [3]int{lid, screen, stand})
				i := slices.IndexFunc(fs, func(f family) bool { return f.class == c })
				if i < 0 {
					i, fs = len(fs), append(fs, family{class: c})
				}
				fs[i].parts = append(fs[i].parts, s.together(lid, screen, stand))
			}
		}
	}
	for i := range fs {
		fs[i].parts = sums(rest, front(fs[i].parts))
		fs[i].onFlame = onFlame
	}
	return fs, len(lids) * len(screens) * len(stands) * len(primers) * len(lighters)
}

// items turns places of parts into items.
func (s *Shelf) items(at []int) []item {
	var all []item
	for _, i := range at {
		all = append(all, s.together(i))
	}
	return front(all)
}

// together is several parts as one item.
func (s *Shelf) together(at ...int) item {
	var it item
	for _, i := range at {
		if i != empty {
			mass := float64(s.Parts[i].Mass.Value)
			it = it.plus(item{start: mass, mean: mass, price: priceOf(s.Parts[i].Price), picks: []int{i}})
		}
	}
	return it
}

// classOf finds what the need of a stove and pot with lid, screen and stand rests
// on: the burns of that very kit; else those of the same stove that have the pot in
// common, or else the most burns, as burns with other parts; else none.
func (s *Shelf) classOf(v *Stove, pot int, at [3]int) class {
	c := class{stove: v, pot: &s.Parts[pot], screened: at[1] != empty}
	var names [3]string
	for i, place := range at {
		if place != empty {
			names[i] = s.Parts[place].Name
		}
	}
	for i := range v.Evidence {
		e := &v.Evidence[i]
		same := e.Entry.Pot == c.pot.Name && [3]string{e.Entry.Lid, e.Entry.Screen, e.Entry.Stand} == names
		switch {
		case c.evidence == nil, same && c.borrowed:
			c.evidence, c.borrowed = e, !same
		case same == !c.borrowed && e.closerTo(c.pot.Name, c.evidence):
			c.evidence = e
		}
	}
	if c.evidence != nil {
		if i := slices.IndexFunc(s.Parts, func(p Part) bool { return p.Slot == Pot && p.Name == c.evidence.Entry.Pot }); i >= 0 {
			c.tested = &s.Parts[i]
		}
	}
	return c
}

// closerTo reports evidence that says more of a pot than other: its own pot, then
// more burns.
func (e *Evidence) closerTo(pot string, other *Evidence) bool {
	if own, theirs := e.Entry.Pot == pot, other.Entry.Pot == pot; own != theirs {
		return own
	}
	return e.N > other.N
}

// kit is a family's kit with the parts of an item.
func (s *Shelf) kit(f *family, it item) Kit {
	k := Kit{Stove: f.stove.Name, Kind: f.stove.Kind}
	for _, slot := range Slots() {
		for _, at := range it.picks {
			if s.Parts[at].Slot == slot {
				k.Parts = append(k.Parts, s.Parts[at])
			}
		}
	}
	return k
}
