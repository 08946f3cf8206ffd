package pages

import (
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/cmd/internal/write/workbook"
	"github.com/vanwright/vanwright/data"
)

// someChanges are changes as a night may bring them: a van came, one went, one
// was bought, and prices, bids and days moved.
func someChanges(r *night.Result) []tables.Change {
	var out []tables.Change
	change := func(id, what, before, after string) {
		out = append(out, tables.Change{StockID: id, What: what, Before: before, After: after})
	}
	queued := 0
	for i := range r.Vans {
		v := &r.Vans[i]
		switch {
		case v.Status == data.Offered && v.Bid.Known:
			change(v.StockID, changedBid, data.FormatMoney(v.Bid.MaxBid.Sub(data.Pounds(float64(50*i)))), data.FormatMoney(v.Bid.MaxBid))
		case !v.ReadyOn.IsZero() && (v.Status == data.Owned || v.Status == data.Preparing):
			queued++
			change(v.StockID, changedReady, v.ReadyOn.AddDays(queued-4).String(), v.ReadyOn.String())
			if queued == 1 {
				change(v.StockID, changedStatus, "", string(v.Status))
			}
		case v.Quote != nil && v.Quote.Price.Known:
			change(v.StockID, changedPrice, data.FormatMoney(v.Quote.Price.Value.Add(data.Pounds(500))), data.FormatMoney(v.Quote.Price.Value))
		}
	}
	change("GONE1", changedPrice, "31490.00", "")
	return out
}

func TestChangesInPlainWords(t *testing.T) {
	r := nighttest.Demo(t)
	find := func(is func(*night.Van) bool) *night.Van {
		t.Helper()
		for i := range r.Vans {
			if is(&r.Vans[i]) {
				return &r.Vans[i]
			}
		}
		t.Fatal("the demo yard has no such van")
		return nil
	}
	ready := find(func(v *night.Van) bool { return v.Status == data.Ready && v.Quote.Price.Known })
	queued := find(func(v *night.Van) bool { return v.Status == data.Preparing && !v.ReadyOn.IsZero() })
	offered := find(func(v *night.Van) bool { return v.Status == data.Offered })
	sold := find(func(v *night.Van) bool { return v.Status == data.Sold })
	for _, c := range []struct {
		fact, id, what, before, after string
		want                          []string
	}{
		{"a price that falls", ready.StockID, "prices.price", "31990.00", "31490.00", []string{"price £31,490, down £500"}},
		{"a price that rises", ready.StockID, "prices.price", "31490.00", "31990.00", []string{"price £31,990, up £500"}},
		{"a price that was not known", ready.StockID, "prices.price", "", "31990.00", []string{"price £31,990, was not known"}},
		{"a bid that can't be given any more", offered.StockID, "bids.max_bid", "20000.00", "", []string{"maximum bid not known, was £20,000"}},
		{"a van that is ready later", queued.StockID, "queue.ready_on", "2026-03-11", "2026-03-13", []string{"ready on 13 Mar 2026, 2 days later"}},
		{"a van that is ready sooner", queued.StockID, "queue.ready_on", "2026-03-12", "2026-03-11", []string{"ready on 11 Mar 2026, 1 day sooner"}},
		{"a van that can't be planned any more", queued.StockID, "queue.ready_on", "2026-03-12", "", []string{"can't be planned, was ready on 12 Mar 2026"}},
		{"a van that was bought", queued.StockID, "margin.status", "", "preparing", []string{"now preparing, was offered"}},
		{"a van that was sold", sold.StockID, "margin.status", "ready", "sold", []string{"now sold, was ready"}},
		{"a van that came", offered.StockID, "papers.history_score", "", "40", []string{"new: offered"}},
		{"a van that went", "GONE1", "bids.max_bid", "20000.00", "", []string{"no longer among the vans"}},
		{"a value that drifts is left to the table", ready.StockID, "prices.market_value", "31990.00", "31985.00", nil},
		{"a score that moves is left to the table", ready.StockID, "papers.history_score", "40", "45", nil},
		{"a price that ends with the sale", sold.StockID, "prices.price", "31490.00", "", nil},
	} {
		t.Run(c.fact, func(t *testing.T) {
			s := newReport(r, []tables.Change{{StockID: c.id, What: c.what, Before: c.before, After: c.after}})
			var says []string
			shown, more := s.changed()
			for _, v := range shown {
				says = append(says, v.Says...)
			}
			if !slices.Equal(says, c.want) || more != 0 {
				t.Errorf("got %q and %d more, want %q", says, more, c.want)
			}
		})
	}
}

// The weightiest come first, and no more than can be read over a coffee.
func TestChangesAreFewAndTheWeightiestFirst(t *testing.T) {
	r := nighttest.Demo(t)
	changes := someChanges(r)
	s := newReport(r, changes)
	shown, more := s.changed()
	all := map[string]bool{}
	for _, c := range changes {
		all[c.StockID] = true
	}
	if len(shown) != changedShown || len(shown)+more != len(all) {
		t.Errorf("%d vans shown and %d more, of %d that changed", len(shown), more, len(all))
	}
	if !slices.IsSortedFunc(shown, func(a, b changedVan) int { return b.most.Cmp(a.most) }) {
		t.Error("a change of fewer pounds stands before one of more")
	}
	if page := written(t, r)["index.html"].String(); !strings.Contains(page, `href="changes.csv"`) || !strings.Contains(page, "GONE1") {
		t.Error("the front page lacks the changes")
	}
}

// The front page names every table that a run writes.
func TestFrontPageNamesEveryTable(t *testing.T) {
	r := nighttest.Demo(t)
	m := nighttest.Folder{}
	if _, err := tables.Write(func(name string) (io.WriteCloser, error) { return m.Create(name) }, r, nil); err != nil {
		t.Fatal(err)
	}
	if err := workbook.Write(m.Create, r); err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{"run.json": true}
	m["run.json"] = nil
	for _, f := range reportFiles {
		named[f.Name] = true
		if _, ok := m[f.Name]; !ok {
			t.Errorf("the front page names %s, which no run writes", f.Name)
		}
	}
	for name := range m {
		if !named[name] {
			t.Errorf("the front page does not name %s", name)
		}
	}
}
