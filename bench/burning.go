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
	for of, subjects := range b.index.marks {
		has := func(m burn.Mark) bool { return slices.Contains(subjects, of+"/"+string(m)) }
		ended := (has(burn.Out) || has(burn.Snuffed)) && b.fold.Count(markName, of+"/"+string(burn.Out)) < 2 && b.fold.Count(markName, of+"/"+string(burn.Snuffed)) < 2
		if has(burn.Light) && !ended && b.alight(of) { // an end taken back has two records
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
