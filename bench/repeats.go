package bench

import (
	"fmt"
	"slices"
	"strings"
)

// Repeated lists the trials on the bench that are one trial burned by several:
// the one that is repeated first, or where it is not here the one asked for, then
// the others by title. Alone, a trial is its own.
func (b *Bench) Repeated(title string) []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	repeats := map[string]string{}
	for _, t := range b.titles() {
		repeats[t] = ""
		s := b.stand(trialKind, t, nil)
		if x := s.value(); x != nil {
			repeats[t] = strings.TrimSpace(x.Repeats)
		}
	}
	first := origin(repeats, title)
	group := slices.DeleteFunc(b.titles(), func(t string) bool { return t == title || t == first || origin(repeats, t) != first })
	if _, here := repeats[first]; here && first != title {
		return append([]string{first, title}, group...)
	}
	return append([]string{title}, group...)
}

// origin follows what trials say they repeat to the first of them. Trials that
// repeat each other in a circle are of the least title among them.
func origin(repeats map[string]string, title string) string {
	var seen []string
	for repeats[title] != "" {
		if at := slices.Index(seen, title); at >= 0 {
			return slices.Min(seen[at:])
		}
		seen = append(seen, title)
		title = repeats[title]
	}
	return title
}

// unnamed is what a tester is called who never said otherwise.
const unnamed = "tester"

// Signed tells who signed what stands of each burn of a trial, by the burn's id.
// Testers who never gave a name are told apart by their keys.
func (b *Bench) Signed(title string) map[string]string {
	b.mu.Lock()
	defer b.mu.Unlock()
	by := map[string]string{}
	for _, subject := range b.index.burns[title] {
		s := b.stand(burnKind, subject, nil)
		if s.holds == nil {
			continue
		}
		by[idOf(subject)] = s.holds.Record.Name
		if name := s.holds.Record.Name; name == "" || name == unnamed {
			by[idOf(subject)] = fmt.Sprintf("%s %.8v", unnamed, s.holds.Record.Author)
		}
	}
	return by
}
