package pages

import "testing"

// BenchmarkWrite is one run of the demo yard's pages.
func BenchmarkWrite(b *testing.B) {
	r := demoYard(b)
	pages := 0
	for b.Loop() {
		m := written(b, r)
		pages = len(m)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*pages), "µs/page")
}
