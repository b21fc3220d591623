package bench

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"fairburn/journal"
)

// The kind of record that holds a photo, of a thing or of a notebook's page.
const (
	photoName    = "photo"
	photoVersion = 1
)

// longestCaption is how many bytes a caption may have.
const longestCaption = 1000

// picture is the body of a photo's record, version 1.
type picture struct {
	Caption   string `json:"caption,omitempty"`
	JPEG      []byte `json:"jpeg,omitempty"`
	Withdrawn bool   `json:"withdrawn,omitempty"`
}

func readPhoto(_ int, raw json.RawMessage) (any, error) {
	var p picture
	if err := json.Unmarshal(raw, &p); err != nil {
		return nil, fmt.Errorf("expected a photo: %w", err)
	}
	return p, p.check()
}

func (p picture) check() error {
	if !p.Withdrawn && (!bytes.HasPrefix(p.JPEG, []byte{0xff, 0xd8}) || len(p.Caption) > longestCaption) {
		return fmt.Errorf("expected a photo as JPEG, with a caption of at most %d bytes", longestCaption)
	}
	return nil
}

// Photo is one photo on the bench.
type Photo struct {
	ID      journal.ID
	Subject string // for Undo
	Tester  string
	Own     bool // this bench's tester took it
	At      time.Time
}

// photosOf names what a photo shows in the subjects of photos.
func photosOf(kindName, subject string) string { return kindName + "/" + subject }

// Shot is a photo to be kept, of a thing on the bench.
type Shot struct {
	Kind, Subject string // of the thing
	Caption       string
	JPEG          []byte // kept as it is: whoever calls sees to it that it holds nothing but the picture
}

// AddPhoto keeps a photo.
func (b *Bench) AddPhoto(ctx context.Context, shot Shot) (Photo, error) {
	x, s, err := b.photo(shot)
	if err != nil {
		return Photo{}, fmt.Errorf("photo of %.20s %.60q: %w", shot.Kind, shot.Subject, err)
	}
	return x, b.append(ctx, []journal.Stored{s})
}

func (b *Bench) photo(shot Shot) (Photo, journal.Stored, error) {
	p := picture{Caption: shot.Caption, JPEG: shot.JPEG}
	if err := p.check(); err != nil {
		return Photo{}, journal.Stored{}, err
	}
	body, err := json.Marshal(p)
	if err != nil {
		return Photo{}, journal.Stored{}, err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if _, isThing := kindNamed(shot.Kind); !isThing || b.fold.Count(shot.Kind, shot.Subject) == 0 {
		return Photo{}, journal.Stored{}, fmt.Errorf("it is %w", ErrUnknown)
	}
	r, err := b.stamped(journal.Record{Kind: photoName, Version: photoVersion, Name: b.tester.Name, Body: body})
	if err != nil {
		return Photo{}, journal.Stored{}, err
	}
	r.Subject = photosOf(shot.Kind, shot.Subject) + "/" + r.Nonce[:12]
	s, err := b.tester.Key.Seal(r)
	return Photo{ID: s.ID, Subject: r.Subject, Tester: r.Name, Own: true, At: r.At}, s, err
}

// Photos lists the photos of a thing, the oldest first.
func (b *Bench) Photos(kindName, subject string) []Photo {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []Photo
	for _, s := range b.index.photos[photosOf(kindName, subject)] {
		for _, f := range b.fold.State(photoName, s).Live {
			if p, read := f.Value.(picture); !read || !p.Withdrawn {
				all = append(all, Photo{f.ID, s, f.Record.Name, b.own(f), f.Record.At})
			}
		}
	}
	slices.SortFunc(all, func(x, y Photo) int { return cmp.Or(x.At.Compare(y.At), bytes.Compare(x.ID[:], y.ID[:])) })
	return all
}

// Caption returns what a photo shows, and reads no more of its record than that: the
// caption comes first, as this program writes it. Whoever shows the picture itself
// has the whole checked.
func (b *Bench) Caption(ctx context.Context, id journal.ID) (string, error) {
	e, err := b.store.Beginning(ctx, id, captionRoom)
	if err != nil {
		return "", err
	}
	_, body := e.Split()
	d := json.NewDecoder(bytes.NewReader(body))
	for _, want := range []json.Token{json.Delim('{'), "caption"} {
		if got, err := d.Token(); err != nil || got != want {
			return "", nil
		}
	}
	caption, _ := d.Token()
	text, _ := caption.(string)
	return text, nil
}

// captionRoom holds the longest caption as JSON writes it: six bytes for one.
const captionRoom = 6*longestCaption + 100

// Photo returns the picture itself and its caption.
func (b *Bench) Photo(ctx context.Context, id journal.ID) (jpeg []byte, caption string, err error) {
	e, err := b.store.Get(ctx, id)
	if err != nil {
		return nil, "", err
	}
	r, err := e.Check()
	if err != nil {
		return nil, "", err
	}
	v, err := readPhoto(r.Version, r.Body)
	p, _ := v.(picture)
	if err != nil || r.Kind != photoName || p.Withdrawn {
		return nil, "", fmt.Errorf("photo %.8v is %w", id, ErrUnknown)
	}
	return p.JPEG, p.Caption, nil
}
