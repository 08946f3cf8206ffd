// Package month gathers a month for the dealer's accountant.
//
// In go what a run found out and the month; out come tables of what was bought, sold
// and still in stock at the last day, the stock book of the margin scheme, VAT by
// scheme, what was paid beside and claimed after, and apart from it what is estimated.
// Every figure of a van is that of its margin; the package adds up and decides
// nothing. A sale after the month is not yet known to it.
package month

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// Month is what happened from First to Last.
type Month struct {
	First, Last data.Date
	Purchases   []van // by day, then stock_id
	Sales       []van // likewise
	Stock       []van // by stock_id
	Book        []pricing.StockBookEntry
	Costs       []data.Cost // by day, stock_id and line
	VAT         []schemeVAT
	Missing     []missing
	policy      data.Policy
}

// van is a van of the month with what was paid for it beside its price.
type van struct {
	*night.Van
	last     data.Date
	margin   bool       // in the margin scheme
	paid     data.Money // costs to the last day, ex VAT, claims apart
	claimed  data.Money // claims to the last day, ex VAT
	inputVAT data.Opt[data.Money]
	warranty data.Money // what a warranty is estimated at
}

// schemeVAT is the VAT of the month's vans under one scheme, and what they were bought
// and sold for.
type schemeVAT struct {
	pricing.VATMonth
	SalesTotal, Bought data.Money
}

// missing is something that the month's figures need and the yard does not hold.
type missing struct{ StockID, What string }

// Of gathers the month that begins on first, to its last day or the as-of day where
// that is earlier.
func Of(r *night.Result, first data.Date) Month {
	m := Month{First: first, Last: min(first.AddMonths(1).AddDays(-1), r.AsOf), policy: r.Policy}
	var margins []*pricing.MarginRow
	for i := range r.Vans {
		v := &r.Vans[i]
		m.add(v, r.Yard.Costs[v.StockID])
		if v.Margin != nil {
			margins = append(margins, v.Margin)
		}
	}
	byDay := func(day func(van) data.Date) func(a, b van) int {
		return func(a, b van) int {
			return cmp.Or(cmp.Compare(day(a), day(b)), cmp.Compare(a.StockID, b.StockID))
		}
	}
	slices.SortFunc(m.Purchases, byDay(func(v van) data.Date { return v.Acquired }))
	slices.SortFunc(m.Sales, byDay(func(v van) data.Date { return v.SoldOn }))
	slices.SortFunc(m.Costs, func(a, b data.Cost) int {
		return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.StockID, b.StockID), cmp.Compare(a.Source.File, b.Source.File), cmp.Compare(a.Source.Line, b.Source.Line))
	})
	m.addUpVAT(pricing.VATMonths(margins))
	return m
}

func (m *Month) within(day data.Date) bool { return !day.IsZero() && day >= m.First && day <= m.Last }

// add puts a van into the lists that it belongs to.
func (m *Month) add(of *night.Van, costs []data.Cost) {
	for _, c := range costs {
		if m.within(c.On) {
			m.Costs = append(m.Costs, c)
		}
	}
	if of.Status == data.Offered || of.Acquired > m.Last {
		return
	}
	sold := of.Status == data.Sold && of.SoldOn <= m.Last
	if sold && of.SoldOn < m.First {
		return
	}
	asThen := of.Van // a later sale is not of this month
	if of.Status == data.Sold && !sold {
		asThen.Status = data.Ready
		asThen.SoldOn, asThen.SoldPrice, asThen.SoldTo, asThen.SaleInvoice = 0, data.Opt[data.Money]{}, "", ""
	}
	entry, inScheme := pricing.StockBook(asThen, m.policy)
	v := van{Van: of, last: m.Last, margin: inScheme, warranty: m.policy.WarrantyCost}
	for _, c := range costs {
		switch {
		case c.On > m.Last:
		case c.Kind == data.WarrantyClaim:
			v.claimed = v.claimed.Add(c.Amount)
		default:
			v.paid = v.paid.Add(c.Amount)
		}
	}
	if of.Cost.Known && of.Margin != nil && of.Margin.Cost.Known {
		v.inputVAT = data.Some(data.Pence(of.Cost.Value).Sub(data.Pence(of.Margin.Cost.Value)))
	}
	if m.within(of.Acquired) {
		m.Purchases = append(m.Purchases, v)
	}
	if sold {
		m.Sales = append(m.Sales, v)
	} else {
		m.Stock = append(m.Stock, v)
	}
	if inScheme {
		m.Book = append(m.Book, entry)
		for _, what := range entry.ToAdd {
			m.Missing = append(m.Missing, missing{of.StockID, what})
		}
		return
	}
	m.lacking(of, sold)
}

// lacking notes what a van outside the margin scheme needs on its invoices.
func (m *Month) lacking(v *night.Van, sold bool) {
	for _, f := range []struct {
		missing bool
		what    string
	}{
		{v.Acquired.IsZero(), "purchase date"},
		{v.PurchaseInvoice == "", "purchase invoice number"},
		{!v.Cost.Known, "purchase price"},
		{sold && v.SaleInvoice == "", "sales invoice number"},
		{sold && !v.SoldPrice.Known, "selling price"},
	} {
		if f.missing {
			m.Missing = append(m.Missing, missing{v.StockID, f.what})
		}
	}
}

// vat is the output VAT of a sold van; unknown where price or cost is.
func (v van) vat() data.Opt[data.Money] {
	if v.Margin == nil || !v.Margin.Known {
		return data.Opt[data.Money]{}
	}
	return data.Some(v.Margin.Breakdown.VAT)
}

func (v van) scheme() data.VATScheme {
	if v.margin {
		return data.MarginScheme
	}
	return data.Qualifying
}

// addUpVAT takes the VAT of the month from where all months are added up, and the
// totals from the rows.
func (m *Month) addUpVAT(all []pricing.VATMonth) {
	for _, scheme := range []data.VATScheme{data.MarginScheme, data.Qualifying} {
		sum := schemeVAT{VATMonth: pricing.VATMonth{Scheme: scheme}}
		for _, month := range all {
			if month.Month == m.First && month.Scheme == scheme {
				sum.VATMonth = month
			}
		}
		for _, v := range m.Sales {
			if v.scheme() == scheme {
				sum.SalesTotal = sum.SalesTotal.Add(data.Pence(v.SoldPrice.Value))
			}
		}
		for _, v := range m.Purchases {
			if v.scheme() == scheme {
				sum.Bought = sum.Bought.Add(data.Pence(v.Cost.Value))
			}
		}
		m.VAT = append(m.VAT, sum)
	}
}

// Lines put the month into a few lines for a terminal.
func (m Month) Lines() []string {
	sum := func(of func(schemeVAT) data.Money) string {
		var total data.Money
		for _, s := range m.VAT {
			total = total.Add(of(s))
		}
		return data.InPounds(total)
	}
	return []string{
		fmt.Sprintf("month        %s to %s", m.First, m.Last),
		fmt.Sprintf("bought       %d vans, %s", len(m.Purchases), sum(func(s schemeVAT) data.Money { return s.Bought })),
		fmt.Sprintf("sold         %d vans, %s", len(m.Sales), sum(func(s schemeVAT) data.Money { return s.SalesTotal })),
		fmt.Sprintf("in stock     %d vans at the last day", len(m.Stock)),
		fmt.Sprintf("VAT          %s on margins, %s on whole prices, %s to recover", sum(func(s schemeVAT) data.Money { return s.Margin }),
			sum(func(s schemeVAT) data.Money { return s.Output }), sum(func(s schemeVAT) data.Money { return s.Input })),
		fmt.Sprintf("to add       %d particulars that the books ask for, in to-add.csv", len(m.Missing)),
	}
}
