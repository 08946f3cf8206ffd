package pricing

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Of the 40 days that a van was held and those that it has still to stand, each
// costs its pitch, 10 here, and nothing else: worked by hand.
func TestTheDaysOfAMargin(t *testing.T) {
	policy := bare("0")
	policy.PitchCostPerDay = pounds("10")
	quote := Quote{
		Price: data.Some(pounds("24000")), ExpectedSale: data.Some(pounds("25000")),
		DaysToSell: data.Some(70), AtAsking: &Outlook{Days: 12},
	}
	advised := quote
	advised.ExpectedSale = data.Opt[data.Money]{}
	unasked := quote
	unasked.AtAsking = nil
	tests := []struct {
		name    string
		van     data.Van
		quote   Quote
		basis   PriceBasis
		held    int
		toSell  int
		holding string
	}{
		{"at its asking price", data.Van{Status: data.Ready, Acquired: marketDay.AddDays(-40)}, quote, OnExpected, 40, 12, "520"},
		{"at the advised price", data.Van{Status: data.Ready, Acquired: marketDay.AddDays(-40)}, advised, OnAdvised, 40, 70, "1100"},
		{"expected, with no outlook at its price", data.Van{Status: data.Ready, Acquired: marketDay.AddDays(-40)}, unasked, OnExpected, 40, 70, "1100"},
		{"sold", data.Van{Status: data.Sold, Acquired: marketDay.AddDays(-40), SoldOn: marketDay.AddDays(-10), SoldPrice: data.Some(pounds("25000"))}, quote, OnSold, 30, 0, "300"},
		{"bought on no known day", data.Van{Status: data.Ready}, quote, OnExpected, 0, 12, "120"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.van.VAT, tt.van.Cost = data.MarginScheme, data.Some(pounds("20000"))
			row := Margin(appraise.Assessment{Van: tt.van}, nil, nil, tt.quote, policy, marketDay)
			if row.Basis != tt.basis || row.DaysHeld != tt.held || row.DaysToSell != tt.toSell {
				t.Errorf("%s after %d days, %d to come; want %s, %d, %d", row.Basis, row.DaysHeld, row.DaysToSell, tt.basis, tt.held, tt.toSell)
			}
			if !row.Breakdown.Holding.Equal(pounds(tt.holding)) {
				t.Errorf("holding %s, want %s", row.Breakdown.Holding, tt.holding)
			}
			if row.Range.Known && tt.van.Status == data.Sold {
				t.Error("what a sold van leaves is known, and has a range")
			}
		})
	}
}

// 600 of parts were estimated for what is begun or done, 150 for what is not: 480
// were paid, and with a MOT test of 55 stand in place of the 600.
func TestPartsPaidStandForThoseOfWorkBegun(t *testing.T) {
	jobs := []prep.Job{
		{Code: "a", State: data.JobDone, PartsCost: pounds("400")},
		{Code: "b", State: data.JobStarted, PartsCost: pounds("200")},
		{Code: "c", PartsCost: pounds("150")},
	}
	estimated := prep.Total(jobs)
	paid := []data.Cost{{Kind: data.PartsCost, Amount: pounds("480")}, {Kind: data.OtherCost, Amount: pounds("55")}, {Kind: data.WarrantyClaim, Amount: pounds("999")}}
	if got, want := prepPaid(jobs, paid), estimated.Add(pounds("-65")); !got.Equal(want) {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := prepPaid(jobs, paid[1:]), estimated.Add(pounds("55")); !got.Equal(want) {
		t.Errorf("no part was paid: got %s, want %s", got, want)
	}
}

// A sixth of the margin is due: gov.uk, "VAT margin schemes: Calculating VAT". At a
// loss nothing is.
func TestTheStockBook(t *testing.T) {
	sold := data.Van{
		StockID: "A", Status: data.Sold, VAT: data.MarginScheme, Reg: "AB01 CDE", VIN: "V", BoughtFrom: "x", PurchaseInvoice: "1",
		Acquired: marketDay.AddDays(-90), Cost: data.Some(pounds("20000")), SoldOn: marketDay, SoldPrice: data.Some(pounds("26000")), SaleInvoice: "2", SoldTo: "y",
	}
	change := func(f func(*data.Van)) data.Van { v := sold; f(&v); return v }
	tests := []struct {
		name        string
		van         data.Van
		margin, vat string // blank: unknown
		toAdd       []string
	}{
		{"sold at a profit", sold, "6000", "1000", nil},
		{"sold at a loss", change(func(v *data.Van) { v.SoldPrice = data.Some(pounds("19000")) }), "-1000", "0", nil},
		{"in hand", change(func(v *data.Van) {
			v.Status, v.SoldOn, v.SoldPrice, v.SaleInvoice, v.SoldTo = data.Ready, 0, data.Opt[data.Money]{}, "", ""
		}), "", "", nil},
		{"of unknown cost", change(func(v *data.Van) { v.Cost = data.Opt[data.Money]{} }), "", "", []string{"purchase price"}},
		{"sold at an unknown price", change(func(v *data.Van) { v.SoldPrice = data.Opt[data.Money]{} }), "", "", []string{"selling price"}},
		{"with nothing written down", data.Van{StockID: "A", Status: data.Sold, VAT: data.MarginScheme}, "", "", []string{
			"purchase date", "purchase invoice number", "purchase price", "seller's name", "registration", "VIN", "sales invoice number", "selling price", "buyer's name",
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			e, ok := StockBook(tt.van, data.DefaultPolicy())
			if !ok {
				t.Fatal("not in the book")
			}
			text := func(m data.Opt[data.Money]) string {
				if !m.Known {
					return ""
				}
				return m.Value.String()
			}
			if text(e.Margin) != tt.margin || text(e.VATDue) != tt.vat {
				t.Errorf("margin %q, VAT %q; want %q, %q", text(e.Margin), text(e.VATDue), tt.margin, tt.vat)
			}
			if diff := cmp.Diff(tt.toAdd, e.ToAdd); diff != "" {
				t.Errorf("to add (-want +got)\n%s", diff)
			}
		})
	}
	for name, v := range map[string]data.Van{
		"offered":               change(func(v *data.Van) { v.Status = data.Offered }),
		"outside of the scheme": change(func(v *data.Van) { v.VAT = data.Qualifying }),
	} {
		if _, ok := StockBook(v, data.DefaultPolicy()); ok {
			t.Errorf("a van %s is in the book", name)
		}
	}
}
