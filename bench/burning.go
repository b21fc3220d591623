package bench

import (
	"cmp"
	"slices"

	"fairburn/burn"
)

// Burning is a burn that was lit by a press and whose flame nobody has seen end.
type Burning struct{ Title, Burn string }

// Burning lists the burns whose flame may still burn, by trial and id.
func (b *Bench) Burning() []Burning {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Burning
	for of := range b.index.marks {
		records := func(m burn.Mark) int { return b.fold.Count(markName, of+"/"+string(m)) }
		ended := records(burn.Out) == 1 || records(burn.Snuffed) == 1 // one that was taken back has two
		if records(burn.Light) > 0 && !ended && b.alight(of) {
			all = append(all, Burning{titleOf(of), idOf(of)})
		}
	}
	slices.SortFunc(all, func(x, y Burning) int { return cmp.Or(cmp.Compare(x.Title, y.Title), cmp.Compare(x.Burn, y.Burn)) })
	return all
}

// alight looks at what stands of a burn.
func (b *Bench) alight(of string) bool {
	s := b.stand(burnKind, of, nil)
	x := s.value()
	if x == nil || x.Burns[0].Marks[burn.Out].Given || x.Burns[0].Marks[burn.Snuffed].Given {
		return false
	}
	lit := false
	for _, m := range b.moments(of) {
		if m.State != "holds" && m.State != "rival" {
			continue
		}
		switch burn.Mark(m.What) {
		case burn.Light:
			lit = true
		case burn.Out, burn.Snuffed:
			return false
		}
	}
	return lit
}
