package month

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
)

// described are the columns that say which van a row is of.
func described(before ...csvout.Column[van]) []csvout.Column[van] {
	return append(before,
		csvout.Text("stock_id", func(v van) string { return v.StockID }),
		csvout.Text("maker", func(v van) string { return v.Maker }),
		csvout.Text("model", func(v van) string { return v.Model }),
		csvout.Text("reg", func(v van) string { return v.Reg }),
		csvout.Text("vin", func(v van) string { return v.VIN }),
		csvout.Text("scheme", func(v van) string { return string(v.scheme()) }),
	)
}

var purchases = csvout.New("purchases.csv", []string{"acquired", "stock_id"}, append(described(
	csvout.Date("acquired", func(v van) data.Date { return v.Acquired })),
	csvout.Text("bought_from", func(v van) string { return v.BoughtFrom }),
	csvout.Text("purchase_invoice", func(v van) string { return v.PurchaseInvoice }),
	csvout.Text("purchase_source", func(v van) string { return string(v.PurchaseSource) }),
	csvout.OptMoney("cost", func(v van) data.Opt[data.Money] { return data.OptPence(v.Cost) }),
	csvout.OptMoney("input_vat", func(v van) data.Opt[data.Money] { return v.inputVAT }),
	csvout.OptMoney("cost_net", func(v van) data.Opt[data.Money] { return v.Margin.Cost }),
)...)

var sales = csvout.New("sales.csv", []string{"sold_on", "stock_id"}, append(described(
	csvout.Date("sold_on", func(v van) data.Date { return v.SoldOn })),
	csvout.Text("sold_to", func(v van) string { return v.SoldTo }),
	csvout.Text("sale_invoice", func(v van) string { return v.SaleInvoice }),
	csvout.OptMoney("price", func(v van) data.Opt[data.Money] { return data.OptPence(v.SoldPrice) }),
	csvout.OptMoney("cost", func(v van) data.Opt[data.Money] { return data.OptPence(v.Cost) }),
	csvout.OptMoney("price_less_cost", func(v van) data.Opt[data.Money] {
		if !v.SoldPrice.Known || !v.Cost.Known {
			return data.Opt[data.Money]{}
		}
		return data.Some(data.Pence(v.SoldPrice.Value).Sub(data.Pence(v.Cost.Value)))
	}),
	csvout.OptMoney("margin_vat", func(v van) data.Opt[data.Money] {
		if !v.margin {
			return data.Opt[data.Money]{}
		}
		return v.vat()
	}),
	csvout.OptMoney("output_vat", func(v van) data.Opt[data.Money] {
		if v.margin {
			return data.Opt[data.Money]{}
		}
		return v.vat()
	}),
	csvout.OptMoney("price_less_vat", func(v van) data.Opt[data.Money] {
		vat := v.vat()
		if !vat.Known {
			return vat
		}
		return data.Some(data.Pence(v.SoldPrice.Value).Sub(vat.Value))
	}),
)...)

var stock = csvout.New("stock.csv", []string{"stock_id"}, append(described(),
	csvout.Date("acquired", func(v van) data.Date { return v.Acquired }),
	csvout.OptInt("days_held", func(v van) data.Opt[int] {
		if v.Acquired.IsZero() {
			return data.Opt[int]{}
		}
		return data.Some(v.last.DaysSince(v.Acquired))
	}),
	csvout.OptMoney("cost", func(v van) data.Opt[data.Money] { return data.OptPence(v.Cost) }),
	csvout.OptMoney("cost_net", func(v van) data.Opt[data.Money] { return v.Margin.Cost }),
	csvout.Money("invoiced", func(v van) data.Money { return v.paid }),
)...)

var costs = csvout.New("costs.csv", []string{"on", "stock_id"},
	csvout.Date("on", func(c data.Cost) data.Date { return c.On }),
	csvout.Text("stock_id", func(c data.Cost) string { return c.StockID }),
	csvout.Text("kind", func(c data.Cost) string { return string(c.Kind) }),
	csvout.Text("invoice", func(c data.Cost) string { return c.Invoice }),
	csvout.Money("cost", func(c data.Cost) data.Money { return data.Pence(c.Amount) }),
	csvout.Place("source", func(c data.Cost) data.Source { return c.Source }),
)

// The amounts of estimates.csv are vanwright's, beside what was invoiced: they are no
// entries in anybody's books.
var estimates = csvout.New("estimates.csv", []string{"stock_id"}, append(described(),
	csvout.Date("sold_on", func(v van) data.Date {
		if v.SoldOn > v.last {
			return 0
		}
		return v.SoldOn
	}),
	csvout.Money("preparation_estimated", func(v van) data.Money { return v.Margin.Breakdown.Prep }),
	csvout.Money("warranty_estimated", func(v van) data.Money { return v.warranty }),
	csvout.Money("selling_estimated", func(v van) data.Money { return v.Margin.Breakdown.Selling }),
	csvout.Money("invoiced", func(v van) data.Money { return v.paid }),
	csvout.Money("claims_paid", func(v van) data.Money { return v.claimed }),
)...)

var vat = csvout.New("vat.csv", []string{"scheme"},
	csvout.Text("scheme", func(s schemeVAT) string { return string(s.Scheme) }),
	csvout.Int("sales", func(s schemeVAT) int { return s.Sales }),
	csvout.Money("sales_total", func(s schemeVAT) data.Money { return s.SalesTotal }),
	csvout.Money("purchases_total", func(s schemeVAT) data.Money { return s.Bought }),
	csvout.Money("output_vat", func(s schemeVAT) data.Money { return s.Output }),
	csvout.Money("input_vat", func(s schemeVAT) data.Money { return s.Input }),
	csvout.Money("margin_vat", func(s schemeVAT) data.Money { return s.Margin }),
)

var toAdd = csvout.New("to-add.csv", []string{"stock_id", "what"},
	csvout.Text("stock_id", func(m missing) string { return m.StockID }),
	csvout.Text("what", func(m missing) string { return m.What }),
)

// sheets are the month's tables in the order in which an accountant reads them.
func (m Month) sheets() []sheet {
	lacking := slices.Clone(m.Missing)
	slices.SortFunc(lacking, func(a, b missing) int {
		return cmp.Or(cmp.Compare(a.StockID, b.StockID), cmp.Compare(a.What, b.What))
	})
	both := slices.Concat(m.Sales, m.Stock)
	slices.SortFunc(both, func(a, b van) int { return cmp.Compare(a.StockID, b.StockID) })
	return []sheet{
		of("VAT", vat, m.VAT),
		of("Purchases", purchases, m.Purchases),
		of("Sales", sales, m.Sales),
		of("Stock", stock, m.Stock),
		of("Stock book", tables.StockBook, m.Book),
		of("Costs and claims", costs, m.Costs),
		of("Estimates", estimates, both),
		of("To add", toAdd, lacking),
	}
}
