package pricing

import (
	"strings"

	"github.com/vanwright/vanwright/data"
)

// VATTreatment is how VAT falls on the sale of one van.
//
// Source of the bars: gov.uk, "Using the VAT margin scheme for second-hand
// vehicles": a van bought on an invoice that shows VAT, imported by the dealer,
// or of salvage category A or B cannot go in the scheme.
type VATTreatment struct {
	Margin   bool // VAT on the margin alone; otherwise on the whole price
	InputVAT bool // the VAT within cost is recoverable
	NoRetail bool // salvage A or B: no retail price at all
	Barred   []string
	Doubt    bool // the purchase invoice seems to show VAT: on the whole price until vat_on_invoice answers
}

// VATTreatmentOf returns the treatment of a van. A van marked for the margin
// scheme that the scheme bars is worked out with VAT on its whole price, and
// without input VAT, since nothing shows that any was charged.
func VATTreatmentOf(v data.Van) VATTreatment {
	t := VATTreatment{Margin: v.VAT == data.MarginScheme, InputVAT: v.VAT == data.Qualifying}
	if v.Imported {
		t.Barred = append(t.Barred, "imported by the dealer")
	}
	if v.Salvage == "A" || v.Salvage == "B" {
		t.NoRetail = true
		t.Barred = append(t.Barred, "salvage category "+v.Salvage)
	}
	if v.VAT == data.MarginScheme && v.VATOnInvoice == data.Some(true) {
		t.Barred = append(t.Barred, "VAT shown on its purchase invoice")
	}
	t.Doubt = v.VATDoubt && len(t.Barred) == 0
	if len(t.Barred) > 0 || t.Doubt {
		t.Margin = false
	}
	return t
}

// Why says in one clause what bars the van from the margin scheme.
func (t VATTreatment) Why() string { return strings.Join(t.Barred, " and ") }

// NetCost returns what counts as cost: cost / (1 + rate) where the VAT within
// it is recoverable, cost itself otherwise. Unrounded.
func (t VATTreatment) NetCost(cost data.Money, policy data.Policy) data.Money {
	if t.InputVAT {
		return data.NetOfVAT(cost, policy.VATRate)
	}
	return cost
}

// OutputVAT returns the VAT due on a sale at price of a van bought at cost,
// both as paid. Under the margin scheme that is max(0, price − cost) × r; a
// loss on one van is never set against another. Unrounded.
func (t VATTreatment) OutputVAT(price, cost data.Money, policy data.Policy) data.Money {
	taxed := price
	if t.Margin {
		taxed = price.Sub(cost)
	}
	if !taxed.IsPositive() {
		return data.Money{}
	}
	return data.VATWithin(taxed, policy.VATRate)
}
