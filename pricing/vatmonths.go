package pricing

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// VATMonth is the VAT of one month under one scheme, in pounds and pence. Input
// VAT stands in the month of the purchase, the rest in that of the sale.
type VATMonth struct {
	Month  data.Date // its first day
	Scheme data.VATScheme
	Sales  int        // vans sold
	Output data.Money // on whole prices
	Input  data.Money // within what was bought
	Margin data.Money // on margins
}

// VATMonths adds up the VAT of vans that were bought and sold, by month then
// scheme; months without any are left out. A van that the margin scheme bars, or
// whose place in it is in doubt, stands under qualifying with VAT on its whole
// price and no input VAT.
func VATMonths(rows []*MarginRow) []VATMonth {
	type key struct {
		month  data.Date
		scheme data.VATScheme
	}
	sums := map[key]*VATMonth{}
	at := func(day data.Date, scheme data.VATScheme) *VATMonth {
		k := key{data.NewDate(day.Year(), day.Month(), 1), scheme}
		if sums[k] == nil {
			sums[k] = &VATMonth{Month: k.month, Scheme: scheme}
		}
		return sums[k]
	}
	for _, r := range rows {
		v, t := r.Van, VATTreatmentOf(r.Van)
		scheme := data.Qualifying
		if t.Margin {
			scheme = data.MarginScheme
		}
		if t.InputVAT && v.Cost.Known && r.Cost.Known && !v.Acquired.IsZero() {
			m := at(v.Acquired, scheme)
			m.Input = m.Input.Add(data.Pence(v.Cost.Value).Sub(data.Pence(r.Cost.Value)))
		}
		if v.Status != data.Sold || v.SoldOn.IsZero() {
			continue
		}
		m := at(v.SoldOn, scheme)
		m.Sales++
		switch {
		case !r.Known:
		case t.Margin:
			m.Margin = m.Margin.Add(r.Breakdown.VAT)
		default:
			m.Output = m.Output.Add(r.Breakdown.VAT)
		}
	}
	var out []VATMonth
	for _, m := range sums {
		out = append(out, *m)
	}
	slices.SortFunc(out, func(a, b VATMonth) int {
		return cmp.Or(cmp.Compare(a.Month, b.Month), cmp.Compare(a.Scheme, b.Scheme))
	})
	return out
}
