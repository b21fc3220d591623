package bench

import "slices"

// Uses lists the trials whose head names a thing of a kind, by title.
func (b *Bench) Uses(kindName, name string) []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	k, ok := kindNamed(kindName)
	if !ok {
		return nil
	}
	var titles []string
	for _, title := range b.fold.Subjects(trialKind.name) {
		s := b.stand(trialKind, title, nil)
		if x := s.value(); x != nil && slices.Contains(k.names(x), name) {
			titles = append(titles, title)
		}
	}
	return titles
}
