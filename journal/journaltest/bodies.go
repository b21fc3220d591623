package journaltest

import (
	"errors"
	"testing"

	"fairburn/journal"
)

func bodiesStay(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(3)
	small, large := m.Make("small", `"123456"`), m.Make("large", `"1234567"`)
	add(t, s, small, large)
	var got []journal.Entry
	for e, err := range s.Since(ctx, 0, 8) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, e)
	}
	if len(got) != 2 || got[0].Cut || !got[1].Cut {
		t.Fatalf("expected the body of 8 bytes and not the one of 9: %+v", got)
	}
	if head, _ := large.Split(); string(got[1].Bytes) != string(head) {
		t.Errorf("head %q, expected %q", got[1].Bytes, head)
	}
	whole, err := s.Get(ctx, large.ID)
	if err != nil || !sameEntry(whole, journal.Entry{Stored: large}) {
		t.Errorf("Get: %v, %v", whole, err)
	}
	if _, err := s.Get(ctx, journal.ID{1}); !errors.Is(err, journal.ErrAbsent) {
		t.Errorf("Get of nothing: %v", err)
	}
}

func beginningAlone(t *testing.T, b Bench) {
	s, m := b.Open(t), NewMaker(3)
	r := m.Make("a", `{"caption":"seven bytes and more"}`)
	add(t, s, r)
	head, body := r.Split()
	for _, n := range []int{0, 1, len(body) - 2, len(body) - 1, len(body), 1000, journal.MaxBytes} {
		e, err := s.Beginning(ctx, r.ID, n)
		want, cut := string(r.Bytes), n < len(body)-1
		if cut {
			want = string(head) + string(body[:n])
		}
		if err != nil || string(e.Bytes) != want || e.Cut != cut || e.ID != r.ID || e.Receipt.From != receipt.From {
			t.Errorf("%d bytes: %v %q %v, expected %q", n, err, e.Bytes, e.Cut, want)
		}
	}
	if _, err := s.Beginning(ctx, journal.ID{1}, 10); !errors.Is(err, journal.ErrAbsent) {
		t.Error(err)
	}
}
