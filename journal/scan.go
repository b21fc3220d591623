package journal

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"
)

// scanner walks over the one form a record's bytes may have. The first fault
// stops it; what is read afterwards is empty.
type scanner struct {
	all, rest []byte
	err       error
}

// parse reads stored bytes back. Any other spelling of the same JSON is refused,
// since a record has one form and its id hangs on it.
func parse(b []byte) (Record, error) {
	r, rest, err := parseHead(b)
	if err != nil {
		return Record{}, err
	}
	if len(b) > MaxBytes || len(rest) == 0 || rest[len(rest)-1] != '}' {
		return Record{}, fmt.Errorf("record of %d bytes: expected at most %d, ending in }", len(b), MaxBytes)
	}
	r.Body = rest[:len(rest)-1]
	if err := checkBody(r.Body); err != nil {
		return Record{}, err
	}
	return r, nil
}

// parseHead reads everything before the body and returns what follows.
func parseHead(b []byte) (Record, []byte, error) {
	s := &scanner{all: b, rest: b}
	s.literal(`{"fairburn":`)
	if v := s.integer(); s.err == nil && v != form {
		return Record{}, nil, fmt.Errorf("record of form %d: this program reads form %d; a newer one may have written it", v, form)
	}
	var r Record
	s.literal(`,"kind":`)
	r.Kind = s.text()
	s.literal(`,"version":`)
	r.Version = s.integer()
	s.literal(`,"subject":`)
	r.Subject = s.text()
	s.literal(`,"replaces":[`)
	r.Replaces = s.ids()
	s.literal(`],"author":`)
	s.hash(r.Author[:])
	s.literal(`,"name":`)
	r.Name = s.text()
	s.literal(`,"at":`)
	r.At = s.time()
	s.literal(`,"nonce":`)
	r.Nonce = s.text()
	s.literal(bodyKey)
	if err := cmp.Or(s.err, r.checkHead()); err != nil {
		return Record{}, nil, err
	}
	return r, s.rest, nil
}

func (s *scanner) fail(expected string) {
	if s.err == nil {
		s.err = fmt.Errorf("byte %d: expected %s, found %.40q", len(s.all)-len(s.rest)+1, expected, s.rest)
	}
	s.rest = nil
}

func (s *scanner) has(lit string) bool {
	if len(s.rest) < len(lit) || string(s.rest[:len(lit)]) != lit {
		return false
	}
	s.rest = s.rest[len(lit):]
	return true
}

func (s *scanner) literal(lit string) {
	if !s.has(lit) {
		s.fail(lit)
	}
}

// integer reads a whole number without sign or leading zero.
func (s *scanner) integer() int {
	n := 0
	for n < len(s.rest) && n < 9 && s.rest[n] >= '0' && s.rest[n] <= '9' {
		n++
	}
	if n == 0 || s.rest[0] == '0' {
		s.fail("a whole number from 1")
		return 0
	}
	v, err := strconv.Atoi(string(s.rest[:n]))
	if err != nil {
		panic(err) // at most nine digits
	}
	s.rest = s.rest[n:]
	return v
}

// text reads a quoted text in which only \" and \\ are escaped.
func (s *scanner) text() string {
	if len(s.rest) == 0 || s.rest[0] != '"' {
		s.fail("a text in quotation marks")
		return ""
	}
	var long strings.Builder
	from := 1
	for i := 1; i < len(s.rest); i++ {
		switch s.rest[i] {
		case '"':
			part := string(s.rest[from:i])
			s.rest = s.rest[i+1:]
			return long.String() + part
		case '\\':
			if i+1 == len(s.rest) || s.rest[i+1] != '"' && s.rest[i+1] != '\\' {
				s.fail(`a text with no escapes but \" and \\`)
				return ""
			}
			long.Write(s.rest[from:i])
			from, i = i+1, i+1
		}
	}
	s.fail("a closing quotation mark")
	return ""
}

func (s *scanner) hash(to []byte) {
	before := *s
	if err := readHash(to, []byte(s.text())); err != nil && s.err == nil {
		*s = before
		s.fail("64 hex digits in quotation marks")
	}
}

func (s *scanner) ids() []ID {
	if len(s.rest) > 0 && s.rest[0] == ']' {
		return nil
	}
	var ids []ID
	for s.err == nil && len(ids) <= maxReplaces {
		var id ID
		s.hash(id[:])
		ids = append(ids, id)
		if !s.has(",") {
			break
		}
	}
	return ids
}

// time reads a time in the one spelling that Format gives it back in.
func (s *scanner) time() time.Time {
	before := *s
	text := s.text()
	at, err := time.Parse(time.RFC3339Nano, text)
	if s.err == nil && (err != nil || at.Format(time.RFC3339Nano) != text) {
		*s = before
		s.fail("a time such as 2026-05-01T09:30:00.5+02:00")
	}
	return at
}
