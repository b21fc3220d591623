package bench

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/journal"
)

// Logged is one record in the order in which records came to this bench.
type Logged struct {
	ID       journal.ID
	Kind     string
	Subject  string
	About    Topic
	Tester   string
	At       time.Time // by the tester's own clock
	Received time.Time
	From     string
	State    string // "holds", "rival", "proposed", "replaced", "unreadable"
	Corrects bool   // it replaces others
}

// Log returns up to n records, the newest first, after passing over as many as
// skip says, and how many there are in all.
func (b *Bench) Log(skip, n int) ([]Logged, int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	end := max(0, len(b.index.order)-max(0, skip))
	var all []Logged
	for _, p := range slices.Backward(b.index.order[max(0, end-max(0, n)):end]) {
		f, _ := b.fold.Fact(p.id) // what is in the index is in the fold
		r := f.Record
		all = append(all, Logged{ID: p.id, Kind: r.Kind, Subject: r.Subject, About: TopicOf(r.Kind, r.Subject), Tester: r.Name, At: r.At,
			Received: time.UnixMicro(p.received).UTC(), From: p.from.Value(), State: b.stateOf(f), Corrects: len(r.Replaces) > 0})
	}
	return all, len(b.index.order)
}

// stateOf says in a word what became of a record.
func (b *Bench) stateOf(f journal.Fact) string {
	state := b.fold.State(f.Record.Kind, f.Record.Subject)
	is := func(g journal.Fact) bool { return g.ID == f.ID }
	switch {
	case slices.ContainsFunc(state.Live, is):
		return b.stateOfLive(f, state.Live)
	case slices.ContainsFunc(state.Proposals, func(p journal.Proposal) bool { return is(p.Fact) && against(p, state.Live) }):
		return "proposed"
	case slices.ContainsFunc(b.fold.Facts(f.Record.Kind, f.Record.Subject), is):
		return "replaced"
	}
	return "unreadable"
}

// stateOfLive tells rivals from those that this tester settled. Gear is looked at
// as its own tester's.
func (b *Bench) stateOfLive(f journal.Fact, live []journal.Fact) string {
	same := func(g journal.Fact) bool { return g.ID == f.ID }
	k, isThing := kindNamed(f.Record.Kind)
	switch {
	case f.Record.Kind == markName:
		standing := b.standingMarks(live)
		if p, read := f.Value.(pressed); read && p.TakenBack {
			return "holds"
		}
		if slices.ContainsFunc(standing, same) && !agree(standing) {
			return "rival"
		}
		live = standing
	case isThing:
		var of []journal.Author
		if k.isGear() {
			of = []journal.Author{f.Record.Author}
		}
		s := b.stand(k, f.Record.Subject, of)
		if finding.Has(s.findings, "records_disagree") {
			return "rival"
		}
		same = func(g journal.Fact) bool { return s.holds == nil || s.same(f, *s.holds) }
	}
	if slices.ContainsFunc(live, same) {
		return "holds"
	}
	return "replaced"
}

// Topic is what a record is about, told from its kind and subject.
type Topic struct {
	Kind  string // of the thing, such as "burn" or "pot"
	Title string // of the trial, for burns
	Name  string // of the thing; of a burn its id
	What  string // in words, where it is not about the thing as a whole: "boil", "photo"
}

// TopicOf reads a subject. One of a kind that is not known is its own name.
func TopicOf(kindName, subject string) Topic {
	switch kindName {
	case burnKind.name:
		return Topic{Kind: kindName, Title: titleOf(subject), Name: idOf(subject)}
	case markName:
		of, what := splitMark(subject)
		t := TopicOf(burnKind.name, of)
		t.What = burn.Mark(what).Label()
		return t
	case photoName:
		of, about, _ := strings.Cut(titleOf(subject), "/")
		t := TopicOf(of, about)
		t.What = "photo"
		return t
	}
	return Topic{Kind: kindName, Name: subject}
}

// Recorded is one record in full.
type Recorded struct {
	Logged
	Author     journal.Author
	Replaces   []journal.ID
	ReplacedBy []journal.ID // that are here, whoever's they are
	Text       string       // what it says: as a sheet, a moment in words, else its body
	Fault      string       // what its hash and its signature were found to be, "" where they are right
}

// Record reads a record anew and holds it to its hash and its signature. Of one
// that does not hold, no more is told than that.
func (b *Bench) Record(ctx context.Context, id journal.ID) (Recorded, error) {
	e, err := b.store.Get(ctx, id)
	if err != nil {
		return Recorded{}, err
	}
	x := Recorded{Logged: Logged{ID: id, Received: e.Receipt.At, From: e.Receipt.From, State: "unreadable"}}
	r, err := e.Check()
	if err != nil {
		x.Fault = err.Error()
		return x, nil
	}
	x.Kind, x.Subject, x.About = r.Kind, r.Subject, TopicOf(r.Kind, r.Subject)
	x.Tester, x.At, x.Corrects = r.Name, r.At, len(r.Replaces) > 0
	x.Author, x.Replaces, x.Text = r.Author, r.Replaces, textOf(journal.Fact{ID: id, Record: r})
	b.mu.Lock()
	defer b.mu.Unlock()
	if f, ok := b.fold.Fact(id); ok {
		x.State = b.stateOf(f)
	}
	for _, f := range b.fold.Facts(r.Kind, r.Subject) {
		if slices.Contains(f.Record.Replaces, id) {
			x.ReplacedBy = append(x.ReplacedBy, f.ID)
		}
	}
	return x, nil
}

// textOf is what a record says, for a person; what cannot be read stands as it is.
func textOf(f journal.Fact) string {
	k, isThing := kindNamed(f.Record.Kind)
	read := k.read
	switch {
	case f.Record.Kind == markName:
		read = readMark
	case f.Record.Kind == photoName:
		read = readPhoto
	case !isThing || f.Record.Version > withdrawnVersion:
		return string(f.Record.Body)
	}
	var err error
	if f.Value, err = read(f.Record.Version, f.Record.Body); err != nil {
		return string(f.Record.Body)
	}
	switch x := f.Value.(type) {
	case pressed:
		_, what := splitMark(f.Record.Subject)
		return momentText(what, f)
	case picture:
		if x.Withdrawn {
			return "withdrawn"
		}
		return cmp.Or(x.Caption, "a photo")
	}
	s := standing{kind: k}
	return s.textOf(f)
}

// Listed is one trial as far as it is known without reading its burns.
type Listed struct {
	Title    string
	Question string
	Entries  int
	Burns    int
	Invented bool
	Repeats  string   // the title of the trial that it repeats
	Own      bool     // it is this tester's: its burns say what gear does in their hands
	By       []string // whose it is
}

// List lists the trials on the bench by title.
func (b *Bench) List() []Listed {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Listed
	for _, title := range b.fold.Subjects(trialKind.name) {
		s := b.stand(trialKind, title, nil)
		l := Listed{Title: title, Burns: b.burnsOf(title)}
		if x := s.value(); x != nil {
			l.Question, l.Entries, l.Invented, l.Repeats = x.Question, len(x.Entries), x.Invented, x.Repeats
		}
		if len(s.live) > 0 {
			l.Own, l.By = slices.ContainsFunc(s.live, b.own), names(s.live)
			all = append(all, l)
		}
	}
	return all
}

// burnsOf counts the burns of a trial that were not withdrawn, and reads no other.
func (b *Bench) burnsOf(title string) int {
	n := len(b.index.burns[title])
	for _, subject := range b.index.burns[title] {
		if b.index.gone[subject] && len(b.stand(burnKind, subject, nil).live) == 0 {
			n--
		}
	}
	return n
}
