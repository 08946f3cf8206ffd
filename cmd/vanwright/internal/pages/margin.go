package pages

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/cmd/vanwright/internal/batch"
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
	Realised     []realisedLine
	RealisedSum  string
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
	By   string
	Rows []totalLine
}

type totalLine struct{ Name, Vans, Price, Cost, Prep, Profit, Pct string }

type realisedLine struct {
	Van                           link
	Name, Asked, Sold, Diff, Days string
}

func (s *site) margin() marginPage {
	p := marginPage{Frame: s.frame("Margin", "../", "margin").withScript()}
	var vans []*batch.Van
	var inHand, sold []pricing.MarginRow
	for i := range s.Vans {
		v := &s.Vans[i]
		if v.Margin == nil {
			continue
		}
		vans = append(vans, v)
		if v.Status == data.Sold {
			sold = append(sold, *v.Margin)
		} else {
			inHand = append(inHand, *v.Margin)
		}
	}
	p.InHand, p.Sold = tallyOf("In hand, as priced today", inHand), tallyOf("Sold", sold)
	p.Ages = agesOf(inHand)
	p.Market = s.marketPicture()
	p.realised(s, vans)
	p.Groups = []totals{
		totalsBy("Site", vans, func(v data.Van) string { return v.Site }),
		totalsBy("Body", vans, func(v data.Van) string { return spaced(string(v.Body)) }),
		totalsBy("Bought from", vans, func(v data.Van) string { return spaced(string(v.BoughtFrom)) }),
	}
	// In hand first, then the latest sold.
	slices.SortStableFunc(vans, func(a, b *batch.Van) int {
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

func tallyOf(heading string, rows []pricing.MarginRow) *tally {
	known := 0
	for _, row := range rows {
		if row.Known {
			known++
		}
	}
	if known == 0 {
		return nil
	}
	sum := pricing.Sum(rows)
	t := &tally{Heading: heading, Vans: count(known, "van"), Picture: waterfallOf(heading, sum)}
	if known < len(rows) {
		t.Left = count(len(rows)-known, "van") + " left out: price or cost is not known."
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

func (s *site) marginLine(v *batch.Van) marginLine {
	row, r := v.Margin, v.Margin.Reckoning
	line := marginLine{
		Van: s.vanLink("../", v.StockID), Name: nameOf(v.Van), Status: string(v.Status), Site: v.Site, Basis: string(row.Basis),
		Days: sortable{number(row.DaysHeld), fmt.Sprint(row.DaysHeld)},
	}
	for i, f := range row.Flags {
		if i > 0 {
			line.Flags += "; "
		}
		line.Flags += spaced(string(f))
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

// totalsBy sums the rows that are reckoned by some word of the van.
func totalsBy(by string, vans []*batch.Van, of func(data.Van) string) totals {
	groups := map[string][]pricing.MarginRow{}
	var names []string
	for _, v := range vans {
		if !v.Margin.Known {
			continue
		}
		name := cmp.Or(of(v.Van), "not said")
		if groups[name] == nil {
			names = append(names, name)
		}
		groups[name] = append(groups[name], *v.Margin)
	}
	slices.Sort(names)
	t := totals{By: by}
	for _, name := range names {
		sum := pricing.Sum(groups[name])
		t.Rows = append(t.Rows, totalLine{
			Name: capital(name), Vans: number(len(groups[name])), Price: pounds(sum.Price), Cost: pounds(sum.Cost),
			Prep: pounds(sum.Prep), Profit: pounds(sum.Profit), Pct: orUnknown(sum.ProfitPct, percent),
		})
	}
	return t
}

// realised compares what sold vans fetched with what was asked: the yard keeps
// no advised price of a van once it is sold.
func (p *marginPage) realised(s *site, vans []*batch.Van) {
	var asked, fetched data.Money
	for _, v := range vans {
		if v.Status != data.Sold || !v.Asking.Known || !v.SoldPrice.Known {
			continue
		}
		asked, fetched = asked.Add(v.Asking.Value), fetched.Add(v.SoldPrice.Value)
		if len(p.Realised) == rowsShown {
			continue
		}
		p.Realised = append(p.Realised, realisedLine{
			Van: s.vanLink("../", v.StockID), Name: nameOf(v.Van), Asked: pence(v.Asking.Value), Sold: pence(v.SoldPrice.Value),
			Diff: pence(v.SoldPrice.Value.Sub(v.Asking.Value)), Days: number(v.Margin.DaysHeld),
		})
	}
	if off := data.Percent(fetched.Sub(asked), asked, 1); off.Known {
		p.RealisedSum = fmt.Sprintf("%s fetched against %s asked, %s.", pounds(fetched), pounds(asked), percent(off.Value))
	}
}
