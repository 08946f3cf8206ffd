package reports

import (
	"iter"

	"github.com/vanwright/vanwright/cmd/internal/batch"
	"github.com/vanwright/vanwright/cmd/internal/table"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var stockBook = table.New("stock-book.csv", []string{"stock_id"},
	table.Text("stock_id", func(e pricing.StockBookEntry) string { return e.Van.StockID }),
	table.Date("purchased_on", func(e pricing.StockBookEntry) data.Date { return e.Van.Acquired }),
	table.Text("bought_from", func(e pricing.StockBookEntry) string { return string(e.Van.BoughtFrom) }),
	table.OptMoney("purchase_price", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.Purchase }),
	table.Text("maker", func(e pricing.StockBookEntry) string { return e.Van.Maker }),
	table.Text("model", func(e pricing.StockBookEntry) string { return e.Van.Model }),
	table.Text("reg", func(e pricing.StockBookEntry) string { return e.Van.Reg }),
	table.Text("vin", func(e pricing.StockBookEntry) string { return e.Van.VIN }),
	table.Date("first_registered", func(e pricing.StockBookEntry) data.Date { return e.Van.FirstRegistered }),
	table.Date("sold_on", func(e pricing.StockBookEntry) data.Date { return e.Van.SoldOn }),
	table.OptMoney("selling_price", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.SalePrice }),
	table.OptMoney("margin", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.Margin }),
	table.OptMoney("vat_due", func(e pricing.StockBookEntry) data.Opt[data.Money] { return e.VATDue }),
	table.List("to_add", func(e pricing.StockBookEntry) []string { return e.ToAdd }),
)

func stockBookRows(r *batch.Result) iter.Seq[pricing.StockBookEntry] {
	return func(yield func(pricing.StockBookEntry) bool) {
		for v := range vans(r) {
			if e, ok := pricing.StockBook(v.Van, r.Policy); ok && !yield(e) {
				return
			}
		}
	}
}
