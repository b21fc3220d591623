// Package sheet reads and writes the text a person keeps of a trial: one TOML
// file that holds all of it, and tables of burns (CSV; XLSX is read).
//
// It keeps what was typed and judges nothing but the writing: whether the
// figures make sense is said by gear, burn and trial. It refuses to guess:
// what can be read two ways, an unknown key and a number without a unit become
// findings with their place, all of a file at once, and the rest is read.
//
// Read sheet.go (the way in and the layout), then the keys: settings.go,
// shelf.go and burn.go. What a key can hold stands in key.go and amount.go.
// reader.go collects what is wrong, syntax.go turns TOML into nodes with
// places, write.go goes the other way; table.go, workbook.go and tablewrite.go
// are for tables, form.go for the forms of a page.
package sheet

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/gear"
	"fairburn/quantity"
	"fairburn/reduce"
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
	if err := cmp.Or(s.version(root), s.refuseTrip(root), s.refuseFilm(root)); err != nil {
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
		return nil, unusable(name, "it is empty")
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
	layout[*trial.Trial]{topKeys, sections}.read(s, root, t)
	t.SortBurns()
}

// sections is the layout of a trial's sheet, in the order in which it is written.
var sections = []*section[*trial.Trial]{
	once("settings", "How the trial is read.", settingsKeys, func(t *trial.Trial) *trial.Settings { return &t.Settings }),
	once("reference", "The boil that every burn is corrected to.", referenceKeys, func(t *trial.Trial) *trial.Settings { return &t.Settings }),
	once("rules", "Changed rules of the reduction.", rulesKeys, func(t *trial.Trial) *reduce.Rules { return &t.Settings.Rules }),
	once("site", "Where it was burned.", siteOnly, func(t *trial.Trial) *burn.Site { return &t.Site }),
	each("scale", "The instruments.", scaleKeys, func(t *trial.Trial) *[]gear.Scale { return &t.Shelf.Tools.Scales }),
	each("thermometer", "", thermometerKeys, func(t *trial.Trial) *[]gear.Thermometer { return &t.Shelf.Tools.Thermometers }),
	each("barometer", "", barometerKeys, func(t *trial.Trial) *[]gear.Barometer { return &t.Shelf.Tools.Barometers }),
	each("measure", "", measureKeys, func(t *trial.Trial) *[]gear.Measure { return &t.Shelf.Tools.Measures }),
	each("fuel", "The fuel, one for each bottle or purchase.", fuelKeys, func(t *trial.Trial) *[]gear.FuelBatch { return &t.Shelf.Batches }),
	each("burner", "The burners, as built or as bought.", burnerKeys, func(t *trial.Trial) *[]gear.Burner { return &t.Shelf.Burners }),
	each("pot", "Pots, lids, screens and stands.", potKeys, func(t *trial.Trial) *[]gear.Pot { return &t.Shelf.Pots }),
	each("lid", "", lidKeys, func(t *trial.Trial) *[]gear.Lid { return &t.Shelf.Lids }),
	each("screen", "", screenKeys, func(t *trial.Trial) *[]gear.Screen { return &t.Shelf.Screens }),
	each("stand", "", standKeys, func(t *trial.Trial) *[]gear.Stand { return &t.Shelf.Stands }),
	each("entry", "What is compared: the whole system.", entryKeys, func(t *trial.Trial) *[]trial.Entry { return &t.Entries }),
	once("plan", "How the burns were laid out before the first was lit.", planKeys, func(t *trial.Trial) *trial.Plan { return &t.Plan }),
	burns(),
}

// Keys lists every key of a trial's sheet, in the order in which Write writes them.
func Keys() []Key { return layout[*trial.Trial]{topKeys, sections}.keys() }

// burns is the section of the burns, which have a clock of their own.
func burns() *section[*trial.Trial] {
	get := func(t *trial.Trial) *[]burn.Record { return &t.Burns }
	s := each("burn", "The burns. Times are minutes:seconds from light.", burnKeys, get)
	s.read = func(r *reader, f *field, t *trial.Trial) {
		for i, n := range r.itemsOf("burn", f) {
			r.subject = subject("burn", i, n)
			t.Burns = append(t.Burns, r.burn(n))
		}
		r.subject = ""
	}
	s.write = func(w *writer, t *trial.Trial) {
		for i := range t.Burns {
			w.light = clockAt(t.Burns[i].Marks[burn.Light].Text)
			w.item(s.name, s.comment, i, func() []pair { return writeKeys(w, burnKeys, &t.Burns[i]) })
		}
	}
	return s
}

// burn reads one burn, its place first and its clock before its marks.
func (r *reader) burn(n *node) burn.Record {
	var b burn.Record
	b.Where.File, b.Where.Line, b.Where.Column = r.file, n.at.line, n.at.column
	r.light = lightOf(n)
	readKeys(r, "burn", n, burnKeys, &b)
	if b.Void == "" && n.wrote("boil") && !b.Marks[burn.Boil].Given {
		b.Void = "its boil could not be read" // else it would pass for a burn that did not boil
	}
	return b
}

// wrote reports whether a key was written, understood or not.
func (n *node) wrote(name string) bool { return n.find(name) != nil || slices.Contains(n.lost, name) }
