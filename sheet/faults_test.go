package sheet

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairburn/finding"
)

var update = flag.Bool("update", false, "rewrite the messages of testdata and the key table of the documents")

// Every sheet of testdata/faults says what stands beside it in a .txt file:
// each message whole, with its place. New ones are written by -update and read
// by a person.
func TestFaultsAndTheirMessages(t *testing.T) {
	files, err := filepath.Glob("testdata/faults/*")
	if err != nil || len(files) == 0 {
		t.Fatal("no sheets", err)
	}
	for _, file := range files {
		if strings.HasSuffix(file, ".txt") {
			continue
		}
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			_, fs, err := Read(filepath.Base(file), data)
			var got strings.Builder
			for _, f := range fs {
				fmt.Fprintf(&got, "%s\n", f)
			}
			if err != nil {
				fmt.Fprintf(&got, "error: %s\n", err)
			}
			golden := strings.TrimSuffix(file, filepath.Ext(file)) + ".txt"
			if *update {
				if err := os.WriteFile(golden, []byte(got.String()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if got.String() != string(want) {
				t.Errorf("got\n%s\nwant\n%s", got.String(), want)
			}
		})
	}
}

func TestWhatIsSoundIsReadBesideAFault(t *testing.T) {
	tr, fs, err := Read("x.toml", []byte("fairburn = 1\n[[burn]]\nid = 7\npoured = 14.9\nleft = \"2.1 g\"\n[[burn]\nid = 8\n[[burn]]\nid = 9\nboil = \"7:12\"\n"))
	if err != nil || len(fs) != 2 {
		t.Fatal(fs, err)
	}
	if len(tr.Burns) != 2 || tr.Burns[0].Fuel.Poured.Given || tr.Burns[0].Fuel.Left.Text != "2.1 g" || tr.Burns[1].ID != "9" {
		t.Errorf("got %+v", tr.Burns)
	}
	if w := tr.Burns[1].Where; w != (finding.Place{File: "x.toml", Line: 8, Column: 3}) {
		t.Errorf("burn 9 stands at %v", w)
	}
}

func TestLimits(t *testing.T) {
	fits := "fairburn = 1\n#" + strings.Repeat("x", MaxSize-14)
	if _, _, err := Read("x.toml", []byte(fits)); err != nil {
		t.Error(err)
	}
	_, _, err := Read("x.toml", []byte(fits+"x"))
	if want := "x.toml: the file cannot be used: it holds 5.0 MB, and at most 5 MB are read; a sheet of a hundred burns has about 0.1 MB"; err == nil || err.Error() != want || !errors.Is(err, ErrUnusable) {
		t.Errorf("got %v", err)
	}
	_, _, err = Read("x.toml", make([]byte, 100<<20))
	if want := "x.toml: the file cannot be used: it holds 100.0 MB, and at most 5 MB are read; a sheet of a hundred burns has about 0.1 MB"; err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
	_, fs, err := Read("x.toml", []byte("fairburn = 1\n"+strings.Repeat("[[burn]]\nid = 1\nodd = 1\n", 250)))
	if err != nil || len(fs) != mostFindings+1 || fs[len(fs)-1].Sentence != "50 more findings are not listed" && fs[0].Sentence != "50 more findings are not listed" {
		t.Errorf("got %d findings, the first %v, the last %v, %v", len(fs), fs[0], fs[len(fs)-1], err)
	}
	broken := "fairburn = 1\n" + strings.Repeat("poured = 1 g\n", mostFaults)
	if _, fs, err := Read("x.toml", []byte(broken)); err != nil || len(fs) != mostFaults {
		t.Errorf("%d findings, %v", len(fs), err)
	}
	_, _, err = Read("x.toml", []byte(broken+"left = 1 g\n"))
	if want := `x.toml: the file cannot be used: it is no TOML; the first of 26 lines that cannot be read: x.toml:2:12: fault: read "poured = 1 g"`; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v", err)
	}
	deep := "fairburn = 1\nnotes = " + strings.Repeat("[", 1<<20)
	if _, fs, err := Read("x.toml", []byte(deep)); err != nil || len(fs) == 0 {
		t.Errorf("nested: %v %v", fs, err)
	}
}

func TestSuggestions(t *testing.T) {
	known := names(burnKeys)
	for _, row := range []struct{ written, meant string }{
		{"strat", "start"}, {"pot-on", "pot_on"}, {"Boil", "boil"}, {"weighted", "weighed"}, {"enrty", "entry"}, {"simmer_fuel_strat", "simmer_fuel_start"},
	} {
		if got := suggest(row.written, known); got != "did you mean "+row.meant+"?" {
			t.Errorf("%s: %s", row.written, got)
		}
	}
	for _, odd := range []string{"xylophone", "", strings.Repeat("start", 1000)} {
		if got := suggest(odd, known); !strings.HasPrefix(got, "leave it out, or look it up in the list of keys") {
			t.Errorf("%.20q: %s", odd, got)
		}
	}
}

// Restricted Damerau-Levenshtein distances that can be counted by hand.
func TestEdits(t *testing.T) {
	for _, row := range []struct {
		a, b string
		n    int
	}{{"", "", 0}, {"", "abc", 3}, {"abc", "abc", 0}, {"abc", "acb", 1}, {"ab", "ba", 1}, {"kitten", "sitting", 3}, {"é", "e", 1}, {"ca", "abc", 3}} {
		if a, b := edits(row.a, row.b), edits(row.b, row.a); a != row.n || b != row.n {
			t.Errorf("%s, %s: %d and %d, want %d", row.a, row.b, a, b, row.n)
		}
	}
}
