package journal

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"time"
	"unicode"
	"unicode/utf8"
)

// Limits of one record. They keep hostile input small and are far above what a
// bench writes: a twenty-minute trace at 10 Hz takes about 0.2 MB.
const (
	MaxBytes    = 16 << 20 // stored bytes of one record
	maxWord     = 64       // bytes of a kind
	maxText     = 200      // bytes of a subject or name
	maxReplaces = 256
	maxVersion  = 9999
	nonceBytes  = 16
)

// form is the version of the record's own shape, the first thing in its bytes.
const form = 1

// bodyKey ends the head. A quotation mark inside a text is always escaped, so
// the first occurrence in a record's bytes is the key and nothing else.
const bodyKey = `,"body":`

// ID names a record: the SHA-256 of its stored bytes, in text as 64 hex digits.
type ID [sha256.Size]byte

// Author is the fingerprint of whoever signed a record: the SHA-256 of the
// Ed25519 public key, in text as 64 hex digits.
type Author [sha256.Size]byte

// String returns the 64 lower-case hex digits.
func (id ID) String() string { return hex.EncodeToString(id[:]) }

// MarshalText writes the hex digits, for JSON.
func (id ID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText reads 64 lower-case hex digits and nothing else.
func (id *ID) UnmarshalText(text []byte) error { return readHash(id[:], text) }

// String returns the 64 lower-case hex digits.
func (a Author) String() string { return hex.EncodeToString(a[:]) }

// MarshalText writes the hex digits, for JSON.
func (a Author) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads 64 lower-case hex digits and nothing else.
func (a *Author) UnmarshalText(text []byte) error { return readHash(a[:], text) }

func readHash(to, text []byte) error {
	if len(text) != 2*sha256.Size || !isHex(string(text)) {
		return fmt.Errorf("hash %.70q: expected 64 hex digits 0-9 a-f", text)
	}
	_, err := hex.Decode(to, text)
	return err
}

// Record is one fact as its author states it. One subject of one kind holds one
// fact: things that come in lists, such as the marks of a burn, get a subject each.
type Record struct {
	Kind     string          // what the body is, lower_snake_case
	Version  int             // of the kind's body, from 1
	Subject  string          // what the fact is about; chosen by the caller, the same in every later version
	Replaces []ID            // records of this kind and subject that this one stands in for
	Author   Author          // set by Key.Seal
	Name     string          // what the tester chose to be called; not unique and proves nothing
	At       time.Time       // the device's clock, as evidence only: it orders nothing
	Nonce    string          // 32 hex digits, so that two like facts are still two records
	Body     json.RawMessage // one line of JSON, kept byte for byte
}

// NewNonce draws the 16 random bytes that tell two like records apart.
func NewNonce(random io.Reader) (string, error) {
	var b [nonceBytes]byte
	if _, err := io.ReadFull(random, b[:]); err != nil {
		return "", fmt.Errorf("drawing a nonce: %w", err)
	}
	return hex.EncodeToString(b[:]), nil
}

// bytes forms the stored bytes: one line of JSON, keys in this order, no space
// outside the body. It is done once in a record's life; afterwards these bytes
// are the record. Texts are written by our own rule (only \" and \\ escaped),
// so that no change in a library can ever give another form.
func (r Record) bytes() ([]byte, error) {
	r.Replaces = slices.Compact(slices.SortedFunc(slices.Values(r.Replaces), compareID))
	if err := cmp.Or(r.checkHead(), checkBody(r.Body)); err != nil {
		return nil, err
	}
	b := make([]byte, 0, 512+len(r.Body))
	b = append(b, `{"fairburn":`...)
	b = strconv.AppendInt(b, form, 10)
	b = appendText(append(b, `,"kind":`...), r.Kind)
	b = strconv.AppendInt(append(b, `,"version":`...), int64(r.Version), 10)
	b = appendText(append(b, `,"subject":`...), r.Subject)
	b = append(b, `,"replaces":[`...)
	for i, id := range r.Replaces {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendText(b, id.String())
	}
	b = appendText(append(b, `],"author":`...), r.Author.String())
	b = appendText(append(b, `,"name":`...), r.Name)
	b = appendText(append(b, `,"at":`...), r.At.Format(time.RFC3339Nano))
	b = appendText(append(b, `,"nonce":`...), r.Nonce)
	b = append(append(b, bodyKey...), r.Body...)
	if b = append(b, '}'); len(b) > MaxBytes {
		return nil, fmt.Errorf("record of %d bytes: expected at most %d; split the data over several records", len(b), MaxBytes)
	}
	return b, nil
}

// checkHead says what in the fields before the body breaks a limit.
func (r Record) checkHead() error {
	_, offset := r.At.Zone()
	switch {
	case !isWord(r.Kind):
		return fmt.Errorf("kind %.80q: expected 1 to %d of a-z, 0-9 and _, beginning with a letter", r.Kind, maxWord)
	case r.Version < 1 || r.Version > maxVersion:
		return fmt.Errorf("version %d: expected 1 to %d", r.Version, maxVersion)
	case !isText(r.Subject):
		return fmt.Errorf("subject %.80q: expected 1 to %d bytes of text on one line", r.Subject, maxText)
	case len(r.Replaces) > maxReplaces:
		return fmt.Errorf("replaces %d records: expected at most %d", len(r.Replaces), maxReplaces)
	case !ascending(r.Replaces):
		return fmt.Errorf("replaces: expected ids in ascending order, each once")
	case !isText(r.Name):
		return fmt.Errorf("name %.80q: expected 1 to %d bytes of text on one line", r.Name, maxText)
	case r.At.Year() < 1 || r.At.Year() > 9999 || offset%60 != 0:
		return fmt.Errorf("time %v: expected the years 1 to 9999 and an offset of whole minutes", r.At)
	case len(r.Nonce) != 2*nonceBytes || !isHex(r.Nonce):
		return fmt.Errorf("nonce %.80q: expected %d hex digits 0-9 a-f", r.Nonce, 2*nonceBytes)
	}
	return nil
}

// checkBody says why body is not one line of JSON.
func checkBody(body []byte) error {
	switch {
	case len(body) == 0:
		return fmt.Errorf("body: expected JSON, found nothing")
	case bytes.ContainsAny(body, "\n\r"):
		return fmt.Errorf("body: expected JSON on one line, found a line break")
	case !utf8.Valid(body):
		return fmt.Errorf("body: expected UTF-8")
	case !json.Valid(body):
		return fmt.Errorf("body: expected JSON, found %.40q", body)
	}
	return nil
}

// appendText quotes s, which isText or isWord has passed.
func appendText(b []byte, s string) []byte {
	b = append(b, '"')
	for i := range len(s) {
		if s[i] == '"' || s[i] == '\\' {
			b = append(b, '\\')
		}
		b = append(b, s[i])
	}
	return append(b, '"')
}

func compareID(a, b ID) int { return bytes.Compare(a[:], b[:]) }

func ascending(ids []ID) bool {
	for i := 1; i < len(ids); i++ {
		if compareID(ids[i-1], ids[i]) >= 0 {
			return false
		}
	}
	return true
}

func isWord(s string) bool {
	for i := range len(s) {
		letter := s[i] >= 'a' && s[i] <= 'z'
		if !letter && (i == 0 || s[i] != '_' && (s[i] < '0' || s[i] > '9')) {
			return false
		}
	}
	return s != "" && len(s) <= maxWord
}

func isText(s string) bool {
	for _, r := range s {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' {
			return false
		}
	}
	return s != "" && len(s) <= maxText && utf8.ValidString(s)
}

func isHex(s string) bool {
	for i := range len(s) {
		if (s[i] < '0' || s[i] > '9') && (s[i] < 'a' || s[i] > 'f') {
			return false
		}
	}
	return true
}
