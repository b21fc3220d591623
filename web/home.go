package web

import (
	"net/http"

	"fairburn/bench"
)

// home lists the trials, or says how to begin.
func (s *Site) home(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, "home.html", frame{Title: "Trials", Section: "trials", Live: "*", Body: struct {
		Trials []bench.Listed
		Open   []openBurn
	}{s.Bench.List(), s.openBurns()}})
}

// openBurn is a burn whose flame has not ended.
type openBurn struct{ Title, Burn string }

func (s *Site) openBurns() []openBurn { return nil }
