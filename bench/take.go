package bench

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/journal"
	"fairburn/trial"
)

// Clash says what to do where the bench has something else.
type Clash int

const (
	// Refuse takes nothing where gear of the same name is described otherwise, or
	// where records contradict each other. Burns and what is said of the trial as
	// a whole are corrected.
	Refuse Clash = iota
	// Replace corrects gear as well, for every trial that used it, settles what
	// is contradicted and answers what others proposed: as the sheet has it.
	Replace
	// Correct corrects gear as well and leaves open what others proposed.
	Correct
)

// Report is what became of a trial that was taken.
type Report struct {
	Title    string            `json:"title"`
	Added    []string          `json:"added"`    // such as "burn 7"
	Replaced []Change          `json:"replaced"` // what was there stays and can be looked up
	Proposed []Change          `json:"proposed"` // corrections of what another tester recorded
	Kept     int               `json:"kept"`     // were on the bench already
	Findings []finding.Finding `json:"findings,omitempty"`
}

// Take adds to the bench what it has not yet of a trial, all or nothing, and
// says what it did. Taking the same again adds nothing. A burn that is missing
// from the trial stays on the bench: one that should not count is voided. After
// Take, Trial gives back what was taken and the burns beyond it.
func (b *Bench) Take(ctx context.Context, t *trial.Trial, clash Clash) (Report, error) {
	if err := b.catchUp(ctx); err != nil {
		return newReport(t.Title), fmt.Errorf("taking trial %q: %w", t.Title, err)
	}
	k, err := b.take(t, clash)
	if err == nil {
		err = b.keep(ctx, k.records)
	}
	switch {
	case k.refused:
		return k.report, fmt.Errorf("trial %q: %w", t.Title, err)
	case err != nil:
		return k.report, fmt.Errorf("taking trial %q: %w", t.Title, err)
	}
	return k.report, nil
}

// take works out what is to be recorded.
func (b *Bench) take(t *trial.Trial, clash Clash) (*taking, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	k := &taking{Bench: b, trial: t, clash: clash, report: newReport(t.Title)}
	if k.nameless(); k.refused {
		return k, ErrRefused
	}
	if err := k.all(); err != nil {
		return k, err
	}
	if k.refused {
		k.report = Report{Title: t.Title, Findings: k.report.Findings}
		return k, ErrRefused
	}
	return k, k.stamp(k.records)
}

func newReport(title string) Report {
	return Report{Title: title, Added: []string{}, Replaced: []Change{}, Proposed: []Change{}}
}

// taking is one Take under way.
type taking struct {
	*Bench
	trial   *trial.Trial
	clash   Clash
	saw     []journal.ID // what a correction replaces; nil: whatever stands
	report  Report
	records []journal.Record
	refused bool
}

func (k *taking) refuse(f finding.Finding) {
	f.Severity, k.refused = finding.Fault, true
	k.report.Findings = append(k.report.Findings, f)
}

// nameless refuses what a bench could not find again.
func (k *taking) nameless() {
	if k.trial.Title == "" {
		k.refuse(finding.Finding{Code: "title_missing", Sentence: "the trial has no title, and a bench finds it by that", Remedy: `write title = "…" at the top of the sheet`})
	}
	for _, f := range k.trial.Check() {
		if slices.Contains([]string{"name_missing", "name_twice", "id_missing", "id_twice"}, f.Code) {
			k.refuse(f)
		}
	}
}

func (k *taking) all() error {
	own := []journal.Author{k.tester.Key.Author()}
	head := k.stand(trialKind, k.trial.Title, nil)
	if err := k.decide(head, trialKind.one(k.trial, 0)); err != nil {
		return err
	}
	authors := own
	if head.holds != nil {
		authors = head.authors()
	}
	for _, g := range gearKinds {
		for i, name := range g.names(k.trial) {
			s := k.stand(g, name, authors)
			if slices.Contains(authors, own[0]) && len(by(s.live, authors)) == 0 {
				s = standing{kind: g, subject: name} // a name of this tester's own, whatever others call so
			}
			if err := k.decide(s, g.one(k.trial, i)); err != nil {
				return err
			}
		}
	}
	return k.burned()
}

func (k *taking) burned() error {
	beyond := slices.Clone(k.index.burns[k.trial.Title])
	for i, id := range burnKind.names(k.trial) {
		subject := burnSubject(k.trial.Title, id)
		s, alone := k.stand(burnKind, subject, nil), burnKind.one(k.trial, i)
		if own := s.value(); own != nil {
			alone.Burns[0] = k.untimed(subject, alone.Burns[0], own.Burns[0])
		}
		if err := k.decide(s, alone); err != nil {
			return err
		}
		beyond = slices.DeleteFunc(beyond, func(s string) bool { return s == subject })
	}
	if len(beyond) > 0 {
		k.report.Findings = append(k.report.Findings, finding.Finding{Code: "burns_beyond_sheet", Severity: finding.Note,
			Sentence: fmt.Sprintf("%d burns of the trial are on the bench and not in what was taken; they stay: %s", len(beyond), idsOf(beyond)),
			Remedy:   "a burn that should not count gets the key void, with the reason"})
	}
	return nil
}

func idsOf(subjects []string) string {
	var ids []string
	for _, s := range subjects {
		ids = append(ids, idOf(s))
	}
	slices.SortFunc(ids, trial.CompareIDs)
	return strings.Join(ids, ", ")
}

// decide says what is to be recorded about one thing.
func (k *taking) decide(s standing, alone any) error {
	raw, err := s.kind.body(alone)
	if err != nil {
		return err
	}
	text := s.kind.text(alone)
	says := func(f journal.Fact) bool { return s.textOf(f) == text }
	own := by(s.live, []journal.Author{k.tester.Key.Author()})
	record := journal.Record{Kind: s.kind.name, Version: bodyVersion, Subject: s.subject, Body: raw}
	agrees := s.holds != nil && says(*s.holds)
	switch {
	case len(s.live) == 0 && len(s.subject) > s.kind.longest():
		return refusal{fmt.Errorf("%s %.80q: its name takes %d bytes, expected at most %d", s.kind.name, s.subject, len(s.subject), s.kind.longest())}
	case len(s.live) == 0:
		record.Replaces = s.gone
		k.report.Added = append(k.report.Added, s.where().Subject)
		k.records = append(k.records, record)
		return nil
	case agrees && (k.clash != Replace || len(s.proposals) == 0 || len(own) == 0), k.clash == Refuse && slices.ContainsFunc(own, says):
		k.report.Kept++
		k.report.Findings = append(k.report.Findings, s.findings...)
		return nil
	case k.clash == Refuse && s.holds == nil:
		k.refuse(s.findings[0])
		return nil
	}
	change := Change{Thing: s.where().Subject}
	if change.Was, change.Is = difference(s.textOf(s.was()), text); agrees {
		change.Is = "the same again, which declines what others proposed"
	}
	if k.clash == Refuse && s.kind.isGear() {
		k.refuse(finding.Finding{Code: "gear_changed", Where: s.where(),
			Sentence: fmt.Sprintf("the bench has another of this name: %s", change),
			Remedy:   "if it was changed or is another one, give it a name of its own, a burner with parent = \"…\"; if the record was wrong, --replace corrects it for every trial that used it"})
		return nil
	}
	k.correct(s, record, change, says)
	return nil
}

// was is what a correction is compared with.
func (s *standing) was() journal.Fact {
	if s.holds != nil {
		return *s.holds
	}
	return s.live[0]
}

// correct replaces what stands. Where nothing of it is this tester's own, that
// is a proposal; the same proposal is not made twice.
func (k *taking) correct(s standing, record journal.Record, change Change, says func(journal.Fact) bool) {
	me := k.tester.Key.Author()
	own := len(by(s.live, []journal.Author{me})) > 0
	for _, f := range s.live {
		if k.saw == nil || slices.Contains(k.saw, f.ID) {
			record.Replaces = append(record.Replaces, f.ID)
		}
	}
	for _, p := range s.proposals {
		same, mine := says(p.Fact), p.Fact.Record.Author == me
		if same && mine && !own {
			k.report.Kept++
			return
		}
		if same || mine || k.clash == Replace {
			record.Replaces = append(record.Replaces, p.Fact.ID)
		}
	}
	k.records = append(k.records, record)
	switch {
	case len(record.Replaces) == 0: // whoever wrote it saw nothing of what stands
		k.report.Added = append(k.report.Added, change.Thing)
	case own:
		k.report.Replaced = append(k.report.Replaced, change)
	default:
		k.report.Proposed = append(k.report.Proposed, change)
	}
}
