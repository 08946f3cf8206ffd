package pricing

import (
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Each case changes one thing about a van that no flag points at, and asks for
// the one flag that follows. The limits are common practice, no source; the
// bars of the margin scheme are gov.uk, "Using the VAT margin scheme for
// second-hand vehicles".
func TestFlags(t *testing.T) {
	asOf := data.NewDate(2026, 3, 9)
	type unit struct {
		van      data.Van
		quote    Quote
		jobs     []prep.Job
		paper    appraise.Papers
		findings []appraise.Finding
		docs     []data.Document
	}
	some := func(s string) data.Opt[data.Money] { return data.Some(pounds(s)) }
	invoice := func(note string, dated data.Date) []data.Document {
		return []data.Document{{Kind: "invoice", Dated: dated, Note: note}}
	}
	job := func(spent, p50 string) []prep.Job {
		return []prep.Job{{Book: prep.Estimate{Low: 9, Likely: 10, High: 11}, HoursSpent: pounds(spent), HoursP50: pounds(p50)}}
	}
	tests := []struct {
		name   string
		change func(c *unit)
		want   []Flag
	}{
		{"nothing amiss", func(*unit) {}, nil},
		{"salvage B", func(c *unit) { c.van.Salvage = "B" }, []Flag{NoRetail, SchemeBarred, NoPrice}},
		{"imported by the dealer", func(c *unit) { c.van.Imported = true }, []Flag{SchemeBarred}},
		{"margin scheme, from an auction", func(c *unit) { c.van.PurchaseSource = data.Auction }, []Flag{SchemeInDoubt}},
		{"bought on an invoice that shows VAT", func(c *unit) { c.docs = invoice("VAT 5,000 shown", asOf.AddDays(-18)) }, []Flag{SchemeInDoubt}},
		{"one that vat_on_invoice answers with no", func(c *unit) {
			c.docs, c.van.VATOnInvoice = invoice("VAT 5,000 shown", asOf.AddDays(-18)), data.Some(false)
		}, nil},
		{"VAT on its invoice, as vat_on_invoice says", func(c *unit) { c.van.VATOnInvoice = data.Some(true) }, []Flag{SchemeBarred}},
		{"from an auction, and vat_on_invoice says no", func(c *unit) { c.van.PurchaseSource, c.van.VATOnInvoice = data.Auction, data.Some(false) }, nil},
		{"an undated one", func(c *unit) { c.docs = invoice("with vat", 0) }, []Flag{SchemeInDoubt}},
		{"an invoice that shows none", func(c *unit) { c.docs = invoice("no VAT", asOf.AddDays(-20)) }, nil},
		{"a private seller's service invoice with VAT", func(c *unit) { c.docs = invoice("service, 400 with VAT", asOf.AddDays(-200)) }, nil},
		{"a note on something else", func(c *unit) { c.docs = invoice("private vatican tour", 0) }, nil},
		{"qualifying, from an auction", func(c *unit) {
			c.van.PurchaseSource, c.van.VAT, c.van.Cost = data.Auction, data.Qualifying, some("30000")
		}, nil},
		{"scheme not said", func(c *unit) { c.van.VATAssumed = true }, []Flag{SchemeAssumed}},
		{"no cost", func(c *unit) { c.van.Cost = data.Opt[data.Money]{} }, []Flag{CostUnknown}},
		{"no price", func(c *unit) { c.van.Asking, c.quote = data.Opt[data.Money]{}, Quote{} }, []Flag{NoPrice}},
		{"a cost with a digit too many", func(c *unit) { c.van.Cost = some("280000") }, []Flag{AmountDoubt, BelowCost}},
		{"an asking price with a digit lost", func(c *unit) { c.van.Asking = some("4000") }, []Flag{AmountDoubt}},
		{"a mileage that breaks the papers' history", func(c *unit) { c.paper.MileageDoubt = "The mileage falls." }, []Flag{MileageDoubt}},
		{"finance owed", func(c *unit) { c.van.FinanceOwed = some("1") }, []Flag{FinanceOwed}},
		{"a loss", func(c *unit) { c.van.Cost = some("39500") }, []Flag{BelowCost}},
		{"too little profit", func(c *unit) { c.van.Cost = some("36500") }, []Flag{BelowTarget}},
		{"120 days", func(c *unit) { c.van.Acquired, c.van.Cost = asOf.AddDays(-120), data.Opt[data.Money]{} }, []Flag{CostUnknown}},
		{"121 days", func(c *unit) { c.van.Acquired, c.van.Cost = asOf.AddDays(-121), data.Opt[data.Money]{} }, []Flag{CostUnknown, OverAge}},
		// 61 days at 4.50 and 7,000 × 0.085 / 365 are 374; half of 700 is 350.
		{"61 days, and half the profit of a cheap van gone", func(c *unit) {
			c.van.Acquired, c.van.Cost, c.van.Asking = asOf.AddDays(-61), some("7000"), some("13000")
			c.quote = Quote{ExpectedSale: some("13000")}
		}, []Flag{OverAge}},
		{"60 days of the same", func(c *unit) {
			c.van.Acquired, c.van.Cost, c.van.Asking = asOf.AddDays(-60), some("7000"), some("13000")
			c.quote = Quote{ExpectedSale: some("13000")}
		}, nil},
		{"asking brings more than nine in ten fetch", func(c *unit) { c.quote.usualSale = some("44001") }, []Flag{OffMarket}},
		{"asking brings the most that they fetch", func(c *unit) { c.quote.usualSale = some("44000") }, nil},
		{"asking brings less than nine in ten fetch", func(c *unit) { c.quote.usualSale = some("35999") }, []Flag{OffMarket}},
		{"hours a fifth over the book", func(c *unit) { c.jobs = job("12", "12") }, nil},
		{"hours a third over the book", func(c *unit) { c.jobs = job("13.3", "13.3") }, []Flag{PrepOver}},
		{"hours not begun", func(c *unit) { c.jobs = job("0", "13.3") }, nil},
		{"no registration paper", func(c *unit) { c.paper.Missing = []string{"registration"} }, []Flag{PaperBlocks}},
		{"test certificate ended yesterday", func(c *unit) { c.paper.MOTExpires = asOf.AddDays(-1) }, []Flag{PaperBlocks}},
		{"an unsafe point that nothing has lifted", func(c *unit) { c.findings = []appraise.Finding{{Stops: true}} }, []Flag{Unsafe}},
		{"sold: stock and papers no longer matter", func(c *unit) {
			c.van.Status, c.van.SoldOn, c.van.SoldPrice = data.Sold, asOf, some("40000")
			c.van.Acquired = asOf.AddDays(-130)
			c.paper.MOTExpires, c.paper.MileageDoubt = asOf.AddDays(-1), "The mileage falls."
		}, nil},
		{"sold for a tenth of what it cost", func(c *unit) {
			c.van.Status, c.van.SoldOn, c.van.SoldPrice = data.Sold, asOf, some("4000")
		}, []Flag{AmountDoubt, BelowCost}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := unit{
				van: data.Van{
					StockID: "A", Status: data.Ready, VAT: data.MarginScheme, PurchaseSource: data.Private,
					FirstRegistered: data.NewDate(2018, 4, 2), Cost: some("28000"), Asking: some("40000"), Acquired: asOf.AddDays(-20),
				},
				quote: Quote{Market: some("40000"), Low: some("36000"), High: some("44000"), Price: some("39995"), usualSale: some("39200"), ExpectedSale: some("40000")},
				paper: appraise.Papers{MOTExpires: asOf},
			}
			tt.change(&c)
			c.van.VATDoubt = VATDoubt(c.van, c.docs, asOf)
			policy := data.DefaultPolicy()
			policy.TargetProfitMin, policy.TargetProfitPct = pounds("700"), pounds("5")
			if c.quote.Price.Known { // a cheap van of which 700 is wanted
				policy.TargetProfitMin = decimal.Zero
			}
			if got := Margin(appraise.Assessment{Van: c.van, Papers: c.paper, Findings: c.findings}, c.jobs, nil, c.quote, policy, asOf).Flags; !slices.Equal(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}
