package appraise

import (
	"testing"

	"github.com/vanwright/vanwright/data"
)

// busyVan has 50 readings and the papers of a full history.
func busyVan(b *testing.B) ([]data.Reading, []data.Document) {
	books := builtIn(b)
	var readings []data.Reading
	for _, w := range wheelPlaces {
		readings = append(readings, read(tyreTread, w, 5), text(tyreCode, w, "1021"), read(tyreLoadIndex, w, 112))
	}
	for i, p := range dampPlaces {
		readings = append(readings, read(damp, p, float64(10+i)))
	}
	for _, c := range books.Checkpoints {
		if len(readings) < 50 && len(c.Positions) == 0 && c.Unit == "" {
			readings = append(readings, said(c.Code, "", data.Sound, ""))
		}
	}
	return readings, fullHistory(b)
}

func BenchmarkAssess(b *testing.B) {
	books, policy, van := builtIn(b), data.DefaultPolicy(), plainVan()
	readings, docs := busyVan(b)
	b.ReportMetric(float64(len(readings)), "readings")
	for b.Loop() {
		Assess(van, readings, docs, nil, books, policy, asOfTests)
	}
}
