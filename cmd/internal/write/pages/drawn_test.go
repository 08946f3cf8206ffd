package pages

import (
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night/nighttest"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// Each figure that a picture shows is the figure of the finding or the column that
// it illustrates: tyres, damp, the way from price to profit, the age of the stock.
func TestPicturesShowTheFiguresOfTheReports(t *testing.T) {
	s := newReport(nighttest.Demo(t), nil)
	tyres, cells, bars := 0, 0, 0
	for i := range s.Vans {
		v := &s.Vans[i]
		if plan := s.tyres(v.Assessment); plan != nil {
			for _, f := range v.Assessment.Findings {
				if !f.OfTyre() || f.Value == "" || !(f.IsTread() || f.IsTyreCode()) {
					continue
				}
				tyres++
				want := f.Value + " mm tread"
				if f.IsTyreCode() {
					// "6.2 years old (code 1020, …" is drawn as "6.2 years old".
					age, _, known := strings.Cut(f.Reason, " (code ")
					if want = "age unknown"; known {
						want = age
					}
				}
				if !slices.ContainsFunc(plan.Wheels, func(w wheel) bool {
					return slices.ContainsFunc(w.Lines, func(l tyreText) bool { return l.Text == want })
				}) {
					t.Errorf("%s: no wheel shows %q, which its finding says", v.StockID, want)
				}
			}
		}
		if m := s.dampMap(v.Assessment); m != nil {
			for _, p := range m.Panels {
				for _, c := range p.Cells {
					place, says, read := strings.Cut(c.Title, ": ")
					if !read || says == "not read" {
						continue
					}
					cells++
					found := v.Assessment.Findings
					k := slices.IndexFunc(found, func(f appraise.Finding) bool {
						return f.Code == appraise.DampCheckpoint && data.Title(f.Position) == place
					})
					if k < 0 || c.Text != shortValue(found[k].Value) {
						t.Errorf("%s: the map shows %s at %s", v.StockID, c.Text, place)
					}
				}
			}
		}
		if v.Margin == nil || !v.Margin.Known {
			continue
		}
		b := v.Margin.Breakdown
		got := waterfallOf("", b).Bars
		for k, amount := range []data.Money{b.Price, b.VAT.Neg(), b.Cost.Neg(), b.Prep.Neg(), b.Warranty.Neg(), b.Holding.Neg(), b.Selling.Neg(), b.Profit} {
			bars++
			if got[k].Figure != pounds(amount) {
				t.Errorf("%s: %s is drawn as %s, margin.csv has %s", v.StockID, got[k].Text, got[k].Figure, pounds(amount))
			}
		}
	}
	if tyres < 100 || cells < 100 || bars < 200 {
		t.Errorf("only %d tyres, %d damp readings and %d bars were drawn", tyres, cells, bars)
	}
}

func TestStockAgesAreThoseOfTheMargins(t *testing.T) {
	r := nighttest.Demo(t)
	var rows []*pricing.MarginRow
	for i := range r.Vans {
		if v := &r.Vans[i]; v.Status.InHand() {
			rows = append(rows, v.Margin)
		}
	}
	vans := 0
	for i, bar := range agesOf(rows).Bars {
		n := 0
		for _, row := range rows {
			if pricing.StockAges[i].Holds(row.DaysHeld) {
				n++
			}
		}
		vans += n
		if !strings.HasSuffix(bar.Text, ", "+count(n, "van")) {
			t.Errorf("%s, but margin.csv has %d", bar.Text, n)
		}
	}
	if vans != len(rows) {
		t.Errorf("%d of %d vans are in a band", vans, len(rows))
	}
}
