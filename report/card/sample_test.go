package card

import (
	"os"
	"sync"
	"testing"

	"fairburn/sheet"
	"fairburn/trial"
	"fairburn/verdict"
)

// demo reads the program's own invented trial.
func demo(t testing.TB) *trial.Trial {
	t.Helper()
	data, err := os.ReadFile("../../cmd/fairburn/demo.toml")
	if err != nil {
		t.Fatal(err)
	}
	x, _, err := sheet.Read("demo.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func judged(x *trial.Trial) (*verdict.Verdict, *trial.Reduced) {
	r := x.Reduce()
	return verdict.Judge(r), r
}

var once sync.Once
var demoVerdict *verdict.Verdict
var demoReduced *trial.Reduced

// sample is the demo judged, once for all tests that only read it.
func sample(t testing.TB) (*verdict.Verdict, *trial.Reduced) {
	once.Do(func() { demoVerdict, demoReduced = judged(demo(t)) })
	return demoVerdict, demoReduced
}
