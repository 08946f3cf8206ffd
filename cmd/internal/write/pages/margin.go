package pages

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// rowsShown is how many vans the table holds; margin.csv has them all.
const rowsShown = 1_000

type marginPage struct {
	Frame
	InHand, Sold *tally
	Ages         *bars
	Market       *marketPicture
	Realised     *realised
	Groups       []totals
	Rows         []marginLine
	Cut          int
}

// tally is the sums over some vans, with a picture of where their prices go.
type tally struct {
	Heading, Vans, Left string
	Lines               []moneyLine
	Picture             *waterfall
}

// marginLine is a row of the table that sorts in the page. Keys are plain
// figures for the sort.
type marginLine struct {
	Van                                  link
	Name, Status, Site, Flags, Basis     string
	Days                                 sortable
	Price, VAT, Cost, Prep, Warranty     sortable
	Holding, Selling, Profit, Pct, Short sortable
}

type sortable struct{ Text, Key string }

// totals is one table of sums, by site, body or source.
type totals struct {
	By, Caption string
	Rows        []totalLine
}

type totalLine struct{ Name, State, Vans, Price, Cost, Prep, Profit, Pct string }

func (s *site) margin() marginPage {
	p := marginPage{Frame: s.frame("Margin", "../", "margin").withScript()}
	p.Kind = "ledger"
	var vans []*night.Van
	var inHand []pricing.MarginRow
	for i := range s.Vans {
		v := &s.Vans[i]
		if v.Margin == nil {
			continue
		}
		vans = append(vans, v)
		if v.Status != data.Sold {
			inHand = append(inHand, *v.Margin)
		}
	}
	for _, t := range s.Totals {
		switch {
		case t.By != "all":
		case t.Sold:
			p.Sold = tallyOf("Sold", t)
		default:
			p.InHand = tallyOf("In hand, as priced today", t)
		}
	}
	p.Ages = agesOf(inHand)
	p.Market = s.marketPicture()
	p.Realised = s.realised()
	p.Groups = s.totals()
	// In hand first, then the latest sold.
	slices.SortStableFunc(vans, func(a, b *night.Van) int {
		return cmp.Or(cmp.Compare(b2i(a.Status == data.Sold), b2i(b.Status == data.Sold)), cmp.Compare(b.SoldOn, a.SoldOn), cmp.Compare(a.StockID, b.StockID))
	})
	p.Cut = max(0, len(vans)-rowsShown)
	for _, v := range vans[:len(vans)-p.Cut] {
		p.Rows = append(p.Rows, s.marginLine(v))
	}
	return p
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func tallyOf(heading string, all pricing.Total) *tally {
	if all.Counted == 0 {
		return nil
	}
	sum := all.Sum
	t := &tally{Heading: heading, Vans: count(all.Counted, "van"), Picture: waterfallOf(heading, sum)}
	if left := all.Vans - all.Counted; left > 0 {
		t.Left = count(left, "van") + " left out: price or cost is not known."
	}
	for _, l := range []struct {
		what   string
		amount data.Money
	}{
		{"Prices", sum.Price}, {"less VAT", sum.VAT.Neg()}, {"less cost", sum.Cost.Neg()}, {"less preparation", sum.Prep.Neg()},
		{"less warranty", sum.Warranty.Neg()}, {"less holding", sum.Holding.Neg()}, {"less selling", sum.Selling.Neg()},
	} {
		t.Lines = append(t.Lines, moneyLine{What: l.what, Pounds: pence(l.amount)})
	}
	t.Lines = append(t.Lines, moneyLine{What: "Profit", Pounds: pence(sum.Profit), Sum: true})
	return t
}

func (s *site) marginLine(v *night.Van) marginLine {
	row, r := v.Margin, v.Margin.Breakdown
	line := marginLine{
		Van: s.vanLink("../", v.StockID), Name: nameOf(v.Van), Status: string(v.Status), Site: v.Site, Basis: string(row.Basis),
		Days: sortable{number(row.DaysHeld), fmt.Sprint(row.DaysHeld)},
	}
	for i, f := range row.Flags {
		if i > 0 {
			line.Flags += "; "
		}
		line.Flags += data.Title(f)
	}
	money := func(m data.Money) sortable { return sortable{pence(m), data.FormatMoney(m)} }
	unknown := sortable{notKnown, ""}
	line.Price, line.Cost = unknown, unknown
	if row.Price.Known {
		line.Price = money(row.Price.Value)
	}
	if row.Cost.Known {
		line.Cost = money(row.Cost.Value)
	}
	line.VAT, line.Profit, line.Pct, line.Short = unknown, unknown, unknown, unknown
	line.Prep, line.Warranty, line.Holding, line.Selling = money(r.Prep), money(r.Warranty), money(r.Holding), money(r.Selling)
	if row.Known {
		line.VAT, line.Profit = money(r.VAT), money(r.Profit)
		line.Short = money(r.Profit.Sub(r.Target))
		if r.ProfitPct.Known {
			line.Pct = sortable{percent(r.ProfitPct.Value), data.FormatDecimal(r.ProfitPct.Value, 1)}
		}
	}
	return line
}

// totals lays the sums out by site, by body and by where the vans came from.
// Sold vans stand apart: what was had is not added to what is hoped for.
func (s *site) totals() []totals {
	groups := []totals{{By: "Site", Caption: "By site"}, {By: "Body", Caption: "By body"}, {By: "Bought from", Caption: "By where it came from"}}
	place := map[string]int{"site": 0, "body": 1, "source": 2}
	for _, t := range s.Result.Totals {
		i, ok := place[t.By]
		if !ok {
			continue
		}
		line := totalLine{
			Name: data.Heading(cmp.Or(t.Name, "not said")), State: "in hand", Vans: number(t.Vans), Price: pounds(t.Sum.Price),
			Cost: pounds(t.Sum.Cost), Prep: pounds(t.Sum.Prep), Profit: pounds(t.Sum.Profit), Pct: orUnknown(t.Sum.ProfitPct, percent),
		}
		if t.By == "site" {
			line.Name = cmp.Or(t.Name, "Not said")
		}
		if t.Sold {
			line.State = "sold"
		}
		if t.Counted < t.Vans {
			line.Vans = fmt.Sprintf("%d of %d", t.Counted, t.Vans)
		}
		groups[i].Rows = append(groups[i].Rows, line)
	}
	return groups
}
