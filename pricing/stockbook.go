package pricing

import "github.com/vanwright/vanwright/data"

// StockBookEntry is what the margin scheme asks the stock book to hold of one
// van, as far as the yard knows it. Source of the list: gov.uk, "VAT margin schemes:
// Keeping records": of the purchase a stock number, date, invoice number, price,
// seller's name and description, which of a vehicle has its registration; of the
// sale date, invoice number, price, buyer's name, margin and VAT due.
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
	sold := v.Status == data.Sold
	for _, f := range []struct {
		missing bool
		what    string
	}{
		{v.Acquired.IsZero(), "purchase date"},
		{v.PurchaseInvoice == "", "purchase invoice number"},
		{!v.Cost.Known, "purchase price"},
		{v.BoughtFrom == "", "seller's name"},
		{v.Reg == "", "registration"},
		{v.VIN == "", "VIN"},
		{sold && v.SaleInvoice == "", "sales invoice number"},
		{sold && !v.SoldPrice.Known, "selling price"},
		{sold && v.SoldTo == "", "buyer's name"},
	} {
		if f.missing {
			e.ToAdd = append(e.ToAdd, f.what)
		}
	}
	if sold && e.Purchase.Known && e.SalePrice.Known {
		e.Margin = data.Some(e.SalePrice.Value.Sub(e.Purchase.Value))
		e.VATDue = data.Some(data.Pence(t.OutputVAT(v.SoldPrice.Value, v.Cost.Value, policy)))
	}
	return e, true
}
