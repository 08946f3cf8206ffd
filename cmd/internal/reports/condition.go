package reports

import (
	"cmp"
	"iter"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/batch"
	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
)

// finding is a finding with the van that it belongs to.
type finding struct {
	*appraise.Finding
	stockID string
}

var findings = table.New("findings.csv", []string{"stock_id", "checkpoint", "position"},
	table.Text("stock_id", func(f finding) string { return f.stockID }),
	table.Text("checkpoint", func(f finding) string { return f.Code }),
	table.Text("position", func(f finding) string { return f.Position }),
	table.Value("value", func(f finding) string { return f.Value }),
	table.Text("unit", func(f finding) string { return f.Unit }),
	table.Text("verdict", func(f finding) string { return f.Verdict.String() }),
	table.Text("reason", func(f finding) string { return f.Reason }),
	table.Text("job", func(f finding) string { return f.Job }),
	table.Place("source", func(f finding) data.Source { return f.Source }),
	table.Date("taken_on", func(f finding) data.Date { return f.TakenOn }),
	table.Text("title", func(f finding) string { return f.Title }),
	table.Text("zone", func(f finding) string { return f.Zone }),
	table.Text("reference", func(f finding) string { return f.whereWanting(f.Reference) }),
	table.Text("caution", func(f finding) string { return f.whereWanting(f.Caution) }),
)

// whereWanting leaves out of a sound point what stands in the checkpoint book for
// whoever asks: a large yard has a million of them, and nothing is to be done.
func (f finding) whereWanting(text string) string {
	if f.Verdict == data.Sound {
		return ""
	}
	return text
}

// findingsOf walks the findings of some vans.
func findingsOf(vans []batch.Van) iter.Seq[finding] {
	return func(yield func(finding) bool) {
		for i := range vans {
			found := vans[i].Assessment.Findings
			for k := range found {
				if !yield(finding{&found[k], vans[i].StockID}) {
					return
				}
			}
		}
	}
}

// untested is a point that was not tested, with its van.
type untested struct {
	*appraise.Untested
	stockID string
}

var notTested = table.New("untested.csv", []string{"stock_id", "checkpoint"},
	table.Text("stock_id", func(u untested) string { return u.stockID }),
	table.Text("checkpoint", func(u untested) string { return u.Checkpoint }),
	table.Text("title", func(u untested) string { return u.Title }),
	table.Text("system", func(u untested) string { return u.System }),
	table.Decimal("chance_pct", 1, func(u untested) decimal.Decimal { return data.PercentOf(u.Chance, 1) }),
	table.Text("job", func(u untested) string { return u.Job }),
)

// untestedRows are of the vans that are not sold: what was never tested on a
// sold van asks nobody for anything.
func untestedRows(r *batch.Result) iter.Seq[untested] {
	return func(yield func(untested) bool) {
		for v := range vans(r) {
			if v.Status == data.Sold {
				continue
			}
			points := slices.Clone(v.Assessment.Untested) // in the order of the checkpoint book
			slices.SortStableFunc(points, func(a, b appraise.Untested) int { return cmp.Compare(a.Checkpoint, b.Checkpoint) })
			for i := range points {
				if !yield(untested{&points[i], v.StockID}) {
					return
				}
			}
		}
	}
}

var papers = table.New("papers.csv", []string{"stock_id"},
	table.Text("stock_id", func(v *batch.Van) string { return v.StockID }),
	table.Int("history_score", func(v *batch.Van) int { return v.Assessment.Papers.HistoryScore }),
	table.Decimal("engine_history_pct", 1, func(v *batch.Van) decimal.Decimal {
		return data.PercentOf(v.Assessment.Papers.EngineHistoryPct/100, 1)
	}),
	table.Decimal("habitation_history_pct", 1, func(v *batch.Van) decimal.Decimal {
		return data.PercentOf(v.Assessment.Papers.HabitationHistoryPct/100, 1)
	}),
	table.Date("mot_expires", func(v *batch.Van) data.Date { return v.Assessment.Papers.MOTExpires }),
	table.Date("belt_due", func(v *batch.Van) data.Date { return v.Assessment.Papers.BeltDue }),
	table.List("missing", func(v *batch.Van) []string { return v.Assessment.Papers.Missing }),
	table.Text("mileage_check", func(v *batch.Van) string { return string(v.Assessment.Papers.Mileage) }),
	table.List("provenance_notes", func(v *batch.Van) []string { return texts(v.Assessment.Papers.Provenance) }),
	table.List("promised", func(v *batch.Van) []string { return v.Assessment.Papers.Promised }),
	table.List("expiring", func(v *batch.Van) []string {
		var out []string
		for _, e := range v.Assessment.Papers.Expiring {
			out = append(out, e.On.String()+":"+e.What)
		}
		return out
	}),
	table.List("identity_notes", func(v *batch.Van) []string { return texts(v.Assessment.Identity) }),
	table.Text("maker", func(v *batch.Van) string { return v.Maker }),
	table.Text("model", func(v *batch.Van) string { return v.Model }),
)

func texts(notes []appraise.Note) []string {
	out := make([]string, len(notes))
	for i, n := range notes {
		out[i] = n.Text
	}
	return out
}

// vans walks the vans by stock_id.
func vans(r *batch.Result) iter.Seq[*batch.Van] {
	return vansWhere(r, func(*batch.Van) bool { return true })
}

func vansWhere(r *batch.Result, keep func(*batch.Van) bool) iter.Seq[*batch.Van] {
	return func(yield func(*batch.Van) bool) {
		for i := range r.Vans {
			if v := &r.Vans[i]; keep(v) && !yield(v) {
				return
			}
		}
	}
}
