package bench

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/trial"
)

// standing is what holds for one subject on this bench.
type standing struct {
	kind      kind
	subject   string
	live      []journal.Fact
	holds     *journal.Fact // nil: nothing does, or records contradict each other
	gone      []journal.ID  // where the thing was withdrawn and nothing else is said of it
	proposals []journal.Proposal
	findings  []finding.Finding
}

// stand works out what holds for a subject. Where authors are given, the facts
// of others count only if those authors have none.
func (b *Bench) stand(k kind, subject string, of []journal.Author) standing {
	state := b.fold.State(k.name, subject)
	s, misplaced := standing{kind: k, subject: subject}, standing{kind: k, subject: subject}
	for _, fact := range state.Live {
		if t := thing(fact); t != nil && k.subject(titleOf(subject), k.label(t)) != subject {
			misplaced.tell(finding.Caution, "record_misplaced", fmt.Sprintf("record %.8v by %s is about %q, not about what it is filed under; it is not used", fact.ID, fact.Record.Name, k.label(t)), "its author can replace it")
			continue
		}
		s.live = append(s.live, fact)
	}
	if theirs := by(s.live, of); len(theirs) > 0 {
		s.live = theirs
	}
	s.live = speaking(s.live)
	for _, p := range state.Proposals {
		if against(p, s.live) {
			s.proposals = append(s.proposals, p)
		}
	}
	s.settle(b.tester.Key.Author())
	s.tellProposals()
	s.findings = append(s.findings, misplaced.findings...)
	return s
}

// speaking leaves out a word by which somebody took back no more than their own,
// where others still say something: it contradicts nobody.
func speaking(live []journal.Fact) []journal.Fact {
	says := slices.DeleteFunc(slices.Clone(live), func(f journal.Fact) bool {
		of := func(g journal.Fact) bool { return slices.Contains(f.Record.Replaces, g.ID) }
		return isWithdrawn(f) && !slices.ContainsFunc(live, of)
	})
	if len(says) == 0 {
		return live
	}
	return says
}

// against reports whether a proposal is about any of the facts.
func against(p journal.Proposal, live []journal.Fact) bool {
	return slices.ContainsFunc(live, func(f journal.Fact) bool { return slices.Contains(p.Against, f.ID) })
}

// settle finds the fact that holds: the one that all agree on, or this tester's
// own where it replaces every other. A word of the tester's settles things on
// their own bench; elsewhere the others' records stand on.
func (s *standing) settle(own journal.Author) {
	for i := range s.live {
		f := &s.live[i]
		other := func(g journal.Fact) bool {
			return !s.same(*f, g) && !(f.Record.Author == own && slices.Contains(f.Record.Replaces, g.ID))
		}
		if !slices.ContainsFunc(s.live, other) {
			s.holds = f
			break
		}
	}
	switch {
	case s.holds == nil && len(s.live) > 0:
		var each []string
		for i, f := range s.live {
			each = append(each, fmt.Sprintf("%.8v by %s%s", f.ID, f.Record.Name, s.against(s.live[(i+1)%len(s.live)], f)))
		}
		s.tell(finding.Caution, "records_disagree", fmt.Sprintf("%d records contradict each other and none of them is used: %s", len(s.live), strings.Join(each, "; ")),
			"choose one on its page, or take a sheet that has it right, with --replace")
	case s.holds != nil && isWithdrawn(*s.holds):
		for _, f := range s.live {
			s.gone = append(s.gone, f.ID)
		}
		s.live, s.holds = nil, nil
	case s.holds != nil && thing(*s.holds) == nil:
		s.tell(finding.Caution, "record_newer", fmt.Sprintf("record %.8v by %s is of a newer version than this program reads", s.holds.ID, s.holds.Record.Name), "use a newer fairburn")
		s.holds = nil
	}
}

// against says what f has that other has not: " (boil = "6:30")".
func (s *standing) against(other, f journal.Fact) string {
	_, is := difference(s.textOf(other), s.textOf(f))
	if is == "" {
		return ""
	}
	return " (" + is + ")"
}

func (s *standing) tellProposals() {
	for _, p := range s.proposals {
		f := p.Fact
		change := Change{}
		if len(s.live) > 0 {
			change.Was, change.Is = difference(s.textOf(s.live[0]), s.textOf(f))
		}
		s.tell(finding.Note, "record_proposed", fmt.Sprintf("%s proposes a correction, record %.8v: %s; it is not applied", f.Record.Name, f.ID, change),
			"accept or decline it on the page of the journal; or take a sheet that says the same, or your own with --replace")
	}
}

func (s *standing) tell(sev finding.Severity, code, sentence, remedy string) {
	s.findings = append(s.findings, finding.Finding{Code: code, Severity: sev, Where: s.where(), Sentence: sentence, Remedy: remedy})
}

func (s *standing) where() finding.Place {
	name := s.subject
	if s.kind.name == burnKind.name {
		name = idOf(name)
	}
	return finding.Place{Subject: s.kind.name + " " + name}
}

// value is the thing that holds, alone in a trial, or nil.
func (s *standing) value() *trial.Trial {
	if s.holds == nil {
		return nil
	}
	t, _ := thing(*s.holds).(*trial.Trial)
	return t
}

// authors are those who say what holds.
func (s *standing) authors() []journal.Author {
	var as []journal.Author
	for _, f := range s.live {
		if s.holds != nil && s.same(f, *s.holds) {
			as = append(as, f.Record.Author)
		}
	}
	return as
}

func (s *standing) same(f, g journal.Fact) bool { return f.ID == g.ID || s.textOf(f) == s.textOf(g) }

// textOf is what a fact says; of one too new to read, that it is one of its own.
func (s *standing) textOf(f journal.Fact) string {
	if t := thing(f); t != nil {
		return s.kind.text(t)
	}
	if isWithdrawn(f) {
		return "withdrawn = true\n"
	}
	return fmt.Sprintf("record %v of a newer version", f.ID)
}

// thing is what a fact holds, nil when it is too new to read or says that there is
// none.
func thing(f journal.Fact) any {
	if isWithdrawn(f) {
		return nil
	}
	return f.Value
}

func by(facts []journal.Fact, authors []journal.Author) []journal.Fact {
	var theirs []journal.Fact
	for _, f := range facts {
		if slices.Contains(authors, f.Record.Author) {
			theirs = append(theirs, f)
		}
	}
	return theirs
}

// Change is what a correction changes, in the keys of a sheet.
type Change struct {
	Thing string `json:"thing"` // such as "burn 7"
	Was   string `json:"was,omitempty"`
	Is    string `json:"is,omitempty"`
}

// String is such as `boil = "6:35" in place of boil = "6:33"`.
func (c Change) String() string {
	switch {
	case c.Was == "" && c.Is == "":
		return "the same in another order"
	case c.Was == "":
		return "with " + c.Is
	case c.Is == "":
		return "without " + c.Was
	}
	return c.Is + " in place of " + c.Was
}

// difference returns the lines of each text that the other has not.
func difference(was, is string) (lost, gained string) {
	a, b := strings.Split(was, "\n"), strings.Split(is, "\n")
	only := func(x, y []string) string {
		var lines []string
		for _, line := range x {
			if line = strings.TrimSpace(line); line != "" && !slices.ContainsFunc(y, func(l string) bool { return strings.TrimSpace(l) == line }) {
				lines = append(lines, line)
			}
		}
		return strings.Join(lines, "; ")
	}
	return only(a, b), only(b, a)
}

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
	own := func(f journal.Fact) bool { return f.Record.Author == b.tester.Key.Author() }
	sort.SliceStable(live, func(i, j int) bool { return own(live[i]) && !own(live[j]) })
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
