// Package sheet reads and writes the text a person keeps of a trial: one TOML
// file that holds all of it, and tables of burns (CSV; XLSX is read).
//
// It keeps what was typed and judges nothing but the writing: whether the
// figures make sense is said by gear, burn and trial. It refuses to guess:
// what can be read two ways, an unknown key and a number without a unit become
// findings with their place, all of a file at once, and the rest is read.
//
// Read sheet.go (the way in), section.go (the layout), then the keys:
// settings.go, shelf.go, burn.go and mark.go. What a key can hold stands in
// key.go and amount.go. syntax.go and tree.go turn TOML into nodes with places,
// write.go goes the other way, table.go and workbook.go read tables.
package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/quantity"
	"fairburn/trial"
)

// version is the layout that Write writes and the newest that Read knows.
const version = 1

// MaxSize is the largest sheet or table that is read, in bytes.
const MaxSize = 5 << 20

// ErrUnusable is wrapped by every error of Read and ReadTable: nothing of the
// file could be used.
var ErrUnusable = errors.New("the file cannot be used")

func unusable(name, format string, args ...any) error {
	return fmt.Errorf("%s: %w: %s", name, ErrUnusable, fmt.Sprintf(format, args...))
}

// Read reads a sheet. The name stands in findings and tells a table (.csv,
// .tsv, .xlsx) from a sheet: a trial may come from a table alone, its gear
// unknown. Whatever can be read is in the trial; whatever cannot is a finding.
// The error is for a file of which nothing can be used, or of a newer version.
func Read(name string, data []byte) (*trial.Trial, []finding.Finding, error) {
	if isTableName(name) {
		return ReadTable(name, data, nil)
	}
	data, err := checkText(name, data)
	if err != nil {
		return nil, nil, err
	}
	s := &syntax{reader: &reader{file: name}, lines: newLines(data)}
	root := s.parse()
	if s.read == 0 || s.faults > mostFaults {
		return nil, s.findings(), s.hopeless()
	}
	if err := s.version(root); err != nil {
		return nil, nil, err
	}
	t := &trial.Trial{Settings: trial.DefaultSettings()}
	s.trial(root, t)
	fs := s.findings()
	finding.Sort(fs)
	return t, fs, nil
}

// checkText refuses what is no text and takes a byte order mark off.
func checkText(name string, data []byte) ([]byte, error) {
	if len(data) > MaxSize {
		return nil, unusable(name, "it holds %.1f MB, and at most %d MB are read; a sheet of a hundred burns has about 0.1 MB", float64(len(data))/(1<<20), MaxSize>>20)
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if i := badByte(data); i >= 0 {
		at := newLines(data[:i]).at(i)
		return nil, unusable(fmt.Sprintf("%s:%d:%d", name, at.line, at.column), "byte 0x%02X is no UTF-8; save the file as text in UTF-8", data[i])
	}
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, unusable(name, "it is empty; a sheet begins with fairburn = %d", version)
	}
	return data, nil
}

// hopeless is the error for a file that is no TOML; the first fault says where.
func (s *syntax) hopeless() error {
	if len(s.found) == 0 {
		return unusable(s.file, "it holds no key; a sheet begins with fairburn = %d", version)
	}
	return unusable(s.file, "it is no TOML; the first of %d lines that cannot be read: %s", s.faults, s.found[0])
}

// version checks the layout. A sheet without one is read as the first.
func (s *syntax) version(root *node) error {
	f := root.find("fairburn")
	switch {
	case f == nil:
		s.tell(finding.Caution, "version_missing", spot{1, 1}, "fairburn", "the sheet does not say its version; it was read as version 1", "write fairburn = 1 as the first line")
	case f.value.kind != whole:
		s.say("version_unknown", f.value.at, "fairburn", "read "+f.value.shown()+", expected the version 1; it was read as version 1", "write fairburn = 1")
	case f.value.text != "1":
		at := f.value.at
		return unusable(fmt.Sprintf("%s:%d:%d", s.file, at.line, at.column), "it is written in version %.20s, and this program knows version %d; take a newer program, or write fairburn = %d if the number is a slip", f.value.text, version, version)
	}
	return nil
}

// trial fills t from the nodes.
func (s *syntax) trial(root *node, t *trial.Trial) {
	if f := root.find("settings"); f != nil && f.value.kind == table {
		var sys quantity.System
		if sys.UnmarshalText([]byte(strings.ToLower(f.value.textOf("units")))) == nil {
			s.system = sys // how every measure of the sheet is read, wherever it stands
		}
	}
	top := &node{kind: table}
	for _, f := range root.fields {
		i := slices.IndexFunc(sections, func(x section) bool { return x.name == f.name })
		switch {
		case i >= 0:
			sections[i].read(s.reader, f, t)
		case slices.Contains(names(topKeys), f.name):
			top.fields = append(top.fields, f)
		default:
			s.say("key_unknown", f.at, f.name, fmt.Sprintf("%.60q is no key and no section of a sheet", f.name), suggest(f.name, append(names(topKeys), sectionNames()...)))
		}
	}
	readKeys(s.reader, "", top, topKeys, t)
	t.SortBurns()
}
