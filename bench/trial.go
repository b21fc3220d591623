package bench

import (
	"fmt"
	"slices"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/journal"
	"fairburn/trial"
)

// Trial puts a trial together from the records that stand: the value that the
// sheet had when it was taken, with every burn and correction since. What is
// contradicted is left out and the findings say so. The caller must not change
// what the trial's lists hold.
func (b *Bench) Trial(title string) (*trial.Trial, []finding.Finding, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.trial(title)
}

func (b *Bench) trial(title string) (*trial.Trial, []finding.Finding, error) {
	head := b.stand(trialKind, title, nil)
	said := head.value()
	switch {
	case len(head.live) == 0:
		return nil, nil, fmt.Errorf("trial %q is %w", title, ErrUnknown)
	case said == nil:
		return nil, nil, fmt.Errorf("trial %q cannot be put together: %s; %s", title, head.findings[0].Sentence, head.findings[0].Remedy)
	}
	t, fs := *said, head.findings
	t.Shelf = gear.Shelf{}
	for _, k := range gearKinds {
		for _, name := range k.names(said) {
			s := b.stand(k, name, head.authors())
			switch {
			case len(s.gone) > 0:
				s.tell(finding.Caution, "gear_missing_here", "the trial was taken with it and it was withdrawn since", "put it on the shelf again")
			case len(s.live) == 0:
				s.tell(finding.Caution, "gear_missing_here", "the trial was taken with it and no record describes it here", "merge the bench it came from")
			}
			if x := s.value(); x != nil {
				k.add(&t, x)
			}
			fs = append(fs, s.findings...)
		}
	}
	burned, more := b.burned(title)
	t.Burns = burned
	t.SortBurns()
	return &t, append(fs, more...), nil
}

// titles lists the trials that were not withdrawn, sorted.
func (b *Bench) titles() []string {
	return slices.DeleteFunc(b.fold.Subjects(trialKind.name), func(title string) bool {
		return len(b.stand(trialKind, title, nil).live) == 0
	})
}

// burned returns the burns of a trial that hold.
func (b *Bench) burned(title string) ([]burn.Record, []finding.Finding) {
	var burns []burn.Record
	var fs []finding.Finding
	for _, subject := range b.index.burns[title] {
		s := b.stand(burnKind, subject, nil)
		fs = append(fs, s.findings...)
		if x := s.value(); x != nil {
			r, more := b.timed(subject, x.Burns[0])
			burns, fs = append(burns, r), append(fs, more...)
		}
	}
	return burns, fs
}

// Summary is one trial in the list of all.
type Summary struct {
	Title    string   `json:"title"`
	Entries  int      `json:"entries"`
	Burns    int      `json:"burns"`
	Void     int      `json:"void"`     // of these
	Testers  []string `json:"testers"`  // whose records it is made of
	Findings int      `json:"findings"` // of putting it together: rivals, proposals
}

// Trials lists the trials on the bench by title.
func (b *Bench) Trials() []Summary {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Summary
	for _, title := range b.titles() {
		s := Summary{Title: title, Testers: b.testers(title)}
		t, fs, err := b.trial(title)
		if s.Findings = len(fs); err != nil {
			s.Findings++
			t = &trial.Trial{}
			t.Burns, _ = b.burned(title)
		}
		s.Entries, s.Burns = len(t.Entries), len(t.Burns)
		for _, x := range t.Burns {
			if x.Void != "" {
				s.Void++
			}
		}
		all = append(all, s)
	}
	return all
}

func (b *Bench) testers(title string) []string {
	facts := b.fold.State(trialKind.name, title).Live
	for _, subject := range b.index.burns[title] {
		facts = append(facts, b.fold.State(burnKind.name, subject).Live...)
	}
	return names(facts)
}

// names lists the testers of facts, each once, in order.
func names(facts []journal.Fact) []string {
	var ns []string
	for _, f := range facts {
		ns = append(ns, f.Record.Name)
	}
	slices.Sort(ns)
	return slices.Compact(ns)
}

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
