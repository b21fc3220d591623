package report

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairburn/plan"
	"fairburn/quantity"
	"fairburn/trial"
	"fairburn/verdict"
)

// Where every number is finite the writer agrees with encoding/json.
func TestJSONAgreesWithTheStandardLibrary(t *testing.T) {
	v, r := sample()
	plain := *v
	plain.Boils = nil // holds no infinite median
	plain.Axes = v.Axes[1:]
	var got bytes.Buffer
	if err := encode(&got, reflect.ValueOf(plain)); err != nil {
		t.Fatal(err)
	}
	want, err := json.Marshal(plain)
	if err != nil {
		t.Fatal(err)
	}
	var a, b any
	if json.Unmarshal(got.Bytes(), &a) != nil || json.Unmarshal(want, &b) != nil || !reflect.DeepEqual(a, b) {
		t.Errorf("got %s\nwant %s", got.Bytes(), want)
	}
	var whole bytes.Buffer
	if err := JSON(&whole, v, r); err != nil {
		t.Fatal(err)
	}
	var document struct {
		Verdict struct{ Sentence string }
		Burns   []map[string]any
	}
	if err := json.Unmarshal(whole.Bytes(), &document); err != nil {
		t.Fatal(err)
	}
	if document.Verdict.Sentence != v.Sentence || len(document.Burns) != len(r.Results) {
		t.Errorf("sentence %q and %d burns, expected %q and %d", document.Verdict.Sentence, len(document.Burns), v.Sentence, len(r.Results))
	}
}

// Every number of a verdict may be missing or endless and the text stays JSON.
func TestJSONIsValidWhateverTheNumbers(t *testing.T) {
	_, r := sample()
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		v, _ := judged(invented())
		spoil(reflect.ValueOf(v).Elem(), bad)
		var b bytes.Buffer
		if err := JSON(&b, v, r); err != nil {
			t.Fatal(err)
		}
		if !json.Valid(b.Bytes()) || strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
			t.Errorf("not JSON with %g everywhere", bad)
		}
	}
	var empty bytes.Buffer
	if err := JSON(&empty, &verdict.Verdict{Title: hostile}, r); err != nil || !json.Valid(empty.Bytes()) {
		t.Errorf("an empty verdict: %v", err)
	}
}

// spoil sets every float below v.
func spoil(v reflect.Value, to float64) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(to)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				spoil(v.Field(i), to)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(v.Index(i), to)
		}
	}
}

// The plan's keys are spelled like all others, and its times are seconds.
func TestPlanJSON(t *testing.T) {
	p := &plan.Proposal{
		Plan:    trial.Plan{Seed: 7, CoolDown: 10 * time.Minute, Slots: []trial.Slot{{Order: 1, Block: "1", Entry: hostile, Snuff: true}}},
		Needed:  plan.Needed{Difference: 0.05, DF: math.NaN()},
		Session: plan.Session{Length: 90 * time.Second, Water: 500 * quantity.Gram, Fuel: []plan.FuelNeed{{Batch: "bottle", Unknown: 1}}},
	}
	var b bytes.Buffer
	if err := PlanJSON(&b, p, nil); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"cool_down_s": 600,`, `"length_s": 90,`, `"water_kg": 0.5,`, `"df": null,`, `"snuff": true`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in %s", want, b.String())
		}
	}
	if key := regexp.MustCompile(`(?m)^ *"[^"]*[A-Z][^"]*":`).FindString(b.String()); key != "" || !json.Valid(b.Bytes()) {
		t.Errorf("key %s, or no JSON", key)
	}
}
