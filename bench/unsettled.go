package bench

import (
	"cmp"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
)

// Unsettled is something on which a person must decide: records that contradict
// each other, or corrections that others propose.
type Unsettled struct {
	Kind, Subject string
	About         Topic
	Rivals        bool // they contradict each other and none is used; else one holds
	Yours         bool // this tester's word decides; else it waits for whoever recorded what stands
	// Versions are those that stand, this tester's first, then those proposed; those
	// that say the same are one. Changes say what each has
	// that the first other one has not; Replaces is left out.
	Versions []Version
}

// Unsettled lists what waits for a decision: trials, burns, moments, then gear
// as trials use it and as it lies on the shelf, then trips.
func (b *Bench) Unsettled() []Unsettled {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Unsettled
	titles := b.fold.Subjects(trialKind.name)
	for _, title := range titles {
		all = b.unsettled(all, trialKind, title, nil)
		for _, subject := range b.index.burns[title] {
			all = b.unsettled(all, burnKind, subject, nil)
			all = b.unsettledMarks(all, subject)
		}
	}
	for _, k := range gearKinds {
		for _, name := range b.fold.Subjects(k.name) {
			if b.fold.Count(k.name, name) < 2 {
				continue
			}
			if own := b.authorsFor(k); len(by(b.fold.State(k.name, name).Live, own)) > 0 { // another's gear matters where a trial uses it
				all = b.unsettled(all, k, name, own)
			}
			for _, title := range titles {
				if head := b.stand(trialKind, title, nil); head.value() != nil && slices.Contains(k.names(head.value()), name) {
					all = b.unsettled(all, k, name, head.authors())
				}
			}
		}
	}
	for _, title := range b.fold.Subjects(tripKind.name) {
		all = b.unsettled(all, tripKind, title, nil)
	}
	return all
}

// unsettled adds a thing if there is something to decide on it that is not yet listed.
func (b *Bench) unsettled(all []Unsettled, k kind, subject string, of []journal.Author) []Unsettled {
	if b.fold.Count(k.name, subject) < 2 { // nearly all are alone
		return all
	}
	s := b.stand(k, subject, of)
	u := Unsettled{Kind: k.name, Subject: subject, About: TopicOf(k.name, subject), Rivals: finding.Has(s.findings, "records_disagree")}
	if !u.Rivals && len(s.proposals) == 0 {
		return all
	}
	u.Yours = u.Rivals || len(by(s.live, []journal.Author{b.tester.Key.Author()})) > 0
	u.Versions = b.versionsOf(s.live, s.proposals, s.textOf)
	return listed(all, u)
}

// unsettledMarks adds the moments of a burn that contradict each other or that
// another tester would take back.
func (b *Bench) unsettledMarks(all []Unsettled, of string) []Unsettled {
	for _, subject := range b.index.marks[of] {
		if b.fold.Count(markName, subject) < 2 {
			continue
		}
		state := b.fold.State(markName, subject)
		live := b.standingMarks(state.Live)
		u := Unsettled{Kind: markName, Subject: subject, About: TopicOf(markName, subject), Rivals: !agree(live)}
		if !u.Rivals && (len(state.Proposals) == 0 || len(live) == 0) {
			continue
		}
		_, what := splitMark(subject)
		u.Yours = u.Rivals || len(by(live, []journal.Author{b.tester.Key.Author()})) > 0
		u.Versions = b.versionsOf(live, state.Proposals, func(f journal.Fact) string { return momentText(what, f) })
		all = listed(all, u)
	}
	return all
}

// momentText is a moment in one line, in the keys of a sheet.
func momentText(what string, f journal.Fact) string {
	p, _ := f.Value.(pressed)
	text := burn.Mark(what).Label() + " at " + p.At.UTC().Format("2006-01-02 15:04:05.0 UTC") + " by the clock of " + cmp.Or(p.Device, f.Record.Name)
	if p.TakenBack {
		return burn.Mark(what).Label() + " did not happen"
	}
	return text
}

// versionsOf are the records to choose from, this tester's own first. Those that say
// the same stand as one, by all of their testers.
func (b *Bench) versionsOf(live []journal.Fact, proposals []journal.Proposal, text func(journal.Fact) string) []Version {
	live = slices.Clone(live)
	own := func(f journal.Fact) int {
		if f.Record.Author == b.tester.Key.Author() {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(live, func(f, g journal.Fact) int { return own(f) - own(g) })
	all := slices.Clone(live)
	for _, p := range proposals {
		all = append(all, p.Fact)
	}
	var vs []Version
	add := func(f journal.Fact, state string) {
		said := text(f)
		if i := slices.IndexFunc(vs, func(v Version) bool { return v.Text == said }); i >= 0 {
			if !slices.Contains(strings.Split(vs[i].Tester, ", "), f.Record.Name) {
				vs[i].Tester += ", " + f.Record.Name
			}
			return
		}
		v := Version{ID: f.ID, Tester: f.Record.Name, Author: f.Record.Author, At: f.Record.At, State: state, Text: said}
		if i := slices.IndexFunc(all, func(g journal.Fact) bool { return text(g) != said }); i >= 0 {
			c := Change{Thing: all[i].ID.String()}
			c.Was, c.Is = difference(text(all[i]), said)
			v.Changes = []Change{c}
		}
		vs = append(vs, v)
	}
	for i, f := range all {
		state := "stands"
		if i >= len(live) {
			state = "proposed"
		}
		add(f, state)
	}
	return vs
}

// listed adds u unless that choice is there already or there is nothing to choose.
func listed(all []Unsettled, u Unsettled) []Unsettled {
	same := func(x Unsettled) bool {
		lacks := func(v Version) bool {
			return (u.Rivals || v.State == "proposed") && !slices.ContainsFunc(x.Versions, func(w Version) bool { return w.ID == v.ID })
		}
		return x.Kind == u.Kind && x.Subject == u.Subject && x.Rivals == u.Rivals && !slices.ContainsFunc(u.Versions, lacks)
	}
	if len(u.Versions) < 2 || slices.ContainsFunc(all, same) {
		return all
	}
	return append(all, u)
}
