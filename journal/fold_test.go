package journal

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fairburn/finding"
)

// noteKinds reads bodies that are JSON texts; "bad" breaks the rules.
var noteKinds = map[string]Kind{"note": {Newest: 1, Read: func(_ int, body json.RawMessage) (any, error) {
	var text string
	if err := json.Unmarshal(body, &text); err != nil {
		return nil, err
	}
	if text == "bad" {
		return nil, errors.New("a note must not be bad")
	}
	return text, nil
}}}

// story names records, so that a test reads as what people did.
type story struct {
	t    *testing.T
	keys map[string]Key
	made map[string]Stored
	fold *Fold
}

func tell(t *testing.T) *story {
	return &story{t, map[string]Key{"ann": testKey(t, 1), "bob": testKey(t, 2)}, map[string]Stored{}, NewFold(noteKinds)}
}

// says makes a record of who's about "burn 1" and returns its name.
func (s *story) says(who, name, text string, replaces ...string) {
	s.record(who, name, text, "burn 1", 1, replaces)
}

func (s *story) record(who, name, text, subject string, version int, replaces []string) {
	r := plain()
	r.Name, r.Subject, r.Version, r.Nonce = who, subject, version, fmt.Sprintf("%032x", len(s.made))
	r.Body = []byte(fmt.Sprintf("%q", text))
	for _, other := range replaces {
		id := ID{0xee} // a record that nobody has
		if m, made := s.made[other]; made {
			id = m.ID
		}
		r.Replaces = append(r.Replaces, id)
	}
	s.made[name] = seal(s.t, s.keys[who], r)
}

func (s *story) names(facts []Fact) string {
	var names []string
	for name, m := range s.made {
		if slices.ContainsFunc(facts, func(f Fact) bool { return f.ID == m.ID }) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

// stands adds what was made and compares live records, proposals (after a
// question mark) and whether a person must look (an exclamation mark).
func (s *story) stands(want string) {
	s.t.Helper()
	for _, m := range s.made {
		if err := s.fold.Add(Entry{Stored: m}); err != nil {
			s.t.Fatal(err)
		}
	}
	state := s.fold.State("note", "burn 1")
	got := s.names(state.Live)
	if state.Disagree {
		got += " !"
	}
	var proposed []Fact
	for _, p := range state.Proposals {
		proposed = append(proposed, p.Fact)
	}
	if len(proposed) > 0 {
		got += " ? " + s.names(proposed)
	}
	if got != want {
		s.t.Errorf("stands: %q, expected %q", got, want)
	}
}

func (s *story) finds(codes ...string) {
	s.t.Helper()
	var got []string
	for _, f := range s.fold.Findings(nil) {
		got = append(got, f.Code)
	}
	if !slices.Equal(got, codes) {
		s.t.Errorf("findings %v, expected %v", got, codes)
	}
}

func TestFoldShowsWhatStands(t *testing.T) {
	for _, test := range []struct {
		name  string
		tell  func(*story)
		want  string
		codes []string
	}{
		{"nothing", func(s *story) {}, "", nil},
		{"a first record", func(s *story) { s.says("ann", "a", "1") }, "a", nil},
		{"a correction", func(s *story) { s.says("ann", "a", "1"); s.says("ann", "b", "2", "a") }, "b", nil},
		{"a chain", func(s *story) {
			s.says("ann", "a", "1")
			s.says("ann", "b", "2", "a")
			s.says("ann", "c", "3", "b")
		}, "c", nil},
		{"two corrections of one", func(s *story) {
			s.says("ann", "a", "1")
			s.says("ann", "b", "2", "a")
			s.says("ann", "c", "3", "a")
		}, "b c !", []string{"records_disagree"}},
		{"two corrections settled", func(s *story) {
			s.says("ann", "a", "1")
			s.says("ann", "b", "2", "a")
			s.says("ann", "c", "3", "a")
			s.says("ann", "d", "2", "b", "c")
		}, "d", nil},
		{"two firsts", func(s *story) { s.says("ann", "a", "1"); s.says("ann", "b", "2") }, "a b !", []string{"records_disagree"}},
		{"two firsts that say the same", func(s *story) { s.says("ann", "a", "1"); s.says("bob", "b", "1") }, "a b", nil},
		{"a proposal", func(s *story) { s.says("ann", "a", "1"); s.says("bob", "b", "2", "a") }, "a ? b", []string{"record_proposed"}},
		{"a proposal to an old state", func(s *story) {
			s.says("ann", "a", "1")
			s.says("bob", "b", "2", "a")
			s.says("ann", "c", "3", "a")
		}, "c ? b", []string{"record_proposed"}},
		{"a proposal taken over", func(s *story) {
			s.says("ann", "a", "1")
			s.says("bob", "b", "2", "a")
			s.says("ann", "c", "2", "a", "b")
		}, "c", nil},
		{"a proposal withdrawn for another", func(s *story) {
			s.says("ann", "a", "1")
			s.says("bob", "b", "2", "a")
			s.says("bob", "c", "3", "a", "b")
		}, "a ? c", []string{"record_proposed"}},
		{"a proposal improved by name of the proposal only", func(s *story) {
			s.says("ann", "a", "1")
			s.says("bob", "b", "2", "a")
			s.says("bob", "c", "3", "b")
		}, "a ? c", []string{"record_proposed"}},
		{"an answer by somebody else is none", func(s *story) {
			s.keys["cat"] = testKey(s.t, 3)
			s.says("ann", "a", "1")
			s.says("bob", "b", "2", "a")
			s.says("cat", "c", "2", "a", "b")
		}, "a ? b c", []string{"record_proposed", "record_proposed"}},
		{"firsts of two authors, one yields in words", func(s *story) {
			s.says("ann", "a", "1")
			s.says("bob", "b", "2")
			s.says("ann", "c", "3", "a", "b")
		}, "b c !", []string{"records_disagree"}},
		{"firsts of two authors, both say the same", func(s *story) {
			s.says("ann", "a", "1")
			s.says("bob", "b", "2")
			s.says("ann", "c", "3", "a", "b")
			s.says("bob", "d", "3", "b", "c")
		}, "c d", nil},
		{"what is replaced is not here", func(s *story) { s.says("ann", "a", "1", "nobody's") }, "a", []string{"replaces_missing"}},
		{"a body that breaks the rules replaces nothing", func(s *story) {
			s.says("ann", "a", "1")
			s.says("ann", "b", "bad", "a")
		}, "a", []string{"record_set_aside"}},
		{"a body of a newer version", func(s *story) {
			s.says("ann", "a", "1")
			s.record("ann", "b", "2", "burn 1", 2, []string{"a"})
		}, "b", []string{"record_newer"}},
		{"a record about something else", func(s *story) {
			s.says("ann", "a", "1")
			s.record("ann", "b", "2", "burn 2", 1, []string{"a"})
		}, "a", []string{"replaces_another_subject"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := tell(t)
			s.t = t
			test.tell(s)
			s.stands(test.want)
			s.finds(test.codes...)
		})
	}
}

func TestUnknownKindsAreKeptOutOfTheFold(t *testing.T) {
	s := tell(t)
	r := plain()
	r.Kind = "riddle"
	s.made["a"] = seal(t, s.keys["ann"], r)
	s.stands("")
	s.finds("kind_unknown")
	if got := s.fold.Subjects("riddle"); len(got) != 0 {
		t.Errorf("subjects %v of a kind that nobody reads", got)
	}
}

func TestDropBringsBackWhatWasReplaced(t *testing.T) {
	s := tell(t)
	s.says("ann", "a", "1")
	s.says("ann", "b", "2", "a")
	s.stands("b")
	s.fold.Drop(s.made["b"].ID)
	delete(s.made, "b")
	s.stands("a")
	s.fold.Drop(s.made["a"].ID)
	delete(s.made, "a")
	s.stands("")
	if got := s.fold.Subjects("note"); len(got) != 0 {
		t.Errorf("subjects %v", got)
	}
}

func TestFoldRefusesAlteredBytes(t *testing.T) {
	s := seal(t, testKey(t, 1), plain())
	s.Bytes = append(slices.Clone(s.Bytes), ' ')
	if err := NewFold(noteKinds).Add(Entry{Stored: s}); err == nil || !strings.Contains(err.Error(), "was altered in the store") {
		t.Errorf("got %v", err)
	}
}

func TestBodiesLeftInTheStoreHaveNoValue(t *testing.T) {
	s := seal(t, testKey(t, 1), plain())
	head, _ := s.Split()
	s.Bytes = head
	f := NewFold(noteKinds)
	if err := f.Add(Entry{Stored: s, Cut: true}); err != nil {
		t.Fatal(err)
	}
	got := f.State("note", "burn 7").Live
	if len(got) != 1 || !got[0].Cut || got[0].Value != nil || got[0].Record.Body != nil {
		t.Errorf("state %+v", got)
	}
}

func TestFindingsAreWholeSentences(t *testing.T) {
	s := tell(t)
	s.says("ann", "a", "1")
	s.says("bob", "b", "2")
	s.says("bob", "c", "3", "a")
	s.stands("a b ! ? c")
	got := s.fold.Findings(nil)
	first, second := s.made["a"], s.made["b"]
	names := map[ID]string{first.ID: "ann", second.ID: "bob"}
	ids := []ID{first.ID, second.ID}
	slices.SortFunc(ids, compareID)
	want := []string{
		fmt.Sprintf("note burn 1: caution: 2 records contradict each other: %.8s by %s, %.8s by %s; compare them and write one that replaces them all",
			ids[0].String(), names[ids[0]], ids[1].String(), names[ids[1]]),
		fmt.Sprintf("note burn 1: note: bob proposes record %v in place of another author's; it is not applied; the author of the other can take it over or answer it", s.made["c"].ID),
	}
	if !slices.EqualFunc(got, want, func(f finding.Finding, w string) bool { return f.String() == w }) {
		t.Errorf("findings\n%v\nexpected\n%v", got, want)
	}
}

// The definition, said naively: every question is asked of the whole set anew.
type naive []Fact

func (n naive) by(id ID) (Fact, bool) {
	i := slices.IndexFunc(n, func(f Fact) bool { return f.ID == id })
	if i < 0 {
		return Fact{}, false
	}
	return n[i], true
}

func (n naive) stands(f Fact) bool {
	here := 0
	for _, id := range f.Record.Replaces {
		if other, ok := n.by(id); ok {
			here++
			if other.Record.Author == f.Record.Author && n.stands(other) {
				return true
			}
		}
	}
	return here == 0
}

func (n naive) live() (ids []ID) {
	for _, f := range n {
		gone := slices.ContainsFunc(n, func(o Fact) bool {
			return o.Record.Author == f.Record.Author && slices.Contains(o.Record.Replaces, f.ID)
		})
		if n.stands(f) && !gone {
			ids = append(ids, f.ID)
		}
	}
	slices.SortFunc(ids, compareID)
	return ids
}

func TestFoldAgreesWithTheNaiveDefinition(t *testing.T) {
	const seed = 20260501
	rnd := rand.New(rand.NewPCG(seed, 0))
	keys := []Key{testKey(t, 1), testKey(t, 2), testKey(t, 3)}
	for round := range 200 {
		var set naive
		var sealed []Stored
		fold := NewFold(noteKinds)
		for i := range 1 + rnd.IntN(9) {
			r := plain()
			r.Subject, r.Nonce, r.Body = "burn 1", fmt.Sprintf("%032x", i), []byte(`"x"`)
			for range rnd.IntN(3) {
				r.Replaces = append(r.Replaces, ID{0xee})
				if len(set) > 0 {
					r.Replaces = append(r.Replaces, set[rnd.IntN(len(set))].ID)
				}
			}
			s := seal(t, keys[rnd.IntN(3)], r)
			r, err := s.Check()
			if err != nil {
				t.Fatal(err)
			}
			if rnd.IntN(6) == 0 {
				continue // it has not come here
			}
			set, sealed = append(set, Fact{ID: s.ID, Record: r}), append(sealed, s)
		}
		for _, i := range rnd.Perm(len(set)) {
			if err := fold.Add(Entry{Stored: sealed[i]}); err != nil {
				t.Fatal(err)
			}
		}
		var got []ID
		for _, f := range fold.State("note", "burn 1").Live {
			got = append(got, f.ID)
		}
		if want := set.live(); !slices.Equal(got, want) {
			t.Fatalf("seed %d, round %d: live %v, expected %v", seed, round, got, want)
		}
	}
}
