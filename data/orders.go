package data

import (
	"cmp"
	"fmt"
	"strings"
)

// Order is one row of orders.csv: parts on their way to the dealer, or arrived.
type Order struct {
	Part      string // a code of the parts book
	StockID   string // the van they are for; blank: stock
	Quantity  int    // 1 or more
	OrderedOn Date
	DueOn     Date
	ArrivedOn Date       // unknown: still on its way
	UnitCost  Opt[Money] // ex VAT
	Supplier  string
	Source    Source
}

// rawOrder is a row of orders.csv as it was read.
type rawOrder struct {
	Part      string `csv:"part" need:"yes"`
	StockID   string `csv:"stock_id"`
	Quantity  string `csv:"quantity" need:"yes"`
	OrderedOn string `csv:"ordered_on"`
	DueOn     string `csv:"due_on"`
	ArrivedOn string `csv:"arrived_on"`
	UnitCost  string `csv:"unit_cost"`
	Supplier  string `csv:"supplier"`
}

// maxQuantity is more of one part than anybody orders for motorhomes. Common
// practice, no source.
const maxQuantity = 10_000

// orderKey keeps orders apart: a part is ordered once a day for a van, or for
// stock. A second row would be the same order typed again.
var orderKey = uniqueKey[Order]{
	column: "part",
	value:  func(o *Order) string { return o.Part },
	of:     func(o *Order) string { return o.Part + " " + o.StockID + " " + o.OrderedOn.String() },
	shown: func(o *Order) string {
		return fmt.Sprintf("%s ordered on %s for %s", o.Part, cmp.Or(o.OrderedOn.String(), "no day"), cmp.Or(o.StockID, "stock"))
	},
	source: func(o *Order) *Source { return &o.Source },
}

// compareOrders is the order of Yard.Orders.
func compareOrders(a, b Order) int {
	return cmp.Or(strings.Compare(a.Part, b.Part), strings.Compare(a.StockID, b.StockID), cmp.Compare(a.OrderedOn, b.OrderedOn))
}

// parseOrders returns a parser of orders.csv.
func parseOrders(vans *vanIndex, books *Books) rowParser[rawOrder, Order] {
	return func(raw *rawOrder, c *cells, at Source) Order {
		o := Order{
			Part:      findPart(c, books, raw.Part),
			Quantity:  c.needWhole("quantity", raw.Quantity, 1, maxQuantity),
			OrderedOn: c.past("ordered_on", raw.OrderedOn),
			DueOn:     c.date("due_on", raw.DueOn),
			ArrivedOn: c.past("arrived_on", raw.ArrivedOn),
			UnitCost:  c.money("unit_cost", raw.UnitCost),
			Supplier:  c.label("supplier", raw.Supplier),
			Source:    at,
		}
		if trim(raw.StockID) != "" {
			o.StockID = vans.find(c, raw.StockID)
		}
		c.notBefore("due_on", o.DueOn, "ordered_on", o.OrderedOn)
		c.notBefore("arrived_on", o.ArrivedOn, "ordered_on", o.OrderedOn)
		return o
	}
}

// findPart reads the code of a part in any spelling of it.
func findPart(c *cells, books *Books, value string) string {
	value = trim(value)
	if !c.need("part", value, "a code of the parts book") {
		return ""
	}
	for _, spelling := range []string{value, wordForm(value)} {
		if i, ok := books.part[spelling]; ok {
			return books.Parts[i].Code
		}
	}
	c.refuse("part", value, "part.unknown", "a code of the parts book"+didYouMean(c, "part", value, books.partCodes()))
	return ""
}
