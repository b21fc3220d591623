package finding

import (
	"encoding/json"
	"testing"
)

func TestStringNamesThePlaceFirst(t *testing.T) {
	f := Finding{
		Code: "boil_before_light", Severity: Fault,
		Where:    Place{File: "t.toml", Line: 12, Column: 9, Subject: "burn 7", Field: "marks.boil"},
		Sentence: "boil at -0:10 lies before light", Remedy: "check the two marks",
	}
	want := "t.toml:12:9: burn 7: marks.boil: fault: boil at -0:10 lies before light; check the two marks"
	if got := f.String(); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got := (Place{Line: 3}).String(); got != "line 3" {
		t.Errorf("place without file: %q", got)
	}
}

func TestSeverityRoundTrip(t *testing.T) {
	for _, s := range []Severity{Note, Caution, Fault} {
		b, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var back Severity
		if err := json.Unmarshal(b, &back); err != nil || back != s {
			t.Errorf("%v -> %s -> %v, %v", s, b, back, err)
		}
	}
	var s Severity
	if err := json.Unmarshal([]byte(`"loud"`), &s); err == nil {
		t.Error("an unknown word was accepted")
	}
}

func TestSortWorstFirstThenPlace(t *testing.T) {
	fs := []Finding{
		{Code: "c", Severity: Note},
		{Code: "b", Severity: Fault, Where: Place{Line: 9}},
		{Code: "a", Severity: Fault, Where: Place{Line: 2}},
	}
	Sort(fs)
	if fs[0].Code != "a" || fs[1].Code != "b" || fs[2].Code != "c" {
		t.Errorf("order %v", fs)
	}
	if w, ok := Worst(fs); !ok || w != Fault {
		t.Errorf("worst %v %v", w, ok)
	}
	if _, ok := Worst(nil); ok {
		t.Error("an empty list has no worst")
	}
	if !Has(fs, "b") || Has(fs, "z") {
		t.Error("Has is wrong")
	}
}
