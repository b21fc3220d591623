package web

import (
	"net/http"

	"fairburn/bench"
)

// home lists the trials, or says how to begin.
func (s *Site) home(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, "home.html", frame{Title: "Trials", Section: "trials", Live: "*", Body: struct {
		Trials []bench.Listed
		Open   []bench.Burning
	}{s.Bench.List(), s.Bench.Burning()}})
}
