package csvout

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// finding is a row of the largest report.
type finding struct {
	stockID, checkpoint, position, value, unit, verdict, reason, job string
	cost                                                             data.Opt[data.Money]
}

var findings = New("findings.csv", []string{"stock_id", "checkpoint", "position"},
	Text("stock_id", func(f *finding) string { return f.stockID }),
	Text("checkpoint", func(f *finding) string { return f.checkpoint }),
	Text("position", func(f *finding) string { return f.position }),
	Value("value", func(f *finding) string { return f.value }),
	Text("unit", func(f *finding) string { return f.unit }),
	Text("verdict", func(f *finding) string { return f.verdict }),
	Text("reason", func(f *finding) string { return f.reason }),
	Text("job", func(f *finding) string { return f.job }),
	OptMoney("cost", func(f *finding) data.Opt[data.Money] { return f.cost }),
)

func manyFindings(n int) []*finding {
	all := make([]*finding, n)
	for i := range all {
		all[i] = &finding{
			fmt.Sprintf("KX-%05d", i), "damp", "offside-rear-low", fmt.Sprint(i % 40), "percent", "worn",
			"18 percent, and more than 15 asks for a second look", "damp-trace", data.Some(pounds("1249.50")),
		}
	}
	return all
}

const benchmarkRows = 10_000

func BenchmarkWrite(b *testing.B) {
	rows := manyFindings(benchmarkRows)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := findings.Write(io.Discard, slices.Values(rows)); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*benchmarkRows), "ns/row")
}

// BenchmarkPlainCSV is the yardstick: the same rows through encoding/csv, with
// no care for formulas.
func BenchmarkPlainCSV(b *testing.B) {
	rows := manyFindings(benchmarkRows)
	b.ReportAllocs()
	for b.Loop() {
		w := csv.NewWriter(io.Discard)
		for _, f := range rows {
			cost := data.FormatMoney(f.cost.Value)
			w.Write([]string{f.stockID, f.checkpoint, f.position, f.value, f.unit, f.verdict, f.reason, f.job, cost})
		}
		w.Flush()
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*benchmarkRows), "ns/row")
}

func BenchmarkReadBack(b *testing.B) {
	var text strings.Builder
	if _, err := findings.Write(&text, slices.Values(manyFindings(benchmarkRows))); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := ReadBack(strings.NewReader(text.String())); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*benchmarkRows), "ns/row")
}
