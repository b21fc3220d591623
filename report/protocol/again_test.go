package protocol

import (
	"os"
	"strings"
	"testing"

	"fairburn/finding"
	"fairburn/plan"
	"fairburn/sheet"
	"fairburn/trial"
)

// A repeat starts from the gear, the doses and a plan, and from nothing that only the
// first tester's place and eyes can tell. Its sheet reads back without a fault.
func TestARepeatStartsFresh(t *testing.T) {
	data, err := os.ReadFile("../../cmd/fairburn/demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	first, _, err := sheet.Read("demo.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	traits := len(first.Shelf.Burners[1].Traits)
	again := Again(first.Reduce())
	if len(first.Shelf.Burners[1].Traits) != traits || first.Entries[0].Notes != "" {
		t.Error("the trial that is repeated was changed")
	}
	text, err := sheet.Write(again)
	if err != nil {
		t.Fatal(err)
	}
	for _, not := range []string{"[site]", "elevation", "traits", "shown_by", "invented", "Open shed", "[[burn]]"} {
		if strings.Contains(string(text), not) {
			t.Errorf("the sheet of the repeat holds %q", not)
		}
	}
	for _, want := range []string{`repeats = "Four burners for an autumn walk"`, "in the trial repeated: 20.0 mL poured", "slots = ["} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the sheet of the repeat does not hold %q", want)
		}
	}
	read, found, err := sheet.Read("repeat.toml", text)
	if worst, any := finding.Worst(found); err != nil || any && worst == finding.Fault {
		t.Fatal(err, found)
	}
	if finding.Has(plan.Unfair(read, read.Plan), "burned_before_planning") {
		t.Error("a repeat is taken for burned")
	}
}

// Burns of the trial that is repeated are not held against the repeat, and what was
// seen of a burner is not a thing to build.
func TestThePageIsOfTheRepeat(t *testing.T) {
	page := demo(t, func(*trial.Trial) {})
	for _, not := range []string{"before there was a plan", "trait 1", "burns that show it"} {
		if strings.Contains(page, not) {
			t.Errorf("the page holds %q", not)
		}
	}
}
