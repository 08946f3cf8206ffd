package pricing

import "github.com/vanwright/vanwright/data"

// StockBookEntry is what the margin scheme asks the stock book to hold of one
// van, as far as the yard knows it. Source of the list: gov.uk, "Check which
// records to keep for second-hand vehicles you export to the EU for resale",
// the sister scheme's stock book; the tax side is Notice 718, from memory.
type StockBookEntry struct {
	Van       data.Van
	Purchase  data.Opt[data.Money]
	SalePrice data.Opt[data.Money]
	Margin    data.Opt[data.Money] // price less purchase; negative at a loss
	VATDue    data.Opt[data.Money]
	ToAdd     []string // particulars the yard does not hold and the book must
}

// StockBook returns the entry of a van in hand or sold under the margin
// scheme; false for any other van.
func StockBook(v data.Van, policy data.Policy) (StockBookEntry, bool) {
	t := VATTreatmentOf(v)
	if !t.Margin || v.Status == data.Offered {
		return StockBookEntry{}, false
	}
	e := StockBookEntry{Van: v, Purchase: data.OptPence(v.Cost), SalePrice: data.OptPence(v.SoldPrice)}
	e.ToAdd = []string{"purchase invoice number", "seller's name", "engine size", "colour", "V5C reference"}
	for _, f := range []struct {
		missing bool
		what    string
	}{
		{v.Acquired.IsZero(), "purchase date"},
		{!v.Cost.Known, "purchase price"},
		{v.VIN == "", "VIN"},
		{v.Reg == "", "registration"},
	} {
		if f.missing {
			e.ToAdd = append(e.ToAdd, f.what)
		}
	}
	if v.Status == data.Sold {
		e.ToAdd = append(e.ToAdd, "sales invoice number", "buyer's name")
		if e.Purchase.Known && e.SalePrice.Known {
			e.Margin = data.Some(e.SalePrice.Value.Sub(e.Purchase.Value))
			e.VATDue = data.Some(data.Pence(t.OutputVAT(v.SoldPrice.Value, v.Cost.Value, policy)))
		}
	}
	return e, true
}
