package pages

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// Rows that the page's tables hold, so that it opens on a phone; margin.csv and the
// workbook have them all.
const (
	inHandRows = 300
	soldRows   = 120
	monthsBack = 12 // of sold vans, the present month included
)

type marginPage struct {
	layout
	InHand, Sold *tally
	Periods      []totalLine // this month, last month, the twelve months, and each of them
	Earlier      []totalLine // by year
	Ages         *bars
	Market       *marketPicture
	Realised     *realised
	Groups       []totals
	Rows         []marginLine
	SoldVans     []marginLine
	CutInHand    int
	CutSold      int
	Since        string
}

// tally is the sums over some vans, with a picture of where their prices go.
type tally struct {
	Heading, Vans, Left string
	Lines               []moneyLine
	Picture             *waterfall
}

// marginLine is a row of a table that sorts in the page.
type marginLine struct {
	Van                                             link
	Name, Status, Site, Flags, Basis, SoldOn        string
	Days, Price, VAT, Cost, Prep, Warranty, Holding string
	Selling, Profit, Pct, Short                     string
}

// totals is one table of sums, by site, body or source.
type totals struct {
	By, Caption string
	Rows        []totalLine
}

type totalLine struct{ Name, State, Vans, Price, Cost, Prep, Profit, Pct string }

func (s *report) margin() marginPage {
	p := marginPage{layout: s.layout("Margin", "../", "margin").withScript(listJS)}
	p.Kind = "ledger"
	month := data.NewDate(s.AsOf.Year(), s.AsOf.Month(), 1)
	since := month.AddMonths(1 - monthsBack)
	p.Since = day(since)
	var inHand, soldLately []*night.Van
	var all, shown, stock []*pricing.MarginRow
	for i := range s.Vans {
		v := &s.Vans[i]
		if v.Margin == nil {
			continue
		}
		all = append(all, v.Margin)
		switch {
		case v.Status != data.Sold:
			inHand, stock = append(inHand, v), append(stock, v.Margin)
		case v.SoldOn >= since:
			soldLately = append(soldLately, v)
		default:
			continue
		}
		shown = append(shown, v.Margin)
	}
	sums := pricing.Totals(shown)
	for _, t := range sums {
		switch {
		case t.By != "all":
		case t.Sold:
			p.Sold = tallyOf("Sold since "+p.Since, t)
		default:
			p.InHand = tallyOf("In hand, as priced today", t)
		}
	}
	p.periods(all, month)
	p.Ages = agesOf(stock)
	p.Market = s.marketPicture()
	p.Realised = s.realised()
	p.Groups = totalsBy(sums)
	slices.SortStableFunc(soldLately, func(a, b *night.Van) int { return cmp.Compare(b.SoldOn, a.SoldOn) })
	p.CutInHand, p.CutSold = max(0, len(inHand)-inHandRows), max(0, len(soldLately)-soldRows)
	for _, v := range inHand[:len(inHand)-p.CutInHand] {
		p.Rows = append(p.Rows, s.marginLine(v, pounds))
	}
	for _, v := range soldLately[:len(soldLately)-p.CutSold] {
		p.SoldVans = append(p.SoldVans, s.marginLine(v, pence))
	}
	return p
}

// periods adds up the sold vans by period: from month, the present one, back.
func (p *marginPage) periods(rows []*pricing.MarginRow, month data.Date) {
	add := func(to *[]totalLine, name string, from, until data.Date) {
		if t := pricing.SoldBetween(rows, from, until); t.Vans > 0 {
			line := totalLineOf(t)
			line.Name = name
			*to = append(*to, line)
		}
	}
	next := month.AddMonths(1)
	add(&p.Periods, "This month so far", month, next.AddDays(-1))
	add(&p.Periods, "Last month", month.AddMonths(-1), month.AddDays(-1))
	add(&p.Periods, "Twelve months", next.AddMonths(-monthsBack), next.AddDays(-1))
	for i := range monthsBack {
		from := month.AddMonths(-i)
		add(&p.Periods, from.Time().Format("January 2006"), from, from.AddMonths(1).AddDays(-1))
	}
	oldest := month
	for _, row := range rows {
		if on := row.Van.SoldOn; !on.IsZero() {
			oldest = min(oldest, on)
		}
	}
	last := next.AddMonths(-monthsBack).AddDays(-1)
	for year := last.Year(); year >= oldest.Year(); year-- {
		name, until := fmt.Sprint(year), data.NewDate(year, 12, 31)
		if until > last {
			name, until = "To "+day(last), last
		}
		add(&p.Earlier, name, data.NewDate(year, 1, 1), until)
	}
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

func (s *report) marginLine(v *night.Van, amount func(data.Money) string) marginLine {
	row, r := v.Margin, v.Margin.Breakdown
	line := marginLine{
		Van: s.vanLink("../", v.StockID), Name: nameOf(v.Van), Status: string(v.Status), Site: v.Site, Basis: string(row.Basis),
		Days: number(row.DaysHeld), Flags: data.Titles(row.Flags),
		Price: orUnknown(row.Price, amount), Cost: orUnknown(row.Cost, amount),
		VAT: notKnown, Profit: notKnown, Pct: notKnown, Short: notKnown,
		Prep: amount(r.Prep), Warranty: amount(r.Warranty), Holding: amount(r.Holding), Selling: amount(r.Selling),
	}
	if !v.SoldOn.IsZero() {
		line.SoldOn = day(v.SoldOn)
	}
	if row.Known {
		line.VAT, line.Profit, line.Short = amount(r.VAT), amount(r.Profit), amount(r.Profit.Sub(r.Target))
		line.Pct = orUnknown(r.ProfitPct, percent)
	}
	return line
}

// totalsBy lays sums out by site, by body and by where the vans came from. Sold
// vans stand apart: what was had is not added to what is hoped for.
func totalsBy(sums []pricing.Total) []totals {
	groups := []totals{{By: "Site", Caption: "By site"}, {By: "Body", Caption: "By body"}, {By: "Source", Caption: "By where it came from"}}
	place := map[string]int{"site": 0, "body": 1, "source": 2}
	for _, t := range sums {
		i, ok := place[t.By]
		if !ok {
			continue
		}
		line := totalLineOf(t)
		if line.Name = cmp.Or(data.Heading(t.Name), "Not recorded"); t.By == "site" {
			line.Name = cmp.Or(t.Name, "Not recorded")
		}
		groups[i].Rows = append(groups[i].Rows, line)
	}
	return groups
}

func totalLineOf(t pricing.Total) totalLine {
	line := totalLine{
		State: "in hand", Vans: number(t.Vans), Price: pounds(t.Sum.Price),
		Cost: pounds(t.Sum.Cost), Prep: pounds(t.Sum.Prep), Profit: pounds(t.Sum.Profit), Pct: orUnknown(t.Sum.ProfitPct, percent),
	}
	if t.Sold {
		line.State = "sold"
	}
	if t.Counted < t.Vans {
		line.Vans = fmt.Sprintf("%d of %d", t.Counted, t.Vans)
	}
	return line
}
