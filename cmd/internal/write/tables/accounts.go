package tables

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// StockBook is the stock book of the margin scheme, also of a month.
var StockBook = csvout.New("stock-book.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(e pricing.StockBookEntry) string { return e.Van.StockID }),
	csvout.Date("purchased_on", func(e pricing.StockBookEntry) data.Date { return e.Van.Acquired }),
	csvout.Text("bought_from", func(e pricing.StockBookEntry) string { return e.Van.BoughtFrom }),
	csvout.OptMoney("purchase_price", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.Purchase }),
	csvout.Text("maker", func(e pricing.StockBookEntry) string { return e.Van.Maker }),
	csvout.Text("model", func(e pricing.StockBookEntry) string { return e.Van.Model }),
	csvout.Text("reg", func(e pricing.StockBookEntry) string { return e.Van.Reg }),
	csvout.Text("vin", func(e pricing.StockBookEntry) string { return e.Van.VIN }),
	csvout.Date("first_registered", func(e pricing.StockBookEntry) data.Date { return e.Van.FirstRegistered }),
	csvout.Date("sold_on", func(e pricing.StockBookEntry) data.Date { return e.Van.SoldOn }),
	csvout.OptMoney("selling_price", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.SalePrice }),
	csvout.OptMoney("margin", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.Margin }),
	csvout.OptMoney("vat_due", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.VATDue }),
	csvout.List("to_add", func(e pricing.StockBookEntry) []string { return e.ToAdd }),
	csvout.Text("purchase_source", func(e pricing.StockBookEntry) string { return string(e.Van.PurchaseSource) }),
	csvout.Text("purchase_invoice", func(e pricing.StockBookEntry) string { return e.Van.PurchaseInvoice }),
	csvout.Text("sold_to", func(e pricing.StockBookEntry) string { return e.Van.SoldTo }),
	csvout.Text("sale_invoice", func(e pricing.StockBookEntry) string { return e.Van.SaleInvoice }),
)

// stockBook walks the vans that the stock book holds.
func (f found) stockBook(yield func(pricing.StockBookEntry) bool) {
	for v := range f.allVans {
		if e, ok := pricing.StockBook(v.Van, f.Policy); ok && !yield(e) {
			return
		}
	}
}

var vatMonths = csvout.New("vat.csv", []string{"month", "scheme"},
	csvout.Text("month", func(m pricing.VATMonth) string { return m.Month.String()[:len("2006-01")] }),
	csvout.Text("scheme", func(m pricing.VATMonth) string { return string(m.Scheme) }),
	csvout.Int("sales", func(m pricing.VATMonth) int { return m.Sales }),
	csvout.Money("output_vat", func(m pricing.VATMonth) data.Money { return m.Output }),
	csvout.Money("input_vat", func(m pricing.VATMonth) data.Money { return m.Input }),
	csvout.Money("margin_vat", func(m pricing.VATMonth) data.Money { return m.Margin }),
)

// vatMonths adds up the VAT of all vans that are in hand or sold.
func (f found) vatMonths() []pricing.VATMonth {
	var rows []*pricing.MarginRow
	for v := range f.allVans {
		if v.Margin != nil {
			rows = append(rows, v.Margin)
		}
	}
	return pricing.VATMonths(rows)
}

var marginTotals = csvout.New("margin-totals.csv", []string{"by", "name", "state"},
	csvout.Text("by", func(t pricing.Total) string { return t.By }),
	csvout.Text("name", func(t pricing.Total) string { return t.Name }),
	csvout.Text("state", func(t pricing.Total) string {
		if t.Sold {
			return "sold"
		}
		return "in-hand"
	}),
	csvout.Int("vans", func(t pricing.Total) int { return t.Vans }),
	csvout.Int("counted", func(t pricing.Total) int { return t.Counted }),
	csvout.Money("price", func(t pricing.Total) data.Money { return t.Sum.Price }),
	csvout.Money("cost", func(t pricing.Total) data.Money { return t.Sum.Cost }),
	csvout.Money("vat", func(t pricing.Total) data.Money { return t.Sum.VAT }),
	csvout.Money("prep", func(t pricing.Total) data.Money { return t.Sum.Prep }),
	csvout.Money("warranty", func(t pricing.Total) data.Money { return t.Sum.Warranty }),
	csvout.Money("holding", func(t pricing.Total) data.Money { return t.Sum.Holding }),
	csvout.Money("selling", func(t pricing.Total) data.Money { return t.Sum.Selling }),
	csvout.Money("profit", func(t pricing.Total) data.Money { return t.Sum.Profit }),
	csvout.OptDecimal("profit_pct", 1, func(t pricing.Total) data.Opt[decimal.Decimal] { return t.Sum.ProfitPct }),
	csvout.Money("target_profit", func(t pricing.Total) data.Money { return t.Sum.Target }),
	csvout.Int("flagged", func(t pricing.Total) int { return t.Flagged }),
)

type (
	percent = data.Opt[decimal.Decimal]
	month   = pricing.MonthRealised
	outcome = pricing.PriceCheck
)

var realised = csvout.New("realised.csv", []string{"month"},
	csvout.Text("month", func(m month) string { return m.Month.Time().Format("2006-01") }),
	csvout.Int("sold", func(m month) int { return m.Sold }),
	csvout.Int("priced", func(m month) int { return m.Value.Vans }),
	csvout.OptDecimal("value_bias_pct", 1, func(m month) percent { return m.Value.Bias }),
	csvout.OptDecimal("value_spread_pct", 1, func(m month) percent { return m.Value.Spread }),
	csvout.OptDecimal("within_90_pct", 0, func(m month) percent { return m.Within }),
	csvout.OptDecimal("advised_bias_pct", 1, func(m month) percent { return m.Advised.Bias }),
	csvout.OptDecimal("advised_spread_pct", 1, func(m month) percent { return m.Advised.Spread }),
	csvout.Int("timed", func(m month) int { return m.Hours.Vans }),
	csvout.OptDecimal("hours_bias_pct", 1, func(m month) percent { return m.Hours.Bias }),
	csvout.OptDecimal("hours_spread_pct", 1, func(m month) percent { return m.Hours.Spread }),
)

var realisedVans = csvout.New("realised-vans.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(o outcome) string { return o.Van.StockID }),
	csvout.Date("sold_on", func(o outcome) data.Date { return o.Van.SoldOn }),
	csvout.OptMoney("fetched", func(o outcome) data.Opt[data.Money] { return data.OptPence(o.Van.SoldPrice) }),
	csvout.OptMoney("market_value", func(o outcome) data.Opt[data.Money] { return o.Value }),
	csvout.OptMoney("market_low", func(o outcome) data.Opt[data.Money] { return o.Low }),
	csvout.OptMoney("market_high", func(o outcome) data.Opt[data.Money] { return o.High }),
	csvout.OptMoney("advised", func(o outcome) data.Opt[data.Money] { return o.Advised }),
	csvout.OptDecimal("off_value_pct", 1, func(o outcome) percent { return o.OffValue }),
	csvout.OptDecimal("off_advised_pct", 1, func(o outcome) percent { return o.OffAdvised }),
	csvout.Text("method", func(o outcome) string { return o.Method }),
	csvout.Hours("hours_book", func(o outcome) float64 { return o.HoursBook }),
	csvout.Hours("hours_spent", func(o outcome) float64 { return o.HoursSpent }),
	csvout.OptDecimal("off_hours_pct", 1, func(o outcome) percent { return o.OffHours }),
)
