package pages

import (
	"cmp"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// orderedLine is a part on order, or that came, for a van.
type orderedLine struct{ Part, Quantity, Ordered, Due, Arrived, Supplier string }

// costLine is what was paid for a van, ex VAT.
type costLine struct{ On, Kind, Amount, Invoice, Note string }

// orderedFor lists the orders of parts for a van, as they stand in the yard.
func (s *report) orderedFor(stockID string) []orderedLine {
	var out []orderedLine
	for _, o := range s.Yard.Orders {
		if o.StockID != stockID {
			continue
		}
		part, _ := s.Yard.Books.Part(o.Part)
		line := orderedLine{
			Part: cmp.Or(part.Title, o.Part), Quantity: number(o.Quantity), Ordered: day(o.OrderedOn), Due: day(o.DueOn),
			Arrived: "not yet", Supplier: o.Supplier,
		}
		if !o.ArrivedOn.IsZero() {
			line.Arrived = day(o.ArrivedOn)
		}
		out = append(out, line)
	}
	return out
}

// costsOf lists what was paid for a van, with the sum of preparation and, apart
// from it, of warranty claims; a sum is blank where there is nothing in it.
func (s *report) costsOf(stockID string) (lines []costLine, sum, claims string) {
	costs := s.Yard.Costs[stockID]
	for _, c := range costs {
		lines = append(lines, costLine{On: day(c.On), Kind: data.Heading(c.Kind), Amount: pence(c.Amount), Invoice: c.Invoice, Note: c.Note})
	}
	prepared, claimed := pricing.PaidFor(costs)
	if prepared.Known {
		sum = pence(prepared.Value)
	}
	if claimed.Known {
		claims = pence(claimed.Value)
	}
	return lines, sum, claims
}
