package words

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fairburn/quantity"
	"fairburn/report"
	"fairburn/report/reporttest"
)

// The questions, by a word of each. Source: comments and replies below published
// tests (common practice, no source).
var asked = []string{"Which", "boil?", "always", "ounces", "two cups", "repeat", "outdoors", "wind", "cold", "whole kit", "gas", "cost", "where do I get",
	"burn on a fill", "simmer", "wick", "put it out", "soot", "loud", "monoxide"}

func TestEveryQuestionIsAnswered(t *testing.T) {
	v, r := reporttest.Sample()
	answers := Answers(v, r, "")
	if len(answers) != len(asked) {
		t.Fatalf("%d answers to %d questions", len(answers), len(asked))
	}
	for i, a := range answers {
		if !strings.Contains(a.Question, asked[i]) || !strings.HasSuffix(a.Question, "?") {
			t.Errorf("question %d is %q, expected one about %q", i, a.Question, asked[i])
		}
		if a.Answer == "" || strings.Contains(a.String(), "%!") || strings.Contains(a.String(), "..") {
			t.Errorf("%s\n%s", a.Question, a)
		}
		if strings.HasPrefix(a.Answer, "Not tested") && !strings.Contains(a.Answer, "To test it: ") {
			t.Errorf("%s: not tested, and it is not said what would test it: %s", a.Question, a.Answer)
		}
	}
}

// An answer that states a burn's figure carries what it must not be read without.
func TestFiguresCarryTheirBasis(t *testing.T) {
	v, r := reporttest.Sample()
	figure := regexp.MustCompile(`interval [0-9]`)
	stated := 0
	for _, a := range Answers(v, r, "") {
		if !figure.MatchString(a.Answer) && !strings.Contains(a.Question, "two cups") {
			continue
		}
		stated++
		for _, need := range []string{"Burns: ", "no boil", "void", "Reference: ", "Station pressure: ", "Water boils here at: ", "Air: ", "Wind: ", "at the start: ",
			"Boil called by: ", "known by label", "95 % vol", "Pot: ", "Lid: "} {
			if !strings.Contains(a.String(), need) {
				t.Errorf("%s: %q is not said beside the figure: %s", a.Question, need, a)
			}
		}
	}
	if stated < 5 {
		t.Errorf("%d answers state figures, expected five or more", stated)
	}
}

// Both unit systems stand in each answer that has a mass, and every figure is one
// of the report's.
func TestFiguresAreTheReports(t *testing.T) {
	v, r := reporttest.Sample()
	answers := Answers(v, r, "")
	for i, columns := range map[int][]string{
		1: {"at reference", "95 % interval"}, 3: {"own fuel", "volume", "95 % interval"}, 4: {"own fuel", "volume", "least dose"}, 9: {"burner", "system"}, 13: {"burn time"},
	} {
		systems := []quantity.System{quantity.Metric, quantity.US}
		if i == 9 {
			systems = systems[:1] // masses of things stand in both anyway
		}
		for _, sys := range systems {
			for _, table := range report.EntryTables(v, r, sys) {
				checkColumns(t, answers[i], table, columns)
			}
		}
	}
	if !strings.Contains(answers[3].Answer, "oz") || !strings.Contains(answers[3].Answer, "fl oz") || !strings.Contains(answers[3].Answer, " g") {
		t.Errorf("fuel is not stated in both systems: %s", answers[3].Answer)
	}
}

func checkColumns(t *testing.T, a Answer, table report.Table, columns []string) {
	t.Helper()
	for c, column := range table.Columns {
		wanted := map[string]string{"own fuel": "fuel", "volume": "fuel", "at reference": "time", "least dose": "carry", "burner": "carry", "system": "carry", "burn time": "efficiency"}
		if !slices.Contains(columns, column.Head) || wanted[column.Head] != table.ID {
			continue
		}
		for _, row := range table.Rows {
			cell := strings.TrimPrefix(row.Cells[c], "about ")
			lines := strings.Split(a.Answer, "\n")
			if !slices.ContainsFunc(lines, func(l string) bool {
				return strings.HasPrefix(l, row.Cells[0]+": ") && strings.Contains(l, cell)
			}) {
				t.Errorf("%s: no line of %s says %q:\n%s", a.Question, row.Cells[0], cell, a.Answer)
			}
		}
	}
}

// Words that may not be said of any trial.
func TestNothingIsOverclaimed(t *testing.T) {
	barred := regexp.MustCompile(`(?i)\b(significant|proves?|proven|guaranteed?|certified|always boils|is safe|legal to|no difference\b[^ s]|outlier removed)\b`)
	for _, of := range []string{"sample", "few"} {
		v, r := reporttest.Sample()
		if of == "few" {
			v, r = reporttest.Few()
		}
		var all strings.Builder
		for _, a := range Answers(v, r, "") {
			all.WriteString(a.String() + "\n")
		}
		all.WriteString(describe(t, v, r, quantity.Metric, ""))
		text := strings.ReplaceAll(all.String(), report.Cautions()[5], "")
		text = strings.ReplaceAll(text, "whether any of this is safe or allowed where you are", "")
		if found := barred.FindString(text); found != "" {
			t.Errorf("%s: %q is said", of, found)
		}
	}
}

func TestFewBurnsAreNotAnswered(t *testing.T) {
	v, r := reporttest.Few()
	answers := Answers(v, r, "gas is lighter from day 9")
	if answers[0].Answer[:12] != "Too few burn" || !strings.Contains(answers[0].Answer, "What would settle the rest") {
		t.Errorf("%s", answers[0])
	}
	if answers[10].Answer != "gas is lighter from day 9" {
		t.Errorf("carry said nothing: %s", answers[10])
	}
	x := reporttest.Demo()
	x.Burns, x.Entries = nil, nil
	v, r = reporttest.Judged(x)
	for _, a := range Answers(v, r, "") {
		if strings.Contains(a.String(), "NaN") || a.Answer == "" {
			t.Errorf("%s\n%s", a.Question, a)
		}
	}
}

func TestNotesAndWind(t *testing.T) {
	x := reporttest.Demo()
	x.Shelf.Burners[0].Notes = "snuff it with the cup, then leave it"
	x.Site.WindWord, x.Burns = "breeze", x.Burns[:12]
	for i := range x.Burns {
		x.Burns[i].Site.WindWord = ""
	}
	v, r := reporttest.Judged(x)
	answers := Answers(v, r, "")
	if !strings.Contains(answers[16].Answer, "snuff it with the cup") {
		t.Errorf("the note on snuffing is not told: %s", answers[16])
	}
	if strings.HasPrefix(answers[7].Answer, "Not tested") || !strings.Contains(answers[7].Answer, "breeze") {
		t.Errorf("wind on record is not told: %s", answers[7])
	}
	for i := range r.Results { // nothing weighed, nothing timed
		r.Results[i].Void = "all void"
	}
	v.Axes, v.Boils = nil, nil
	for i := range v.Entries {
		v.Entries[i].Figures, v.Entries[i].Traits, v.Entries[i].SystemMass, v.Entries[i].LeastDose.Known = nil, nil, 0, false
	}
	for i, a := range Answers(v, r, "") {
		if slices.Contains([]int{1, 2, 3, 4, 9, 13, 14, 17}, i) && !strings.HasPrefix(a.Answer, "Not tested.") {
			t.Errorf("%s is answered from nothing: %s", a.Question, a.Answer)
		}
	}
}

func TestText(t *testing.T) {
	v, r := reporttest.Sample()
	var b bytes.Buffer
	if err := Text(&b, v, Answers(v, r, "")); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"ANSWERS: " + v.Title, report.InventedWords, "\nQ: What about carbon monoxide?\n", "\nBasis: ", report.Cautions()[0]} {
		if !strings.Contains(b.String(), part) {
			t.Errorf("the text lacks %q", part)
		}
	}
}
