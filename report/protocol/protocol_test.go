package protocol

import (
	"bytes"
	"strings"
	"testing"

	"fairburn/report"
	"fairburn/report/reporttest"
	"fairburn/trial"
	"fairburn/verdict"
)

// demo is the page of the invented trial of the program's demo, changed by spoil.
func demo(t *testing.T, spoil func(*trial.Trial)) string {
	t.Helper()
	tr := reporttest.Demo()
	spoil(tr)
	r := tr.Reduce()
	var b bytes.Buffer
	if err := Page(&b, verdict.Judge(r), r, report.Options{Made: "25 November 2026"}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestAStrangerFindsWhatToDo(t *testing.T) {
	page := demo(t, func(*trial.Trial) {})
	for _, want := range []string{"How to repeat a trial", "invented data", "What to build or bring", "Tansy", "flame-out", "Order of burning", "a rolling boil, by eye",
		"Marks to set", "the flame takes", "repeat.toml", "Local rules", "efore each light", "Content-Security-Policy"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not hold %q", want)
		}
	}
	if strings.Contains(page, "style=\"") || strings.Contains(page, "src=") {
		t.Error("the page holds a style of its own or asks for a file")
	}
}

func TestWhatWasNotWrittenDownIsNamed(t *testing.T) {
	page := demo(t, func(tr *trial.Trial) {
		tr.Shelf.Pots, tr.Burns = nil, nil
	})
	for _, want := range []string{"Nothing but its name was written down", "Nothing was burned yet"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not hold %q", want)
		}
	}
}

func TestNamesStayText(t *testing.T) {
	const evil = `"><img src=x onerror=alert(1)>`
	page := demo(t, func(tr *trial.Trial) {
		tr.Title, tr.Entries[0].Pot, tr.Site.Name = evil, evil, evil
	})
	if strings.Contains(page, "<img") {
		t.Error("a name became markup")
	}
}

// As many blocks as were burned are planned anew, snuffed ones apart.
func TestTheRepeatIsAsLong(t *testing.T) {
	tr := reporttest.Demo()
	p, err := Proposal(tr.Reduce())
	if err != nil {
		t.Fatal(err)
	}
	snuffed := 0
	for _, s := range p.Plan.Slots {
		if s.Snuff {
			snuffed++
		}
	}
	if w := wish(tr); len(p.Plan.Slots) != 4*(w.Blocks+w.Snuffed) || snuffed != 4*w.Snuffed || w.Blocks+w.Snuffed < 8 || w.Snuffed < 4 {
		t.Errorf("%d burns with %d put out are planned for %+v", len(p.Plan.Slots), snuffed, w)
	}
}
