package web

import (
	"net/http"
	"net/http/httptest"
	"runtime"
	"testing"
)

// BenchmarkKeptViews reports how much memory the trials hold that stay worked out,
// each with all its pages, in both units: 40 burns a trial.
func BenchmarkKeptViews(b *testing.B) {
	site, titles := bigSite(b, kept, 40)
	heap := func() float64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc) / 1e6
	}
	for _, title := range titles {
		page(b, site, at("trial", title)) // bodies of records are read, and stay with the bench
	}
	site.views.list = nil
	before := heap()
	for _, title := range titles {
		for _, more := range []string{"", "verdict", "plan", "bench"} {
			path := at("trial", title)
			if more != "" {
				path += "/" + more
			}
			for _, units := range []string{"metric", "us"} {
				r := httptest.NewRequestWithContext(b.Context(), http.MethodGet, path, nil)
				r.AddCookie(&http.Cookie{Name: unitsCookie, Value: units})
				if w := ask(site, r); w.Code != http.StatusOK {
					b.Fatal(path, w.Code)
				}
			}
		}
		for _, id := range []string{"1", "2", "3", "4", "5", "6", "7", "8"} {
			page(b, site, at("trial", title, "burn", id))
		}
	}
	b.ReportMetric(heap()-before, "MB")
	b.ReportMetric((heap()-before)/kept, "MB/trial")
	runtime.KeepAlive(site)
}
