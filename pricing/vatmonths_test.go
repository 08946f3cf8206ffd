package pricing

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// A van sold under the margin scheme: (36,000 − 30,000) / 6 = 1,000. A qualifying
// one bought at 24,000 in January and sold at 30,000 in March: input VAT 4,000,
// output 5,000.
func TestVATByMonthAndScheme(t *testing.T) {
	asOf := data.NewDate(2026, 3, 31)
	some := func(s string) data.Opt[data.Money] { return data.Some(pounds(s)) }
	day := func(month, day int) data.Date { return data.NewDate(2026, 1, day).AddMonths(month - 1) }
	vans := []data.Van{
		{StockID: "A", Status: data.Sold, VAT: data.MarginScheme, Acquired: day(1, 5), Cost: some("30000"), SoldOn: day(3, 2), SoldPrice: some("36000")},
		{StockID: "B", Status: data.Sold, VAT: data.Qualifying, Acquired: day(1, 31), Cost: some("24000"), SoldOn: day(3, 20), SoldPrice: some("30000")},
		{StockID: "C", Status: data.Owned, VAT: data.Qualifying, Acquired: day(3, 1), Cost: some("12000")},
		{StockID: "D", Status: data.Sold, VAT: data.MarginScheme, Acquired: day(1, 5), Cost: some("36000"), SoldOn: day(3, 9), SoldPrice: some("35000")},
		{StockID: "E", Status: data.Ready, VAT: data.MarginScheme, Acquired: day(1, 5), Cost: some("36000")},
		{StockID: "F", Status: data.Sold, VAT: data.MarginScheme, VATDoubt: true, Acquired: day(1, 5), Cost: some("30000"), SoldOn: day(2, 9), SoldPrice: some("36000")},
	}
	var rows []*MarginRow
	for _, v := range vans {
		row := Margin(appraise.Assessment{Van: v}, nil, nil, Quote{}, data.DefaultPolicy(), asOf)
		rows = append(rows, &row)
	}
	type month struct {
		Month, Scheme, Output, Input, Margin string
		Sales                                int
	}
	var got []month
	for _, m := range VATMonths(rows) {
		got = append(got, month{m.Month.String(), string(m.Scheme), data.FormatMoney(m.Output), data.FormatMoney(m.Input), data.FormatMoney(m.Margin), m.Sales})
	}
	want := []month{
		{"2026-01-01", "qualifying", "0.00", "4000.00", "0.00", 0},
		{"2026-02-01", "qualifying", "6000.00", "0.00", "0.00", 1},
		{"2026-03-01", "margin", "0.00", "0.00", "1000.00", 2},
		{"2026-03-01", "qualifying", "5000.00", "2000.00", "0.00", 1},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}
