package dataset

import (
	"os"
	"sync"
	"testing"
	"time"

	"fairburn/pack"
	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// sample is a sheet judged, once for all tests that only read it. All are invented.
type sample struct {
	name string
	v    *verdict.Verdict
	r    *trial.Reduced
}

var samples = sync.OnceValue(func() []sample {
	var all []sample
	for _, name := range []string{"testdata/awkward.toml", "../../docs/examples/hobby.toml", "../../docs/examples/stopwatch.toml", "../../docs/examples/blocks.toml"} {
		data, err := os.ReadFile(name)
		if err != nil {
			panic(err)
		}
		t, found, err := sheet.Read(name, data)
		if err != nil {
			panic(err)
		}
		if len(all) == 0 { // no sheet says it of one burn
			t.Burns[3].Site.Name = "Ledge under the pass"
		}
		r := t.Reduce()
		r.Findings = append(found, r.Findings...)
		all = append(all, sample{name, verdict.Judge(r), r})
	}
	empty := trial.Trial{Title: "…", Settings: trial.DefaultSettings()}
	r := empty.Reduce()
	return append(all, sample{"no burns", verdict.Judge(r), r})
})

// everything is what may be published at most.
var everything = Options{
	Names: true, Places: true, Made: time.Date(2026, 3, 4, 5, 6, 7, 8, time.UTC), Version: "2",
	Contributors: []string{"Quillhilda"}, License: License{Name: "CC-BY-4.0", Title: "Attribution 4.0"},
}

func (s sample) files(t testing.TB, o Options) map[string]pack.File {
	t.Helper()
	fs, err := Files(s.v, s.r, o)
	if err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	files := map[string]pack.File{}
	for _, f := range fs {
		files[f.Path] = f
	}
	return files
}

func (s sample) tables(t testing.TB, o Options) map[string]table {
	t.Helper()
	ts, err := tables(s.v, s.r, o)
	if err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	named := map[string]table{}
	for _, x := range ts {
		named[x.name] = x
	}
	return named
}

// at is the cell of a field in a row.
func (t table) at(row int, field string) any {
	for i, f := range t.fields {
		if f.name == field {
			return t.rows[row][i]
		}
	}
	panic("no field " + field)
}
