package pack

import (
	"errors"
	"strings"
	"testing"
)

// A manifest that is of a first edition by one of its words and of a later one by
// another is refused: who takes a pack goes by what it says of its first edition.
func TestAManifestAgreesWithItselfAboutItsEdition(t *testing.T) {
	one := newPack(t, about(), published())
	a := about()
	a.Earlier = one
	two := newPack(t, a, published())
	other := strings.Repeat("ab", 32)
	for _, c := range []struct {
		what string
		of   *Pack
		lie  func(*Manifest)
		want string
	}{
		{"a first edition elsewhere", one, func(m *Manifest) { m.First = other }, "edition 1 takes the place of none, expected edition 1, without a first edition and changes"},
		{"a short one", one, func(m *Manifest) { m.First = "ab" }, `"ab" is no SHA-256, expected 64 digits 0 to 9 and a to f`},
		{"edition 5 of nothing", one, func(m *Manifest) { m.Edition = 5 }, "edition 5 takes the place of none"},
		{"edition 0", one, func(m *Manifest) { m.Edition = 0 }, "edition 0 takes the place of none"},
		{"a step too far", two, func(m *Manifest) { m.Edition = 3 }, "edition 3 takes the place of edition 1, expected the one before, from 1"},
		{"edition 1 of edition 0", two, func(m *Manifest) { m.Edition, m.Supersedes.Edition = 1, 0 }, "edition 1 takes the place of edition 0"},
		{"no checksum", two, func(m *Manifest) { m.Supersedes.SHA256 = "" }, `"" is no SHA-256 of an edition`},
		{"a checksum in capitals", two, func(m *Manifest) { m.First = strings.ToUpper(other) }, "is no SHA-256"},
	} {
		m := c.of.Manifest
		if m.Supersedes != nil {
			earlier := *m.Supersedes
			m.Supersedes = &earlier
		}
		c.lie(&m)
		p := &Pack{Manifest: m, Files: c.of.Files, manifest: m.encode()}
		if _, _, err := Read(folder(p), DefaultLimits()); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.what, err, c.want)
		}
	}
}
