package journaltest

import (
	"math/rand/v2"
	"strings"
	"time"

	"fairburn/journal"
)

// Maker makes sealed records of one author, the same ones for the same seed.
type Maker struct {
	Key  journal.Key
	Rand *rand.Rand
	bits *rand.ChaCha8
	now  time.Time
}

// NewMaker returns a maker with a key and nonces drawn from seed.
func NewMaker(seed uint64) *Maker {
	s := [32]byte{byte(seed), byte(seed >> 8), byte(seed >> 16), byte(seed >> 24), byte(seed >> 32)}
	m := &Maker{bits: rand.NewChaCha8(s), Rand: rand.New(rand.NewPCG(seed, 1)), now: time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)}
	key, err := journal.NewKey(m.bits)
	if err != nil {
		panic(err) // ChaCha8 never ends
	}
	m.Key = key
	return m
}

// Make seals a "note" of version 1 about subject, which may replace others.
func (m *Maker) Make(subject, body string, replaces ...journal.ID) journal.Stored {
	return m.Seal(journal.Record{Kind: "note", Version: 1, Subject: subject, Body: []byte(body), Replaces: replaces})
}

// Seal gives r a name, time and nonce where it has none, and seals it. It panics
// when r breaks a limit.
func (m *Maker) Seal(r journal.Record) journal.Stored {
	if r.Name == "" {
		r.Name = "Rowan (invented)"
	}
	if r.At.IsZero() {
		m.now = m.now.Add(time.Second)
		r.At = m.now
	}
	if r.Nonce == "" {
		nonce, err := journal.NewNonce(m.bits)
		if err != nil {
			panic(err) // ChaCha8 never ends
		}
		r.Nonce = nonce
	}
	s, err := m.Key.Seal(r)
	if err != nil {
		panic(err)
	}
	return s
}

// Blob returns a body of JSON of n bytes, in the place of a trace.
func Blob(n int) string { return `"` + strings.Repeat("7", n-2) + `"` }
