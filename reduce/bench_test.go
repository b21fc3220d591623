package reduce

import "testing"

// BenchmarkReduce is one burn with its budget, without a trace: the bar is 50 µs.
func BenchmarkReduce(b *testing.B) {
	r, s := exampleA()
	s = s.Prepared()
	b.ReportAllocs()
	for b.Loop() {
		Reduce(r, s)
	}
}

// BenchmarkReduceAlone looks fuel, pot and reference up again each time.
func BenchmarkReduceAlone(b *testing.B) {
	r, s := exampleA()
	for b.Loop() {
		Reduce(r, s)
	}
}
