package paper

import (
	"io"
	"testing"
)

// BenchmarkWrite prints the demo's report.
func BenchmarkWrite(b *testing.B) {
	v, r := sample()
	for b.Loop() {
		if err := Write(io.Discard, v, r, options); err != nil {
			b.Fatal(err)
		}
	}
}
