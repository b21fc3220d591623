package sheet

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// documents are the documents with the keys that they list.
var documents = map[string][]Key{"../docs/sheet.md": Keys(), "../docs/trip.md": TripKeys(), "../docs/film.md": FilmKeys()}

// keyTable is the list of keys as a document has it.
func keyTable(keys []Key) string {
	var b strings.Builder
	section := "-"
	for _, k := range keys {
		if k.Section != section {
			section = k.Section
			title := "`" + section + "`"
			if section == "" {
				title = "Before any section"
			}
			fmt.Fprintf(&b, "\n### %s\n\n| key | holds |\n| --- | --- |\n", title)
		}
		holds := strings.ReplaceAll(k.Holds, "|", `\|`)
		fmt.Fprintf(&b, "| `%s` | %s |\n", k.Name, holds)
	}
	return b.String()
}

func TestTheDocumentsListEveryKey(t *testing.T) {
	for document, keys := range documents {
		data, err := os.ReadFile(document)
		if err != nil {
			t.Fatal(err)
		}
		before, after, ok := strings.Cut(string(data), "\n## Every key\n")
		if !ok {
			t.Fatal("no heading for the keys")
		}
		if *update {
			if err := os.WriteFile(document, []byte(before+"\n## Every key\n"+keyTable(keys)), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		if after != keyTable(keys) {
			t.Errorf("%s: the list of keys is stale: go test ./sheet -update", document)
		}
	}
}

func TestEveryKeySaysWhatItHolds(t *testing.T) {
	for document, keys := range documents {
		for _, k := range keys {
			if k.Holds == "" {
				t.Errorf("%s: %s %s holds nothing", document, k.Section, k.Name)
			}
		}
	}
}

// fenced are the examples of a kind in a document.
func fenced(t *testing.T, document, kind string) []string {
	t.Helper()
	data, err := os.ReadFile(document)
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, m := range regexp.MustCompile("(?s)```"+kind+"\n(.*?)```").FindAllStringSubmatch(string(data), -1) {
		found = append(found, m[1])
	}
	if len(found) == 0 {
		t.Fatalf("no example in %s", kind)
	}
	return found
}

// Examples are read without a word, and what they hold agrees with itself.
func TestExamples(t *testing.T) {
	texts := map[string]string{"sheet.toml": fenced(t, "../docs/sheet.md", "toml")[0], "table.csv": fenced(t, "../docs/sheet.md", "csv")[0]}
	files, _ := filepath.Glob("../docs/examples/*.toml")
	if len(files) < 3 {
		t.Fatal("examples are missing")
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		texts[filepath.Base(file)] = string(data)
	}
	texts["film.toml of the document"] = fenced(t, "../docs/film.md", "toml")[0]
	texts["trip.toml"] = fenced(t, "../docs/trip.md", "toml")[0]
	for name, text := range texts {
		if strings.Contains(text, "[[leg]]") {
			trip, fs, err := ReadTrip(name, []byte(text))
			if err != nil || len(fs) > 0 || len(trip.Check()) > 0 || !trip.Invented {
				t.Errorf("%s: %v %v %v", name, fs, err, trip)
			}
			continue
		}
		if strings.Contains(text, "[[clip]]") {
			if f, fs, err := ReadFilm(name, []byte(text)); err != nil || len(fs) > 0 || !f.Invented {
				t.Errorf("%s: %v %v %v", name, fs, err, f)
			}
			continue
		}
		tr, fs, err := Read(name, []byte(text))
		if err != nil || len(fs) > 0 {
			t.Errorf("%s: %v %v", name, fs, err)
			continue
		}
		for _, b := range tr.Burns {
			for _, f := range b.Check() {
				if f.Severity.String() == "fault" {
					t.Errorf("%s: %v", name, f)
				}
			}
		}
		for _, f := range tr.Check() {
			if f.Severity.String() == "fault" {
				t.Errorf("%s: %v", name, f)
			}
		}
	}
}
