package tables

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
)

// finding is a finding with the van that it belongs to.
type finding struct {
	*appraise.Finding
	stockID string
}

var findings = csvout.New("findings.csv", []string{"stock_id", "checkpoint", "position"},
	csvout.Text("stock_id", func(f finding) string { return f.stockID }),
	csvout.Text("checkpoint", func(f finding) string { return f.Code }),
	csvout.Text("position", func(f finding) string { return f.Position }),
	csvout.Value("value", func(f finding) string { return f.Value }),
	csvout.Text("unit", func(f finding) string { return f.Unit }),
	csvout.Text("verdict", func(f finding) string { return f.Verdict.String() }),
	csvout.Text("reason", func(f finding) string { return f.Reason }),
	csvout.Text("job", func(f finding) string { return f.Job }),
	csvout.Place("source", func(f finding) data.Source { return f.Source }),
	csvout.Date("taken_on", func(f finding) data.Date { return f.TakenOn }),
	csvout.Text("title", func(f finding) string { return f.Title }),
	csvout.Text("zone", func(f finding) string { return f.Zone }),
	csvout.Text("reference", func(f finding) string { return f.whereWanting(f.Reference) }),
	csvout.Text("caution", func(f finding) string { return f.whereWanting(f.Caution) }),
)

// whereWanting leaves out of a sound point what stands in the checkpoint book: a
// large yard has a million of them, and nothing is to be done.
func (f finding) whereWanting(text string) string {
	if f.Verdict == data.Sound {
		return ""
	}
	return text
}

// findings walks the findings of all vans.
func (f found) findings(yield func(finding) bool) {
	for v := range f.allVans {
		for k := range v.Assessment.Findings {
			if !yield(finding{&v.Assessment.Findings[k], v.StockID}) {
				return
			}
		}
	}
}

// untested is a point that was not tested, with its van.
type untested struct {
	*appraise.Untested
	stockID string
}

var notTested = csvout.New("untested.csv", []string{"stock_id", "checkpoint"},
	csvout.Text("stock_id", func(u untested) string { return u.stockID }),
	csvout.Text("checkpoint", func(u untested) string { return u.Checkpoint }),
	csvout.Text("title", func(u untested) string { return u.Title }),
	csvout.Text("system", func(u untested) string { return u.System }),
	csvout.Decimal("chance_pct", 1, func(u untested) decimal.Decimal { return data.PercentOf(u.Chance, 1) }),
	csvout.Text("job", func(u untested) string { return u.Job }),
)

// untested are of the vans that are not sold: what was never tested on a
// sold van asks for nothing.
func (f found) untested(yield func(untested) bool) {
	for v := range f.allVans {
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

var papers = csvout.New("papers.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(v *night.Van) string { return v.StockID }),
	csvout.Int("history_score", func(v *night.Van) int { return v.Assessment.Papers.HistoryScore }),
	csvout.Decimal("engine_history_pct", 1, func(v *night.Van) decimal.Decimal {
		return data.PercentOf(v.Assessment.Papers.EngineHistoryPct/100, 1)
	}),
	csvout.Decimal("habitation_history_pct", 1, func(v *night.Van) decimal.Decimal {
		return data.PercentOf(v.Assessment.Papers.HabitationHistoryPct/100, 1)
	}),
	csvout.Date("mot_expires", func(v *night.Van) data.Date { return v.Assessment.Papers.MOTExpires }),
	csvout.Date("belt_due", func(v *night.Van) data.Date { return v.Assessment.Papers.BeltDue }),
	csvout.List("missing", func(v *night.Van) []string { return v.Assessment.Papers.Missing }),
	csvout.Text("mileage_check", func(v *night.Van) string { return string(v.Assessment.Papers.Mileage) }),
	csvout.List("provenance_notes", func(v *night.Van) []string { return texts(v.Assessment.Papers.Provenance) }),
	csvout.List("promised", func(v *night.Van) []string { return v.Assessment.Papers.Promised }),
	csvout.List("expiring", func(v *night.Van) []string {
		var out []string
		for _, e := range v.Assessment.Papers.Expiring {
			out = append(out, e.On.String()+":"+e.What)
		}
		return out
	}),
	csvout.List("identity_notes", func(v *night.Van) []string { return texts(v.Assessment.Identity) }),
	csvout.Text("maker", func(v *night.Van) string { return v.Maker }),
	csvout.Text("model", func(v *night.Van) string { return v.Model }),
)

func texts(notes []appraise.Note) []string {
	out := make([]string, len(notes))
	for i, n := range notes {
		out[i] = n.Text
	}
	return out
}

// allVans walks the vans by stock_id.
func (f found) allVans(yield func(*night.Van) bool) {
	for i := range f.Vans {
		if !yield(&f.Vans[i]) {
			return
		}
	}
}

// vansWhere walks the vans that keep accepts.
func vansWhere(keep func(*night.Van) bool) func(found, func(*night.Van) bool) {
	return func(f found, yield func(*night.Van) bool) {
		for v := range f.allVans {
			if keep(v) && !yield(v) {
				return
			}
		}
	}
}
