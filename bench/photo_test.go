package bench

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"

	"fairburn/journal"
	"fairburn/journal/journaltest"
)

// jpeg is n bytes that begin as a JPEG does.
func jpeg(n int) []byte { return append([]byte{0xff, 0xd8}, bytes.Repeat([]byte{7}, n-2)...) }

func TestPhotosAreKept(t *testing.T) {
	store, elsewhere := journaltest.NewMemory(), open(t, journaltest.NewMemory(), tester(2, "Rowan"))
	b := open(t, store, tester(1, "Fern"))
	take(t, b, ring, Refuse)
	small, large := jpeg(100), jpeg(2*largestKept)
	var put []Photo
	for _, x := range []struct {
		kind, subject, caption string
		jpeg                   []byte
	}{{"burn", "Ring/1", "the notebook's page", small}, {"burn", "Ring/1", "", large}, {"pot", "pot", "<b>dented</b>", small}} {
		p, err := b.AddPhoto(context.Background(), Shot{Kind: x.kind, Subject: x.subject, Caption: x.caption, JPEG: x.jpeg})
		if err != nil {
			t.Fatal(err)
		}
		put = append(put, p)
	}
	merge(t, b, elsewhere)
	for _, b := range []*Bench{b, open(t, store, tester(1, "Fern")), elsewhere} {
		got := append(b.Photos("burn", "Ring/1"), b.Photos("pot", "pot")...)
		if len(got) != 3 || len(b.Photos("burn", "Ring/2")) != 0 {
			t.Fatal(got)
		}
		for i, p := range got {
			if p.ID != put[i].ID || p.Subject != put[i].Subject || p.Tester != "Fern" || !p.At.Equal(put[i].At) {
				t.Errorf("%+v, expected %+v", p, put[i])
			}
		}
		picture, caption, err := b.Photo(context.Background(), got[1].ID)
		if err != nil || !bytes.Equal(picture, large) || caption != "" {
			t.Error(err, len(picture), caption)
		}
		for i, want := range []string{"the notebook's page", "", "<b>dented</b>"} {
			if caption, err := b.Caption(context.Background(), got[i].ID); err != nil || caption != want {
				t.Errorf("caption %q %v, expected %q", caption, err, want)
			}
		}
		if f, _ := b.fold.Fact(got[1].ID); !f.Cut || f.Record.Body != nil {
			t.Error("the large photo is in memory")
		}
		if _, caption, err := b.Photo(context.Background(), got[2].ID); err != nil || caption != "<b>dented</b>" {
			t.Error(err, caption)
		}
		if fs := b.Findings(); len(fs) > 0 {
			t.Error(fs)
		}
	}
	for i, n := range []int{1, 2, 1} { // undone, done again, undone
		undo(t, b, "photo", put[1].Subject)
		merge(t, b, elsewhere)
		for _, b := range []*Bench{b, elsewhere} {
			got := b.Photos("burn", "Ring/1")
			if len(got) != n {
				t.Fatal(i, got)
			}
			for _, p := range got {
				if _, _, err := b.Photo(context.Background(), p.ID); err != nil {
					t.Error(err)
				}
			}
		}
	}
	if err := elsewhere.Undo(context.Background(), "photo", put[0].Subject); !errors.Is(err, ErrUnknown) { // another's
		t.Error(err)
	}
}

func TestPhotosThatAreRefused(t *testing.T) {
	b := fresh(t, ring)
	for _, x := range []struct {
		kind, subject, caption string
		jpeg                   []byte
		want                   string
	}{
		{"pot", "pot", "", []byte("GIF89a"), `photo of pot "pot": expected a photo as JPEG, with a caption of at most 1000 bytes`},
		{"pot", "pot", "", nil, `photo of pot "pot": expected a photo as JPEG, with a caption of at most 1000 bytes`},
		{"pot", "pot", strings.Repeat("x", 1001), jpeg(10), `photo of pot "pot": expected a photo as JPEG, with a caption of at most 1000 bytes`},
		{"pot", "mug", "", jpeg(10), `photo of pot "mug": it is not on the bench`},
		{"kettle", "pot", "", jpeg(10), `photo of kettle "pot": it is not on the bench`},
		{"pot", "pot", "", jpeg(journal.MaxBytes), `photo of pot "pot": sealing a record: record of `},
	} {
		if _, err := b.AddPhoto(context.Background(), Shot{Kind: x.kind, Subject: x.subject, Caption: x.caption, JPEG: x.jpeg}); err == nil || !strings.HasPrefix(err.Error(), x.want) {
			t.Errorf("%v\nexpected\n%s", err, x.want)
		}
	}
	if n := records(t, b); n != 7 {
		t.Error(n)
	}
	pot := b.fold.State("pot", "pot").Live[0].ID
	if _, _, err := b.Photo(context.Background(), pot); !errors.Is(err, ErrUnknown) {
		t.Error(err)
	}
	if _, _, err := b.Photo(context.Background(), journal.ID{1}); !errors.Is(err, journal.ErrAbsent) {
		t.Error(err)
	}
}

// A large body of a kind that the program does not know stays in the store; a
// large note on a pot does not.
func TestLargeBodies(t *testing.T) {
	store := journaltest.NewMemory()
	b := open(t, store, tester(1, "Fern"))
	note := strings.Repeat("long ", largestKept/4)
	take(t, b, swap(`mass = "118 g"`, "mass = \"118 g\"\nnotes = \""+note+"\""), Refuse)
	trace := seal(t, b, journal.Record{Kind: "trace", Subject: "Ring/1", Body: []byte(journaltest.Blob(2 * largestKept))})
	b = open(t, store, tester(1, "Fern"))
	if got := get(t, b, "Ring").Shelf.Pots[0].Notes; got != note {
		t.Errorf("a note of %d bytes", len(got))
	}
	if f, here := b.fold.Fact(trace); !here || !f.Cut {
		t.Error("the trace is in memory", here)
	}
}

// TestTheLongestCaptionIsReadWhole has every byte escaped, before a large picture.
func TestTheLongestCaptionIsReadWhole(t *testing.T) {
	b := fresh(t, ring)
	for _, caption := range []string{strings.Repeat("<", longestCaption), strings.Repeat("\u2028", longestCaption/3), strings.Repeat("\x01", longestCaption), `{"jpeg":1}`} {
		p, err := b.AddPhoto(context.Background(), Shot{Kind: "pot", Subject: "pot", Caption: caption, JPEG: jpeg(2 * largestKept)})
		if err != nil {
			t.Fatal(err)
		}
		if got, err := b.Caption(context.Background(), p.ID); err != nil || got != caption {
			t.Errorf("%.20q %v, expected %.20q", got, err, caption)
		}
	}
	if _, err := b.Caption(context.Background(), journal.ID{1}); !errors.Is(err, journal.ErrAbsent) {
		t.Error(err)
	}
}
