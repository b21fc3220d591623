package publish

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"time"

	"fairburn/bench"
	"fairburn/finding"
	"fairburn/journal"
	"fairburn/pack"
	"fairburn/sheet"
	"fairburn/trial"
)

// ErrEdition is what Merge says where the bench holds another edition of a pack.
var ErrEdition = errors.New("the bench holds another edition of this pack")

// Merged is what became of a pack.
type Merged struct {
	bench.Report
	Who      string            `json:"who"` // the author of its records here: "pack 1a2b3c4d"
	Findings []finding.Finding `json:"findings"`
}

// Merge takes the trial of a pack into a bench, as the records of an author of its own,
// so that nothing in it is ever taken for this tester's: gear of the same name stays
// apart, and whose burns are whose stays known. Whoever burned them is called what the
// sheet says and of which pack, "Fern (pack 1a2b3c4d)", since a sheet may say any name.
//
// The author's key comes from the checksum of the pack's first edition, so that every
// bench gives it the same. It is no secret and proves nothing: whoever has the checksum
// can sign as this author, and which edition was the first is the pack's own word. So
// all that such a word reaches is what was taken of packs, never a tester's records.
//
// Taking the same pack again adds nothing. Another edition is refused (ErrEdition)
// unless replace says that it takes the place of the one that is here, under the title
// that that one has. A trial whose title another tester uses here gets the author's name
// after it. Where the pack's sheet cannot be read whole nothing is taken, and the
// findings say why.
func Merge(ctx context.Context, b *bench.Bench, store journal.Store, p *pack.Pack, replace bool) (Merged, error) {
	m := Merged{Who: "pack " + first(p)[:8]}
	t, err := m.read(p)
	if err != nil {
		return m, err
	}
	who := m.tester(p)
	as, err := bench.Open(ctx, store, who)
	if err != nil {
		return m, err
	}
	here, err := m.place(ctx, as, who.Key.Author(), t)
	if err != nil {
		return m, err
	}
	clash := bench.Refuse
	if here && replace {
		clash = bench.Replace
	} else if here && !same(as, t) {
		return m, fmt.Errorf("%w: this one says that it is edition %d, made %s, of a pack taken here as %q, and has the checksum %s",
			ErrEdition, p.Edition, p.Made.Format("2 January 2006"), t.Title, p.Sum())
	}
	if m.Report, err = as.Take(ctx, t, clash); err != nil {
		m.Findings = append(m.Findings, m.Report.Findings...)
		return m, err
	}
	m.Findings = append(m.Findings, m.Report.Findings...)
	return m, b.Refresh(ctx)
}

// first is the checksum of a pack's first edition, as the pack has it.
func first(p *pack.Pack) string { return cmp.Or(p.First, p.Sum()) }

// read reads the trial of a pack.
func (m *Merged) read(p *pack.Pack) (*trial.Trial, error) {
	f, ok := p.File(SheetName)
	if !ok {
		return nil, fmt.Errorf("the pack holds no %s that can be trusted, so there is nothing to take", SheetName)
	}
	t, found, err := sheet.Read(SheetName, f.Data)
	if err != nil {
		return nil, err
	}
	m.Findings = found
	if worst, _ := finding.Worst(found); worst == finding.Fault {
		return nil, fmt.Errorf("some of %s cannot be read, so nothing was taken", SheetName)
	}
	if err := plain(t); err != nil {
		return nil, err
	}
	if p.Title != t.Title {
		m.tell("title_differs", finding.Caution, t.Title, fmt.Sprintf("the pack calls itself %q and its sheet %q; the sheet's title is used", p.Title, t.Title),
			"look at what it is before you rely on it")
	}
	for i := range t.Burns {
		if who := strings.TrimSpace(t.Burns[i].Tester); who != "" {
			t.Burns[i].Tester = m.apart(who)
		}
	}
	return t, nil
}

// escaped is a control character in a string of a sheet, which no sheet holds bare:
// any but tabs and the ends of lines.
var escaped = regexp.MustCompile(`(?:^|[^\\])(?:\\\\)*\\(?:u00(?:[01][0-9A-F]|7F)|[bf]|r(?:[^\\]|\\[^n]))`)

// plain refuses a trial whose texts would do something to whoever looks at them on a
// terminal, or read otherwise than they are.
func plain(t *trial.Trial) error {
	text, err := sheet.Write(t)
	if err != nil {
		return err
	}
	commands := func(r rune) bool { return r != '\n' && r != '\t' && pack.Commands(r) }
	for i, line := range strings.Split(string(text), "\n") {
		if strings.ContainsFunc(line, commands) || escaped.MatchString(line) {
			return fmt.Errorf("%s holds a control character or one that turns the direction of text, in what would be its line %d, %.80q; expected words, so nothing was taken", SheetName, i+1, line)
		}
	}
	return nil
}

// tester is the author of a pack's records. Nonces come from the edition, so that the
// same edition makes the same records on every bench.
func (m *Merged) tester(p *pack.Pack) bench.Tester {
	seed := sha256.Sum256([]byte("fairburn pack " + first(p)))
	key, err := journal.NewKey(bytes.NewReader(seed[:]))
	if err != nil {
		panic(err) // there are as many bytes as a key takes
	}
	made := p.Made
	return bench.Tester{Key: key, Name: m.Who, Now: func() time.Time { return made }, Random: rand.NewChaCha8(sha256.Sum256([]byte(p.Sum())))}
}

// apart is a name in the pack with what tells it from the same name elsewhere.
func (m *Merged) apart(name string) string { return name + " (" + m.Who + ")" }

func (m *Merged) tell(code string, severity finding.Severity, title, sentence, remedy string) {
	m.Findings = append(m.Findings, finding.Finding{Code: code, Severity: severity, Where: finding.Place{Subject: "trial " + title}, Sentence: sentence, Remedy: remedy})
}

// place finds the title that the trial has here, and whether one of the author's is
// here already: a pack is one trial, whatever an edition calls it.
func (m *Merged) place(ctx context.Context, as *bench.Bench, author journal.Author, t *trial.Trial) (here bool, err error) {
	title, taken := t.Title, len(as.Signed(t.Title)) > 0 // by burns, where their trial was withdrawn
	for _, s := range as.Trials() {
		own := false
		if slices.Contains(s.Testers, m.Who) {
			if own, err = ownedBy(ctx, as, author, s.Title); err != nil {
				return false, err
			}
		}
		if own && (!here || s.Title == title) {
			t.Title, here = s.Title, true
		}
		taken = taken || s.Title == title
	}
	switch {
	case here && t.Title != title && t.Title != m.apart(title):
		m.tell("title_kept", finding.Note, t.Title, fmt.Sprintf("this edition is called %q; the one that is here keeps its title, %q", title, t.Title), "")
	case !here && taken:
		t.Title = m.apart(title)
		m.tell("title_taken", finding.Note, title, fmt.Sprintf("another tester's trial has this title here, so the pack's is kept as %q", t.Title), "")
	}
	return here, nil
}

// ownedBy reports whether all that stands of a trial as a whole is the author's: a name
// proves nothing.
func ownedBy(ctx context.Context, as *bench.Bench, author journal.Author, title string) (bool, error) {
	versions, err := as.History(ctx, "trial", title)
	if err != nil {
		return false, err
	}
	standing := slices.DeleteFunc(versions, func(v bench.Version) bool { return v.State != "holds" && v.State != "stands" })
	return len(standing) > 0 && !slices.ContainsFunc(standing, func(v bench.Version) bool { return v.Author != author }), nil
}

// same reports whether the bench's trial is the one that is to be taken.
func same(as *bench.Bench, t *trial.Trial) bool {
	kept, _, err := as.Trial(t.Title)
	if err != nil {
		return false
	}
	was, errWas := sheet.Write(kept)
	is, errIs := sheet.Write(t)
	return errWas == nil && errIs == nil && string(was) == string(is)
}
