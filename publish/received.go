package publish

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
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
// apart, and whose burns are whose stays known. The author's key comes from the
// checksum of the pack's first edition, so that every bench gives it the same; it is
// no secret and proves nothing that the pack does not.
//
// Taking the same pack again adds nothing. Another edition is refused (ErrEdition)
// unless replace says that it takes the place of the one that is here. A trial whose
// title another tester uses here gets the author's name after it. Where the pack's
// sheet cannot be read whole nothing is taken, and the findings say why.
func Merge(ctx context.Context, b *bench.Bench, store journal.Store, p *pack.Pack, replace bool) (Merged, error) {
	m := Merged{Who: "pack " + cmp.Or(p.First, p.Sum())[:8]}
	t, err := m.read(p)
	if err != nil {
		return m, err
	}
	as, err := bench.Open(ctx, store, m.tester(p))
	if err != nil {
		return m, err
	}
	here := m.place(as, t)
	clash := bench.Refuse
	if here && replace {
		clash = bench.Replace
	} else if here && !same(as, t) {
		return m, ErrEdition
	}
	if m.Report, err = as.Take(ctx, t, clash); err != nil {
		return m, err
	}
	m.Findings = append(m.Findings, m.Report.Findings...)
	return m, b.Refresh(ctx)
}

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
	return t, nil
}

// tester is the author of a pack's records. Nonces come from the edition, so that the
// same edition makes the same records on every bench.
func (m *Merged) tester(p *pack.Pack) bench.Tester {
	seed := sha256.Sum256([]byte("fairburn pack " + cmp.Or(p.First, p.Sum())))
	key, err := journal.NewKey(bytes.NewReader(seed[:]))
	if err != nil {
		panic(err) // there are as many bytes as a key takes
	}
	made := p.Made
	return bench.Tester{Key: key, Name: m.Who, Now: func() time.Time { return made }, Random: rand.NewChaCha8(sha256.Sum256([]byte(p.Sum())))}
}

// place finds the title that the trial has here, and whether the author has it already.
func (m *Merged) place(as *bench.Bench, t *trial.Trial) (here bool) {
	apart := t.Title + " (" + m.Who + ")"
	others := false
	for _, s := range as.Trials() {
		own := slices.Contains(s.Testers, m.Who)
		switch {
		case own && (s.Title == t.Title || s.Title == apart):
			t.Title = s.Title
			return true
		case s.Title == t.Title:
			others = true
		}
	}
	if others {
		m.Findings = append(m.Findings, finding.Finding{Code: "title_taken", Severity: finding.Note, Where: finding.Place{Subject: "trial " + t.Title},
			Sentence: fmt.Sprintf("another tester's trial has this title here, so the pack's is kept as %q", apart)})
		t.Title = apart
	}
	return false
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
