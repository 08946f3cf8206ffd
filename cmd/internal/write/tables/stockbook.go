package tables

import (
	"iter"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var stockBook = csvout.New("stock-book.csv", []string{"stock_id"},
	csvout.Text("stock_id", func(e pricing.StockBookEntry) string { return e.Van.StockID }),
	csvout.Date("purchased_on", func(e pricing.StockBookEntry) data.Date { return e.Van.Acquired }),
	csvout.Text("bought_from", func(e pricing.StockBookEntry) string { return string(e.Van.PurchaseSource) }),
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
)

func stockBookRows(r *night.Result) iter.Seq[pricing.StockBookEntry] {
	return func(yield func(pricing.StockBookEntry) bool) {
		for v := range vans(r) {
			if e, ok := pricing.StockBook(v.Van, r.Policy); ok && !yield(e) {
				return
			}
		}
	}
}
