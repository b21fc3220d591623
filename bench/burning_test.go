package bench

import (
	"slices"
	"testing"
	"time"

	"fairburn/journal/journaltest"
)

// A flame burns from light to out or snuffed; an end that was taken back is none.
func TestBurning(t *testing.T) {
	b := open(t, journaltest.NewMemory(), tester(1, "Fern"))
	take(t, b, ring, Refuse)
	at := time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)
	press := func(nonce, what, back string) {
		t.Helper()
		p := Press{Nonce: nonce, Title: "Ring", Burn: "1", What: what, At: at, Pressed: at, TakesBack: back}
		if err := b.Press(t.Context(), []Press{p}); err != nil {
			t.Fatal(err)
		}
	}
	const light, out, undo = "00000000000000000000000000000001", "00000000000000000000000000000002", "00000000000000000000000000000003"
	for _, step := range []struct {
		nonce, what, back string
		burns             []Burning
	}{
		{light, "light", "", []Burning{{"Ring", "1"}}},
		{out, "snuffed", "", nil},
		{undo, "snuffed", out, []Burning{{"Ring", "1"}}},
	} {
		press(step.nonce, step.what, step.back)
		if got := b.Burning(); !slices.Equal(got, step.burns) {
			t.Errorf("after %s: burning %v, expected %v", step.what, got, step.burns)
		}
	}
}
