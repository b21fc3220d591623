package pack

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"strings"
	"time"
	"unicode"
)

// Version is the version of the layout that New writes. Every version that was
// ever written stays readable.
const Version = 1

// largestManifest is more than a list of DefaultLimits' files takes.
const largestManifest = 8 << 20

// Manifest is what pack.json says.
type Manifest struct {
	Pack     int       `json:"pack"` // version of the layout
	Tool     string    `json:"tool"`
	Title    string    `json:"title"`
	Invented bool      `json:"invented,omitempty"`
	Made     time.Time `json:"made"` // UTC, to the second
	Edition  int       `json:"edition"`
	// Supersedes is the edition that this one takes the place of, First the SHA-256 of
	// the pack.json of the first edition; both are missing in that.
	Supersedes *Edition `json:"supersedes,omitempty"`
	First      string   `json:"first,omitempty"`
	Changed    []string `json:"changed,omitempty"` // in words
	Changes    []Change `json:"changes,omitempty"` // file by file
	From       []Source `json:"from,omitempty"`
	List       []Listed `json:"files"` // all but pack.json and SHA256SUMS, by path
}

// Edition names a pack.
type Edition struct {
	Edition int       `json:"edition"`
	Made    time.Time `json:"made"`
	SHA256  string    `json:"sha256"` // of its pack.json
}

// Source is what figures came from: a sheet, or a record of a bench.
type Source struct {
	Kind   string `json:"kind"` // "sheet", "burn table" or "record"
	Name   string `json:"name"` // of a sheet its path in the pack, of a record its id
	SHA256 string `json:"sha256,omitempty"`
}

// Listed is a file as the manifest lists it.
type Listed struct {
	Path   string `json:"path"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
	Says   string `json:"says,omitempty"`
}

// newManifest returns a manifest without files.
func newManifest(a About) (Manifest, error) {
	switch {
	case a.Title == "":
		return Manifest{}, errors.New("the pack has no title, expected the trial's")
	case a.Tool == "":
		return Manifest{}, errors.New("the pack does not say which program made it, expected its name and version")
	case a.Made.IsZero() || a.Made.Year() > 9999:
		return Manifest{}, errors.New("the pack has no date, expected when it was made")
	case a.Earlier != nil && a.Made.Before(a.Earlier.Made):
		return Manifest{}, fmt.Errorf("the pack is dated %s, before the edition it takes the place of (%s): set the clock, or name another edition",
			a.Made.UTC().Format(time.RFC3339), a.Earlier.Made.Format(time.RFC3339))
	case a.Earlier == nil && len(a.Changed) > 0:
		return Manifest{}, errors.New("the pack says what changed and not since when, expected the earlier edition too")
	}
	m := Manifest{
		Pack: Version, Tool: oneLine(a.Tool), Title: oneLine(a.Title), Invented: a.Invented,
		Made: a.Made.UTC().Truncate(time.Second), Edition: 1, List: []Listed{},
	}
	for _, s := range a.Changed {
		m.Changed = append(m.Changed, oneLine(s))
	}
	for _, s := range a.From {
		m.From = append(m.From, Source{oneLine(s.Kind), oneLine(s.Name), s.SHA256})
	}
	return m, nil
}

// encode writes pack.json: indented, keys in the order of the fields, UTF-8.
func (m Manifest) encode() []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetIndent("", "  ")
	if err := e.Encode(m); err != nil {
		panic(err) // strings, numbers and times of four-digit years always encode
	}
	return b.Bytes()
}

// decode reads pack.json. A manifest has one spelling: what this program would
// write differently (a key twice, a key that it does not know, other spacing) is
// no manifest, so that two readers cannot take it for two things.
func decode(data []byte) (Manifest, error) {
	if len(data) > largestManifest {
		return Manifest{}, fmt.Errorf("%w: %s has %d bytes, expected at most %d", ErrRefused, ManifestName, len(data), largestManifest)
	}
	var version struct {
		Pack int `json:"pack"`
	}
	if err := json.Unmarshal(data, &version); err != nil {
		return Manifest{}, fmt.Errorf("%w: %s cannot be read: %w", ErrNoPack, ManifestName, err)
	}
	switch {
	case version.Pack > Version:
		return Manifest{}, fmt.Errorf("%w: %s is of version %d, this program reads up to version %d; get a newer fairburn",
			ErrNewer, ManifestName, version.Pack, Version)
	case version.Pack < 1:
		return Manifest{}, fmt.Errorf("%w: %s has no version, expected \"pack\": %d", ErrNoPack, ManifestName, Version)
	}
	var m Manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return Manifest{}, fmt.Errorf("%w: %s cannot be read: %w", ErrNoPack, ManifestName, err)
	}
	if own := m.encode(); !bytes.Equal(data, own) {
		line, read, expected := firstDifference(data, own)
		return Manifest{}, fmt.Errorf("%w: %s, line %d: read %.80q, expected %.80q; take the file as it was published",
			ErrNoPack, ManifestName, line, read, expected)
	}
	if err := m.check(); err != nil {
		return Manifest{}, fmt.Errorf("%w: %s: %w", ErrRefused, ManifestName, err)
	}
	return m, nil
}

// check refuses texts that a terminal would obey, and what checkList does.
func (m Manifest) check() error {
	texts, sums := append([]string{m.Tool, m.Title}, m.Changed...), []string{m.First}
	for _, s := range m.From {
		texts, sums = append(texts, s.Kind, s.Name), append(sums, s.SHA256)
	}
	for _, f := range m.List {
		texts, sums = append(texts, f.Says), append(sums, f.SHA256)
	}
	for _, c := range m.Changes {
		texts, sums = append(texts, c.Path, string(c.What)), append(sums, c.Was, c.Is)
	}
	for _, s := range texts {
		if strings.ContainsFunc(s, Commands) {
			return fmt.Errorf("the text %.80q holds a control character, expected words on one line", s)
		}
	}
	for _, s := range sums {
		if s != "" && !isSum(s) {
			return fmt.Errorf("%.80q is no SHA-256, expected 64 digits 0 to 9 and a to f", s)
		}
	}
	if err := m.checkEdition(); err != nil {
		return err
	}
	return m.checkList()
}

// checkEdition refuses a manifest that is of a first edition by one of its words
// and of a later one by another.
func (m Manifest) checkEdition() error {
	if m.Supersedes == nil {
		if m.Edition != 1 || m.First != "" || len(m.Changed) > 0 || len(m.Changes) > 0 {
			return fmt.Errorf("edition %d takes the place of none, expected edition 1, without a first edition and changes", m.Edition)
		}
		return nil
	}
	if m.Supersedes.Edition < 1 || m.Edition-1 != m.Supersedes.Edition {
		return fmt.Errorf("edition %d takes the place of edition %d, expected the one before, from 1", m.Edition, m.Supersedes.Edition)
	}
	if s := m.Supersedes.SHA256; !isSum(s) {
		return fmt.Errorf("%.80q is no SHA-256 of an edition, expected 64 digits 0 to 9 and a to f", s)
	}
	return nil
}

// isSum reports whether s is a SHA-256 in hexadecimal, in its one spelling.
func isSum(s string) bool {
	_, err := hex.DecodeString(s)
	return err == nil && len(s) == 64 && s == strings.ToLower(s)
}

// Commands tells characters that a terminal obeys, or that turn the direction of
// what follows, from those that are read.
func Commands(r rune) bool {
	return unicode.IsControl(r) || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069' || r == '\u2028' || r == '\u2029'
}

// oneLine is a text as a manifest has it: a line break or another command in it
// becomes a space.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if Commands(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}

// checkList refuses a list that cannot be laid into a folder on every system, or
// that can be read in two ways.
func (m Manifest) checkList() error {
	seen := map[string]string{strings.ToLower(ManifestName): ManifestName, strings.ToLower(SumsName): SumsName}
	last := ""
	for _, f := range m.List {
		if err := checkName(f.Path); err != nil {
			return err
		}
		lower := strings.ToLower(f.Path)
		if other, ok := seen[lower]; ok {
			return fmt.Errorf("files %q and %q differ by no more than the case of letters, expected names that do: rename one", other, f.Path)
		}
		if f.Path < last {
			return fmt.Errorf("file %q is listed after %q, expected the order of names", f.Path, last)
		}
		seen[lower], last = f.Path, f.Path
	}
	for _, f := range m.List {
		for at := path.Dir(strings.ToLower(f.Path)); at != "."; at = path.Dir(at) {
			if other, ok := seen[at]; ok {
				return fmt.Errorf("file %q lies in %q, which is a file too: rename one", f.Path, other)
			}
		}
	}
	return nil
}

// firstDifference returns the first line, from 1, in which two texts differ.
func firstDifference(a, b []byte) (int, []byte, []byte) {
	as, bs := bytes.Split(a, []byte("\n")), bytes.Split(b, []byte("\n"))
	at := func(lines [][]byte, i int) []byte {
		if i < len(lines) {
			return lines[i]
		}
		return nil
	}
	for i := range max(len(as), len(bs)) {
		if !bytes.Equal(at(as, i), at(bs, i)) {
			return i + 1, at(as, i), at(bs, i)
		}
	}
	return 0, nil, nil
}
