package report

import (
	"testing"

	"fairburn/finding"
)

func about(code, burn, field, sentence string, severity finding.Severity) finding.Finding {
	return finding.Finding{Code: code, Severity: severity, Where: finding.Place{Subject: burn, Field: field}, Sentence: sentence, Remedy: "do it"}
}

func TestAlikeFindingsAreGathered(t *testing.T) {
	got := Group([]finding.Finding{
		about("prorated", "burn 10", "fuel", "same", finding.Note),
		about("late", "burn 2", "marks.boil", "65 s late", finding.Caution),
		about("prorated", "burn 2", "fuel", "same", finding.Note),
		about("prorated", "burn 2", "water", "same", finding.Note),
		about("late", "burn 1", "marks.boil", "70 s late", finding.Caution),
		about("late", "burn 1", "marks.boil", "70 s late", finding.Note),
		about("unfair", "trial", "", "so", finding.Caution),
		about("unfair", "trial", "", "and so", finding.Caution),
	})
	want := []string{
		"burns 2 and 10: fuel: note: same; do it [prorated]",
		"burns 1 and 2: marks.boil: caution: 65 s late (so in burn 2; the others alike); do it [late]",
		"burn 2: water: note: same; do it [prorated]",
		"burn 1: marks.boil: note: 70 s late; do it [late]",
		"trial: caution: so; do it [unfair]",
		"trial: caution: and so; do it [unfair]",
	}
	if len(got) != len(want) {
		t.Fatalf("%d groups, expected %d: %v", len(got), len(want), got)
	}
	for i := range want {
		if got[i].String() != want[i] {
			t.Errorf("%q, expected %q", got[i], want[i])
		}
	}
}
