package paper

import (
	"io"
	"testing"

	"fairburn/report/reporttest"
)

// BenchmarkWrite prints the demo's report.
func BenchmarkWrite(b *testing.B) {
	v, r := reporttest.Sample()
	for b.Loop() {
		if err := Write(io.Discard, v, r, options); err != nil {
			b.Fatal(err)
		}
	}
}
