package web

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"fairburn/trial"
)

// TestTheBurnerThatIsColdComesNext follows a plan of two burners whose second burn
// of the first comes at once.
func TestTheBurnerThatIsColdComesNext(t *testing.T) {
	s := emptySite(t)
	now := time.Date(2026, 5, 1, 10, 0, 0, 0, time.UTC)
	s.Now = func() time.Time { return now }
	unburned(t, s, trial.Slot{Entry: "Tansy", Block: "1"}, trial.Slot{Entry: "Tansy", Block: "2"}, trial.Slot{Entry: "Sorrel", Block: "2"})
	next := func() nextBurn {
		t.Helper()
		v, err := s.view(demoTitle)
		if err != nil {
			t.Fatal(err)
		}
		n, err := s.next(v)
		if err != nil || n == nil {
			t.Fatal(n, err)
		}
		return *n
	}
	if n := next(); n.Entry != "Tansy" || n.Block != "1" || n.Before != "" {
		t.Errorf("first comes %+v", n)
	}
	ready(t, s, 1, "Tansy")
	if n := next(); n.Entry != "Sorrel" || n.Before != "Tansy" || n.BeforeAt != 1 {
		t.Errorf("beside a burning Tansy comes %+v", n)
	}
	w := get(t, s, at("trial", demoTitle, "setup")+"?station=2")
	if body := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(body, "Sorrel") || !strings.Contains(body, "Block 2") {
		t.Errorf("the form for station 2: %d %s", w.Code, body)
	}
	ready(t, s, 2, "Sorrel")
	if n := next(); n.Entry != "Tansy" || n.UsedAt != 1 || n.Until != 0 {
		t.Errorf("while both are in use comes %+v", n)
	}
	pressed(t, s, "["+pressOf(s, 1, "light", "")+","+pressOf(s, 2, "snuffed", "")+"]")
	if n := next(); n.Entry != "Tansy" || n.UsedAt != 0 || n.Until <= now.UnixMilli() {
		t.Errorf("while Tansy cools comes %+v", n)
	}
	now = now.Add(time.Hour)
	if n := next(); n.Entry != "Tansy" || n.Block != "2" || n.Until != 0 {
		t.Errorf("an hour later comes %+v", n)
	}
}
