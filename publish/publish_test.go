package publish

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairburn/burn"
	"fairburn/finding"
	"fairburn/pack"
	"fairburn/sheet"
	"fairburn/trial"
)

// Who burned, where, and what else a sheet's free texts hold. All of it is invented.
const (
	tester  = "Quillon Vantreight"
	place   = "Zephyrbarn upper loft"
	note    = "neighbour Ottoline looked on"
	folders = "/home/quillonv/secretfolder"
)

// read reads the demo's sheet with names, places and notes in it, from a folder that
// tells who its owner is.
func read(t testing.TB) (*trial.Trial, []finding.Finding) {
	t.Helper()
	data, err := os.ReadFile("../cmd/fairburn/demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(data), "open shed above the village", place, 1)
	x, found, err := sheet.Read(folders+"/trial.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	x.Entries, x.Plan = x.Entries[:2], trial.Plan{} // fewer of them, since a pack is drawn anew in each test
	x.Burns = slices.DeleteFunc(x.Burns, func(b burn.Record) bool {
		return !slices.ContainsFunc(x.Entries, func(e trial.Entry) bool { return e.Name == b.Entry })
	})
	for i := range x.Burns {
		x.Burns[i].Tester = tester
	}
	x.Burns[0].Site.Name, x.Burns[1].Notes, x.Notes = place+" yard", note, note
	x.Entries[0].Notes, x.Shelf.Burners[0].Notes, x.Shelf.Pots[0].Notes = note, note, note
	return x, found
}

var made = time.Date(2026, 5, 2, 10, 0, 0, 0, time.UTC)

func publish(t testing.TB, x *trial.Trial, w Wish) *pack.Pack {
	t.Helper()
	w.Made, w.Version = made, "test"
	p, err := Make(context.Background(), x, w, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A pack takes a second to draw, so tests share two: with nothing said of people and
// places, and with all.
var (
	hidden = sync.OnceValue(func() *pack.Pack { return shared(Wish{}) })
	shown  = sync.OnceValue(func() *pack.Pack { return shared(Wish{Names: true, Places: true}) })
)

func shared(w Wish) *pack.Pack {
	var t testing.T
	x, found := read(&t)
	w.Contributors, w.Read = []string{tester}, append(found, disagree)
	return publish(&t, x, w)
}

// disagree is found on a bench and names people.
var disagree = finding.Finding{Code: "records_disagree", Severity: finding.Caution, Where: finding.Place{File: folders + "/trial.toml", Line: 3},
	Sentence: "2 records by " + tester + " at " + place + " contradict each other"}

// text is what a reader can find in a file; of a PDF its words.
func text(t *testing.T, f pack.File) string {
	if !strings.HasSuffix(f.Path, ".pdf") {
		return string(f.Data)
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Log("pdftotext is not here: the words of the PDF are not read")
		return string(f.Data)
	}
	at := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(at, f.Data, 0o600); err != nil {
		t.Fatal(err)
	}
	words, err := exec.Command("pdftotext", at, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(f.Data) + string(words)
}

// Whatever is left out stands in no file at all, however it got into the trial: its
// tables, free texts, the place of a finding on the tester's disk, what was found.
func TestWhatIsLeftOutStandsInNoFile(t *testing.T) {
	x, found := read(t)
	for _, c := range []struct {
		name     string
		pack     *pack.Pack
		not, but []string
	}{
		{"neither", hidden(), []string{"Quillon", "Vantreight", "Zephyrbarn", "Ottoline"}, []string{"tester 1", "place 1", "records_disagree"}},
		{"names", publish(t, x, Wish{Names: true, Read: append(found, disagree)}), []string{"Zephyrbarn", "Ottoline"}, []string{tester, "place 1"}},
		{"both", shown(), nil, []string{tester, place, note, "contradict each other"}},
	} {
		all := ""
		for _, f := range c.pack.All() {
			words := f.Path + f.Says + text(t, f)
			all += words
			for _, word := range append(slices.Clone(c.not), "quillonv", "secretfolder") {
				if at := strings.Index(words, word); at >= 0 {
					t.Errorf("%s: %s says %q: …%q…", c.name, f.Path, word, words[max(0, at-60):min(len(words), at+60)])
				}
			}
		}
		for _, word := range c.but {
			if !strings.Contains(all, word) {
				t.Errorf("%s: %q stands nowhere", c.name, word)
			}
		}
	}
}

// Publishing again gives the same bytes, counts to its end and leaves the trial alone.
func TestTheSameTrialAndWishGiveTheSameBytes(t *testing.T) {
	x, found := read(t)
	before, err := sheet.Write(x)
	if err != nil {
		t.Fatal(err)
	}
	var told []int
	w := Wish{Made: made, Version: "test", Contributors: []string{tester}, Read: append(found, disagree)}
	p, err := Make(context.Background(), x, w, func(done, total int) { told = append(told, done, total) })
	if err != nil {
		t.Fatal(err)
	}
	for i := range len(told) / 2 {
		if told[2*i] != i+1 || told[2*i+1] != len(told)/2 {
			t.Error("progress:", told)
		}
	}
	var zips [2]bytes.Buffer
	if err := errors.Join(hidden().WriteZip(&zips[0]), p.WriteZip(&zips[1])); err != nil || !bytes.Equal(zips[0].Bytes(), zips[1].Bytes()) {
		t.Error("two packs of the same differ", err)
	}
	if after, err := sheet.Write(x); err != nil || !bytes.Equal(before, after) {
		t.Error("publishing changed the trial", err)
	}
}

// A pack that was published is read back without a finding, and its sheet is the trial.
func TestWhatIsPublishedIsRead(t *testing.T) {
	x, _ := read(t)
	p := shown()
	var b bytes.Buffer
	if err := p.WriteZip(&b); err != nil {
		t.Fatal(err)
	}
	got, found, err := pack.ReadZip(bytes.NewReader(b.Bytes()), int64(b.Len()), pack.DefaultLimits())
	if err != nil || len(found) > 0 || got.Sum() != p.Sum() || got.Title != x.Title || !got.Invented {
		t.Fatal(err, found, got)
	}
	f, ok := got.File(SheetName)
	want, err := sheet.Write(x)
	if !ok || err != nil || !bytes.Equal(f.Data, want) {
		t.Error("the sheet in the pack is not the trial's", err)
	}
	for _, name := range []string{"report.html", "report.pdf", "replay.html", "repeat.html", RepeatName, "answers.html", "description.txt", "README.txt", "cards/card.png", "data/datapackage.json", "data/burns.parquet"} {
		if f, ok := got.File(name); !ok || len(f.Data) == 0 || f.Says == "" {
			t.Errorf("%s: %d bytes, %q", name, len(f.Data), f.Says)
		}
	}
	again, _, err := sheet.Read(RepeatName, must(t, got, RepeatName))
	if err != nil || again.Repeats != x.Title || len(again.Burns) > 0 {
		t.Error("the sheet to repeat from:", err)
	}
}

func must(t *testing.T, p *pack.Pack, name string) []byte {
	t.Helper()
	f, ok := p.File(name)
	if !ok {
		t.Fatalf("no %s", name)
	}
	return f.Data
}

func TestALaterEditionSaysWhatItTakesThePlaceOf(t *testing.T) {
	x, _ := read(t)
	one := hidden()
	x.Burns[3].Void = "the lid was off"
	two := publish(t, x, Wish{Earlier: one, Changed: []string{"a burn is left out"}})
	if two.Edition != 2 || two.Supersedes.SHA256 != one.Sum() || two.First != one.Sum() || !slices.Equal(two.Changed, []string{"a burn is left out"}) {
		t.Errorf("%+v", two.Manifest)
	}
	if !slices.ContainsFunc(two.Changes, func(c pack.Change) bool { return c.Path == SheetName && c.What == pack.Changed }) {
		t.Error(two.Changes)
	}
}

func TestWhoGivesUpGetsNoPack(t *testing.T) {
	x, _ := read(t)
	ctx, cancel := context.WithCancel(context.Background())
	steps := 0
	p, err := Make(ctx, x, Wish{Made: made}, func(int, int) { steps++; cancel() })
	if p != nil || !errors.Is(err, context.Canceled) || steps != 1 {
		t.Errorf("%v after %d steps", err, steps)
	}
}

// What people write reaches every file as text: no page gets an element of it, no text
// to paste a new line, no sheet a key.
func TestMarkupInATrialStaysText(t *testing.T) {
	evil := `<img src=x onerror=alert(1)> "]] ` + "\u202e" + `'=cmd`
	x, _ := read(t)
	x.Title, x.Question = evil, evil
	p := publish(t, x, Wish{Names: true, Places: true})
	for _, f := range p.All() {
		if s := string(f.Data); (strings.HasSuffix(f.Path, ".html") || strings.HasSuffix(f.Path, ".svg")) && strings.Contains(s, "<img src=x") {
			t.Errorf("%s takes a title for markup", f.Path)
		}
	}
	y, _, err := sheet.Read(SheetName, must(t, p, SheetName))
	if err != nil || y.Title != evil {
		t.Errorf("title %q, %v", y.Title, err)
	}
}
