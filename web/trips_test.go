package web

import (
	"net/http"
	"net/url"
	"os"
	"testing"
	"time"

	"fairburn/sheet"
)

const (
	weekend = "A summer weekend"
	cold    = "Ten cold days for two"
)

// walk puts an example of the documents on the bench of a site.
func walk(t testing.TB, s *Site, names ...string) {
	t.Helper()
	for _, name := range names {
		data, err := os.ReadFile("../docs/examples/" + name)
		if err != nil {
			t.Fatal(err)
		}
		x, fs, err := sheet.ReadTrip(name, data)
		if err != nil || len(fs) > 0 {
			t.Fatal(err, fs)
		}
		if _, _, err := s.Bench.PutTrip(t.Context(), x, nil); err != nil {
			t.Fatal(err)
		}
	}
}

func TestTime(t *testing.T) {
	s := newSite(t)
	walk(t, s, "weekend.toml", "ten-days.toml")
	for _, title := range []string{weekend, cold} {
		b := time.Now()
		page(t, s, at("trip", title))
		t.Log(time.Since(b))
		for _, q := range []string{"days=5", "days=7", "days=7&people=3", "wind=gale", "wind=still", "reserve=2+%25+dry", "choose=waiting"} {
			b := time.Now()
			w := get(t, s, at("trip", title, "answer")+"?"+q)
			t.Log(q, time.Since(b), w.Code, w.Body.Len())
		}
	}
	_ = url.Values{}
	_ = http.StatusOK
}
