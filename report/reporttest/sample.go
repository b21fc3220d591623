// Package reporttest holds the trials that tests of documents read: the invented one of
// the demo, and the same with names that are hard to set. It is no part of the program.
package reporttest

import (
	"os"
	"strings"
	"sync"

	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// Demo reads the program's own invented trial, for tests in a folder under report.
func Demo() *trial.Trial {
	data, err := os.ReadFile("../../cmd/fairburn/demo.toml")
	if err != nil {
		panic(err)
	}
	x, _, err := sheet.Read("demo.toml", data)
	if err != nil {
		panic(err)
	}
	return x
}

// Judged reduces and judges a trial.
func Judged(x *trial.Trial) (*verdict.Verdict, *trial.Reduced) {
	r := x.Reduce()
	return verdict.Judge(r), r
}

// Trials that many tests read and none changes: the demo, its first eight burns, and
// Trouble.
var (
	Sample   = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return Judged(Demo()) })
	Few      = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { x := Demo(); x.Burns = x.Burns[:8]; return Judged(x) })
	Troubled = sync.OnceValues(func() (*verdict.Verdict, *trial.Reduced) { return Judged(Trouble()) })
)

// Hostile is a text that would run if it were taken for markup.
const Hostile = `<script>alert("x")</script> & <b>bold</b> {{.Seed}} javascript:alert(1)`

// Strange are names of entries: markup, other scripts, and a long one.
var Strange = map[string]string{"Tansy": Hostile, "Burdock": "茶碗の火 ⌀66 🔥", "Sorrel": "שרון Ωμέγα", "Yarrow": strings.Repeat("Very long name of a burner ", 12)}

// Trouble is the demo with names that are hard to set.
func Trouble() *trial.Trial {
	x := Demo()
	x.Title, x.Question, x.Notes, x.Site.Name = Hostile, Hostile+"?", strings.Repeat(Hostile+" ", 20), "小屋"
	for i := range x.Entries {
		x.Entries[i].Name = Strange[x.Entries[i].Name]
	}
	for i := range x.Burns {
		x.Burns[i].Entry = Strange[x.Burns[i].Entry]
		x.Burns[i].Notes += Hostile
	}
	return x
}
