package web

import (
	"strings"
	"testing"
	"time"

	"fairburn/carry"
	"fairburn/quantity"
	"fairburn/report"
)

func TestPieces(t *testing.T) {
	s := newSite(t)
	walk(t, s, "weekend.toml", "ten-days.toml")
	for _, title := range []string{weekend, cold} {
		b := time.Now()
		lap := func(what string) { t.Log(what, time.Since(b)); b = time.Now() }
		v, err := s.tripNamed(title)
		if err != nil {
			t.Fatal(err)
		}
		lap("view")
		for _, wind := range []carry.Wind{"breeze", "gale", "wind"} {
			x := v.Trip.Trip
			x.Legs = append([]carry.Leg{}, x.Legs...)
			for i := range x.Legs {
				x.Legs[i].Wind = wind
			}
			c := report.Carry{}
			c.Answer, _ = v.planner.Choose(t.Context(), x, v.shelf, nil)
			lap("choose")
			html(func(w *strings.Builder) error { return report.CarryBody(w, c, report.Options{System: quantity.Metric}) })
			lap("body")
			c.Sweep, _ = v.planner.Sweep(t.Context(), x, v.shelf, 14, nil)
			lap("sweep")
			c.Drivers, _ = v.planner.Drive(t.Context(), x, v.shelf, nil)
			lap("drive")
			html(func(w *strings.Builder) error { return report.CarryBody(w, c, report.Options{System: quantity.Metric}) })
			lap("body")
			t.Log(len(c.Answer.Kits), c.Answer.Among)
		}
	}
}
