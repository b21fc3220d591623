package journal

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"testing"
)

func TestBodiesAreReadOnceAndWhenAskedFor(t *testing.T) {
	reads := 0
	kind := noteKinds["note"]
	f := NewFold(map[string]Kind{"note": {Newest: 1, Read: func(version int, body json.RawMessage) (any, error) {
		reads++
		return kind.Read(version, body)
	}}})
	said := plain()
	said.Body = []byte(`"1"`)
	s := seal(t, testKey(t, 1), said)
	if err := errors.Join(f.Add(Entry{Stored: s}), f.Add(Entry{Stored: s})); err != nil {
		t.Fatal(err)
	}
	r, here := f.Record(s.ID)
	if _, there := f.Record(ID{1}); !here || there || r.Subject != "burn 7" || f.Count("note", "burn 7") != 1 || reads != 0 {
		t.Errorf("%v %v %+v, %d reads; expected the head and no read", here, there, r, reads)
	}
	for range 2 {
		fact, _ := f.Fact(s.ID)
		if live := f.State("note", "burn 7").Live; len(live) != 1 || live[0].Value != fact.Value || fact.Value == nil {
			t.Errorf("live %+v, fact %+v", live, fact)
		}
		if got := f.Subjects("note"); len(got) != 1 || len(f.Findings(nil)) != 0 || reads != 1 {
			t.Errorf("subjects %v after %d reads, expected one", got, reads)
		}
	}
}

// Of a bench larger than what is kept in memory everything still has its value.
func TestAWalkThroughALargeBenchKeepsFewValues(t *testing.T) {
	f, first := NewFold(noteKinds), ID{}
	for i := range mostValues + 10 {
		r := plain()
		r.Subject, r.Body = fmt.Sprint(i), fmt.Appendf(nil, "%q", fmt.Sprint(i))
		b, err := r.bytes()
		if err != nil {
			t.Fatal(err)
		}
		e := Entry{Stored: Stored{ID: sha256.Sum256(b), Bytes: b}}
		if err := f.Add(e); err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			first = e.ID
		}
	}
	for range 2 {
		for i := range mostValues + 10 {
			if live := f.State("note", fmt.Sprint(i)).Live; len(live) != 1 || live[0].Value != fmt.Sprint(i) {
				t.Fatalf("%d: %+v", i, live)
			}
		}
		kept := 0
		for _, h := range f.records {
			if h.value != nil {
				kept++
			}
		}
		if kept > mostValues || kept != len(f.valued) {
			t.Errorf("%d values kept and %d told, expected at most %d", kept, len(f.valued), mostValues)
		}
	}
	f.Drop(first)
	if fact, here := f.Fact(first); here {
		t.Errorf("dropped and here: %+v", fact)
	}
}

// A record set aside is as if it were not here, whatever is asked first.
func TestWhatIsSetAsideIsSeenOnlyInFindings(t *testing.T) {
	s := tell(t)
	s.says("ann", "a", "bad")
	s.stands("")
	f, id := s.fold, s.made["a"].ID
	if len(f.Subjects("note")) != 0 || len(f.Facts("note", "burn 1")) != 0 || f.Count("note", "burn 1") != 1 {
		t.Errorf("subjects %v, facts %v, count %d", f.Subjects("note"), f.Facts("note", "burn 1"), f.Count("note", "burn 1"))
	}
	if fact, here := f.Fact(id); !here || fact.Value != nil || fact.Record.Name != "ann" {
		t.Errorf("fact %+v, %v", fact, here)
	}
	if _, here := f.Fact(ID{1}); here {
		t.Error("a record that nobody has is here")
	}
	s.finds("record_set_aside")
}
