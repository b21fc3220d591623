// Package dataset writes the data of a trial for other programs: every reading
// as it was taken and every figure with its uncertainty, as a Data Package
// (datapackage.json with tables in CSV) and, the same tables, as Parquet.
//
// It computes no figure: figures are those that reduce writes as JSON, means and
// comparisons are the verdict's. It refuses to publish rows that cannot be told
// apart, such as two burns of one id. People and places stand in it only if
// that is asked for; photos, files' paths and serial numbers never.
//
// Read dataset.go, hide.go (people and places), table.go (a table and its CSV),
// the tables themselves (burns.go, figures.go, gear.go, verdict.go, codes.go),
// package.go (datapackage.json), then parquet.go and thrift.go (the Parquet file).
package dataset

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fairburn/pack"
	"fairburn/reduce"
	"fairburn/trial"
	"fairburn/verdict"
)

// Folder is where the files lie in a pack.
const Folder = "data"

// Options say what may be published beside the figures.
type Options struct {
	// Names writes the testers' names. Without, they are "tester 1", "tester 2",
	// in the order of the burns' ids, so that it stays known whose burns are whose.
	Names bool
	// Places writes the names of places; without, they are "place 1", "place 2".
	// Notes are published only with both, since either may stand in them.
	Places       bool
	Made         time.Time // zero: no date
	Version      string    // of the data, such as the edition of the pack; "": none
	Contributors []string  // named only with Names
	License      License   // zero: none is given
}

// License is the licence that the publisher gives. Name is an Open Definition
// identifier such as "CC-BY-4.0", Path an address; one of them must be there.
type License struct{ Name, Path, Title string }

// Files returns datapackage.json and every table as CSV and as Parquet, under
// Folder. The same trial and options give the same bytes. It is an error if two
// burns or two entries cannot be told apart, or one has no name.
func Files(v *verdict.Verdict, r *trial.Reduced, o Options) ([]pack.File, error) {
	ts, err := tables(v, r, o)
	if err != nil {
		return nil, fmt.Errorf("the data of %q cannot be published: %w", v.Title, err)
	}
	var files []pack.File
	for i := range ts {
		t := &ts[i]
		parquet, err := t.parquet()
		if err != nil {
			return nil, fmt.Errorf("writing table %s of %q: %w", t.name, v.Title, err)
		}
		files = append(files,
			pack.File{Path: Folder + "/" + t.name + ".csv", Data: t.csv(), Says: t.title + ", as CSV"},
			pack.File{Path: Folder + "/" + t.name + ".parquet", Data: parquet, Says: t.title + ", as Parquet"})
	}
	described, err := describe(v, ts, files, o)
	if err != nil {
		return nil, fmt.Errorf("describing the data of %q: %w", v.Title, err)
	}
	return append(files, pack.File{Path: Folder + "/datapackage.json", Data: described, Says: "what the tables and their columns are (Data Package 2.0)"}), nil
}

// tables returns every table, checked for rows that cannot be told apart.
func tables(v *verdict.Verdict, r *trial.Reduced, o Options) ([]table, error) {
	s, err := newSource(v, r, o)
	if err != nil {
		return nil, err
	}
	ts := []table{
		s.trial(), s.entries(), s.fuels(), s.instruments(), s.traits(),
		s.burns(), s.marks(), s.faults(), s.figures(), s.budgets(),
		s.means(), s.pairs(), s.boils(), s.findings(), metrics(), codes(),
	}
	for i := range ts {
		if err := ts[i].check(); err != nil {
			return nil, err
		}
	}
	return ts, nil
}

// source is what the tables are made of.
type source struct {
	v       *verdict.Verdict
	r       *trial.Reduced
	o       Options
	results []result
	testers map[string]string // as published
	places  map[string]string
}

// newSource reads every burn's figures from the JSON that reduce writes, so that
// keys, units and what counts as measured are decided in one place.
func newSource(v *verdict.Verdict, r *trial.Reduced, o Options) (*source, error) {
	s := &source{v: v, r: r, o: o}
	s.testers, s.places = aliases(r.Trial, o)
	for i := range r.Results {
		one, err := newResult(&r.Results[i])
		if err != nil {
			return nil, err
		}
		s.results = append(s.results, one)
	}
	return s, nil
}

// notes returns free text where it may be published.
func (s *source) notes(text string) any {
	if !s.o.notes() {
		return nil
	}
	return words(text)
}

// unlisted returns the names that burns or entries mention and no list has, in
// order, so that every name in one table is found in the other.
func unlisted(listed []string, mentioned []string) []string {
	var missing []string
	for _, name := range mentioned {
		if name != "" && !slices.Contains(listed, name) && !slices.Contains(missing, name) {
			missing = append(missing, name)
		}
	}
	slices.Sort(missing)
	return missing
}

// levels are the levels of crossed factors in one cell: "wind = fan low".
func levels(of map[string]string) string {
	var parts []string
	for factor, level := range of {
		parts = append(parts, factor+" = "+level)
	}
	slices.Sort(parts)
	return strings.Join(parts, "; ")
}

// inUnit is a value of a metric in the unit of its key.
func inUnit(m reduce.Metric, si float64) any { return tidy(si / m.Info().Scale) }

// interval returns both ends in the metric's unit; none where both are 0, which
// is how a verdict says that there is none.
func interval(m reduce.Metric, low, high float64) [2]any {
	if low == 0 && high == 0 {
		return [2]any{}
	}
	return [2]any{inUnit(m, low), inUnit(m, high)}
}

// unless returns nothing for a zero that means "none".
func unless[T comparable](none T, x T) any {
	if x == none {
		return nil
	}
	switch x := any(x).(type) {
	case float64:
		return number(x)
	case int:
		return int64(x)
	}
	return any(x)
}
