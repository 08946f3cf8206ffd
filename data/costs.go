package data

import (
	"cmp"
	"strings"
)

// CostKind is what was paid for.
type CostKind string

// The kinds of cost. A WarrantyClaim is a claim after the van was handed over.
const (
	PartsCost     CostKind = "parts"
	SubletCost    CostKind = "sublet" // work done by another workshop
	TransportCost CostKind = "transport"
	WarrantyClaim CostKind = "warranty"
	OtherCost     CostKind = "other"
)

// CostKinds lists every CostKind.
var CostKinds = []CostKind{PartsCost, SubletCost, TransportCost, WarrantyClaim, OtherCost}

// Cost is one row of costs.csv: what was paid for a van beside its price.
type Cost struct {
	StockID string
	On      Date
	Kind    CostKind
	Amount  Money // ex VAT; below zero for a credit
	Invoice string
	Note    string
	Source  Source
}

// rawCost is a row of costs.csv as it was read.
type rawCost struct {
	StockID string `csv:"stock_id" need:"yes"`
	On      string `csv:"on" need:"yes" also:"date,paid_on"`
	Kind    string `csv:"kind" need:"yes"`
	Cost    string `csv:"cost" need:"yes" also:"amount"`
	Invoice string `csv:"invoice"`
	Note    string `csv:"note"`
}

// compareCosts is the order of the costs of a van.
func compareCosts(a, b Cost) int {
	return cmp.Or(cmp.Compare(a.On, b.On), strings.Compare(string(a.Kind), string(b.Kind)), a.Amount.Cmp(b.Amount),
		strings.Compare(a.Invoice, b.Invoice), strings.Compare(a.Note, b.Note))
}

// parseCosts returns a parser of costs.csv. Rows have no key: an invoice may
// bill the same thing twice.
func parseCosts(vans *vanIndex) rowParser[rawCost, Cost] {
	return func(raw *rawCost, c *cells, at Source) Cost {
		c.need("cost", raw.Cost, "an amount such as 84.50, ex VAT")
		return Cost{
			StockID: vans.find(c, raw.StockID),
			On:      c.needPast("on", raw.On),
			Kind:    needWord(c, "kind", raw.Kind, CostKinds),
			Amount:  c.credit("cost", raw.Cost).Value,
			Invoice: c.name("invoice", raw.Invoice),
			Note:    c.note("note", raw.Note),
			Source:  at,
		}
	}
}
