package tables

import (
	"cmp"
	"fmt"
	"io/fs"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
)

// Change is something about a van that differs from the reports before.
type Change struct {
	StockID string
	What    string // report and column, as in prices.price
	Before  string
	After   string
	Why     string // of a job that moved: the reason
	Cause   string // of a job that moved: the reason that it shares with others
}

var changes = csvout.New("changes.csv", []string{"stock_id", "what"},
	csvout.Text("stock_id", func(c Change) string { return c.StockID }),
	csvout.Text("what", func(c Change) string { return c.What }),
	csvout.Value("before", func(c Change) string { return c.Before }),
	csvout.Value("after", func(c Change) string { return c.After }),
	csvout.Text("why", func(c Change) string { return c.Why }),
	csvout.Text("cause", func(c Change) string { return c.Cause }),
)

var rejects = csvout.New("rejects.csv", []string{"file", "line"},
	csvout.Text("file", func(r data.Reject) string { return r.File }),
	csvout.Int("line", func(r data.Reject) int { return r.Line }),
	csvout.Text("column", func(r data.Reject) string { return r.Column }),
	csvout.Value("value", func(r data.Reject) string { return r.Value }),
	csvout.Text("expected", func(r data.Reject) string { return r.Expected }),
	csvout.Text("row", func(r data.Reject) string { return r.Row }),
	csvout.Text("also", func(r data.Reject) string { return r.Also }),
	csvout.Text("rule", func(r data.Reject) string { return r.Rule }),
)

// watched says what is compared: for each report the columns, and how the new
// value is had from a van.
var watched = []struct {
	report, column string
	after          func(*night.Result, *night.Van) string
}{
	{"margin.csv", "status", func(_ *night.Result, v *night.Van) string {
		if v.Margin == nil {
			return ""
		}
		return string(v.Status)
	}},
	{"margin.csv", "profit", func(_ *night.Result, v *night.Van) string {
		if v.Margin == nil || !v.Margin.Known {
			return ""
		}
		return data.FormatMoney(v.Margin.Breakdown.Profit)
	}},
	{"prices.csv", "market_value", func(_ *night.Result, v *night.Van) string {
		if v.Quote == nil {
			return ""
		}
		return optMoney(v.Quote.Market)
	}},
	{"prices.csv", "price", func(_ *night.Result, v *night.Van) string {
		if v.Quote == nil {
			return ""
		}
		return optMoney(v.Quote.Price)
	}},
	{"bids.csv", "max_bid", func(_ *night.Result, v *night.Van) string {
		if v.Bid == nil || !v.Bid.Known {
			return ""
		}
		return data.FormatMoney(v.Bid.MaxBid)
	}},
	{"queue.csv", "ready_on", func(_ *night.Result, v *night.Van) string {
		if v.Status != data.Owned && v.Status != data.Preparing {
			return ""
		}
		return v.ReadyOn.String()
	}},
	{"papers.csv", "history_score", func(_ *night.Result, v *night.Van) string {
		return fmt.Sprint(v.Assessment.Papers.HistoryScore)
	}},
}

func optMoney(m data.Opt[data.Money]) string {
	if !m.Known {
		return ""
	}
	return data.FormatMoney(m.Value)
}

// Changes compares the result with the reports in old, by stock_id and column.
// A report that is not there or can't be read has nothing to compare with. old
// may be nil: there were no reports.
func Changes(r *night.Result, old fs.FS) []Change {
	if old == nil {
		return nil
	}
	out := moved(r)
	for _, w := range watched {
		before, ok := column(old, w.report, w.column)
		if !ok {
			continue
		}
		what := w.report[:len(w.report)-len(".csv")] + "." + w.column
		for i := range r.Vans {
			v := &r.Vans[i]
			after := w.after(r, v)
			if was := before[v.StockID]; was != after {
				out = append(out, Change{StockID: v.StockID, What: what, Before: was, After: after})
			}
			delete(before, v.StockID)
		}
		for stockID, was := range before {
			if was != "" {
				out = append(out, Change{StockID: stockID, What: what, Before: was})
			}
		}
	}
	slices.SortFunc(out, func(a, b Change) int {
		return cmp.Or(cmp.Compare(a.StockID, b.StockID), cmp.Compare(a.What, b.What))
	})
	return out
}

// column reads one column of an old report by stock_id.
func column(old fs.FS, report, name string) (map[string]string, bool) {
	f, err := old.Open(report)
	if err != nil {
		return nil, false
	}
	defer f.Close()
	records, err := csvout.ReadBack(f)
	if err != nil {
		return nil, false
	}
	cells := map[string]string{}
	for _, rec := range records {
		if !rec.Has(name) {
			return nil, false
		}
		cells[rec.Get("stock_id")] = rec.Get(name)
	}
	return cells, true
}
