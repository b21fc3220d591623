package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fairburn/finding"
	"fairburn/sheet"
	"fairburn/trial"
)

// largestFile is more than any sheet or table of a tester holds. What is
// larger is refused before it is read.
const largestFile = 8 << 20

// readFile reads a whole file of a size that a sheet can have; "-" is standard input.
func (a *app) readFile(name string) ([]byte, error) {
	if name == "-" {
		return limited(a.in, "standard input")
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, hinted{fmt.Errorf("cannot open the sheet: %w", err), "give the path of a .toml sheet, or of a .csv or .xlsx burn table"}
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, hinted{fmt.Errorf("%s is a folder, expected a sheet", name), "give the path of a .toml sheet"}
	}
	return limited(f, name)
}

func limited(r io.Reader, name string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, largestFile+1))
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", name, err)
	}
	if len(data) > largestFile {
		return nil, hinted{fmt.Errorf("%s is larger than %d MB, expected a sheet of some kilobytes", name, largestFile>>20),
			"check that it is the sheet and not a film or a trace"}
	}
	return data, nil
}

// load reads a sheet, or a trial on the bench, and any burn tables into one
// trial, with what was found in reading. The first name is a file if there is
// one of it, else a title. It is an error when one of them could not be read at all.
func (a *app) load(ctx context.Context, names []string) (*trial.Trial, []finding.Finding, error) {
	var t *trial.Trial
	var all []finding.Finding
	if a.isTitle(names[0]) {
		var err error
		if t, all, err = a.onBench(ctx, names[0]); err != nil {
			return nil, nil, err
		}
		names = names[1:]
	}
	for i, name := range names {
		data, err := a.readFile(name)
		if err != nil {
			return nil, nil, err
		}
		var fs []finding.Finding
		switch {
		case isTable(name):
			t, fs, err = sheet.ReadTable(name, data, t)
		case i == 0 && t == nil:
			t, fs, err = sheet.Read(name, data)
		default:
			return nil, nil, usage{fmt.Errorf("%s: expected one sheet, then burn tables (.csv, .tsv or .xlsx)", name)}
		}
		if err != nil {
			return nil, nil, err
		}
		all = append(all, fs...)
	}
	return a.said(t), all, nil
}

// said is the trial in the units of the command line.
func (a *app) said(t *trial.Trial) *trial.Trial {
	if !a.units.set {
		return t
	}
	return t.In(a.units.system)
}

func isTable(name string) bool {
	return slices.Contains([]string{".csv", ".tsv", ".xlsx"}, strings.ToLower(filepath.Ext(name)))
}

// reduced reduces a trial by the seed of the command line. Findings of reading
// come first among the trial's, so that every face shows them.
func (a *app) reduced(t *trial.Trial, read []finding.Finding) *trial.Reduced {
	if a.seed != 0 {
		t.Settings.Seed = a.seed
	}
	r := t.Reduce()
	r.Findings = slices.Concat(read, r.Findings)
	return r
}
