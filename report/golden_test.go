package report

import (
	"bytes"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fairburn/plan"
	"fairburn/quantity"
)

// long are numbers with more digits than the golden document keeps: figures,
// not the last bits of a sum, are what a person reads there.
var long = regexp.MustCompile(`-?[0-9]+\.[0-9]{9,}(e[-+]?[0-9]+)?`)

func rounded(number []byte) []byte {
	x, err := strconv.ParseFloat(string(number), 64)
	if err != nil {
		return number
	}
	return strconv.AppendFloat(nil, x, 'g', 9, 64)
}

var update = flag.Bool("update", false, "rewrite the golden documents in testdata")

// Whole documents of the invented trial, to be read by a person when they change.
func TestGoldenDocuments(t *testing.T) {
	v, r := sample()
	o := Options{Version: "test", Made: "2026-01-31"}
	us := Options{System: quantity.US}
	unburned := invented()
	unburned.Burns = nil
	proposal, found, err := plan.Make(unburned, plan.Wish{Blocks: 2, Snuffed: 3})
	if err != nil {
		t.Fatal(err)
	}
	_, tr := troubled()
	uv, ur := judged(tr.In(quantity.US))
	begun := invented()
	begun.Burns = begun.Burns[:6]
	bv, br := judged(begun)
	for name, write := range map[string]func(io.Writer) error{
		"judge.txt":    func(w io.Writer) error { return Terminal(w, v, r, o) },
		"judge-us.txt": func(w io.Writer) error { return Terminal(w, uv, ur, us) },
		"burns.txt":    func(w io.Writer) error { return Burns(w, tr, o) },
		"burn-8.txt":   func(w io.Writer) error { return Burn(w, r, "8", o) },
		"burn-12.txt":  func(w io.Writer) error { return Burn(w, r, "12", us) },
		"plan.txt":     func(w io.Writer) error { return Plan(w, unburned, proposal, found, o) },
		"report.html":  func(w io.Writer) error { return HTML(w, bv, br, o) },
		"judge.json":   func(w io.Writer) error { return JSON(w, bv, br) },
	} {
		var got bytes.Buffer
		if err := write(&got); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if strings.HasSuffix(name, ".json") {
			got = *bytes.NewBuffer(long.ReplaceAllFunc(got.Bytes(), rounded))
		}
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), want) {
			t.Errorf("%s has changed: run go test ./report -update, and read the difference", name)
		}
	}
}

func TestUnknownBurn(t *testing.T) {
	_, r := sample()
	err := Burn(io.Discard, r, "99", Options{})
	if want := `burn "99": not in the trial "Three burners for a wide pot", which has 18 burns`; err == nil || err.Error() != want {
		t.Errorf("error %v, expected %s", err, want)
	}
}
