package pages

import (
	"cmp"
	"fmt"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// priceView is what a van that is not sold is worth and what to ask for it.
type priceView struct {
	Market, Low, High, Price, Ticket string
	Method                           string
	Days, Within60, Gain             string
	Explained                        []fact
	Comparables                      []comparableLine
	Ladder                           factList
	Reasons                          []string
}

type comparableLine struct{ SaleID, Van, Age, Miles, Sold, Price, Adjusted string }

var methodWords = map[string]string{
	"sales": "from past sales", "guide": "from the guide price", "none": "no value can be given",
}

func (s *report) price(v *night.Van) *priceView {
	q := v.Quote
	if q == nil {
		return nil
	}
	p := &priceView{
		Market: optPounds(q.Market), Low: optPounds(q.Low), High: optPounds(q.High),
		Price: optPounds(q.Price), Ticket: optPounds(q.AskingPrice), Method: cmp.Or(methodWords[q.Method], q.Method),
		Days: withUnit(q.DaysToSell, "days"), Within60: orUnknown(q.SellWithin60, percent), Reasons: q.Reasons,
	}
	if q.Gain.Known {
		p.Gain = pounds(q.Gain.Value)
	}
	for _, e := range q.Explained {
		p.Explained = append(p.Explained, fact{e.What, pounds(e.Pounds)})
	}
	for _, step := range q.Ladder {
		p.Ladder = append(p.Ladder, fact{day(step.From), pounds(step.Price)})
	}
	for _, c := range q.Comparables {
		p.Comparables = append(p.Comparables, pastSale(c))
	}
	return p
}

func pastSale(c pricing.Comparable) comparableLine {
	line := comparableLine{
		SaleID: c.Sale.SaleID, Van: c.Sale.Maker + " " + c.Sale.Model, Age: day(c.Sale.FirstRegistered),
		Miles: number(c.Sale.Mileage), Sold: "sold " + day(c.Sale.SoldOn), Price: optPounds(c.Sale.SoldPrice),
		Adjusted: pounds(c.Adjusted),
	}
	if c.Sale.SoldOn.IsZero() {
		line.Sold, line.Price = "still for sale", optPounds(c.Sale.Asking)
	}
	return line
}

// moneyView is the way from price to profit, as figures and as a picture.
type moneyView struct {
	Heading string
	Lines   []moneyLine
	Target  string
	Pct     string
	Picture *waterfall
	Missing string // why there is no reckoning
}

// moneyLine is one step from price to profit and where its figure comes from.
type moneyLine struct {
	What, Pounds, How string
	Sum               bool
}

// money shows the margin of a van in hand or sold, the bid for one offered.
func (s *report) money(v *night.Van) *moneyView {
	switch {
	case v.Margin != nil && v.Margin.Known:
		row := v.Margin
		head := fmt.Sprintf("From the %s price to profit", row.Basis)
		held := fmt.Sprintf("%d days held", row.DaysHeld)
		if row.DaysToSell > 0 {
			held += fmt.Sprintf(" and %d to sell", row.DaysToSell)
		}
		return s.moneyOf(v, row.Breakdown, head, string(row.Basis)+" price", held, "jobs at likely hours, and parts")
	case v.Margin != nil:
		return &moneyView{Heading: "From price to profit", Missing: "No reckoning: the price or the cost is not known."}
	case v.Bid != nil && v.Bid.Known:
		held := fmt.Sprintf("%d days to prepare and %d to sell", v.Bid.PrepDays, v.Bid.DaysToSell)
		return s.moneyOf(v, v.Bid.Breakdown, "From price to profit, at the maximum bid", "expected sale price",
			held, "80% likely to be within")
	}
	return nil
}

func (s *report) moneyOf(v *night.Van, r pricing.ProfitBreakdown, head, price, held, prepared string) *moneyView {
	p, t := s.Policy, pricing.VATTreatmentOf(v.Van)
	rate := p.VATRate.String()
	vat := "on the whole price: price × " + rate + " / (1 + " + rate + ")"
	if t.Margin {
		vat = "margin scheme: (price − cost) × " + rate + " / (1 + " + rate + "), never below zero"
	}
	cost := "purchase price or PX allowance"
	if v.Bid != nil {
		cost = "the maximum bid"
	}
	if t.InputVAT {
		cost += ", less VAT reclaimed"
	}
	amount := pounds // an estimate has no pennies
	if v.Status == data.Sold {
		amount = pence
	}
	return &moneyView{
		Heading: head, Target: amount(r.Target), Pct: orUnknown(r.ProfitPct, percent),
		Picture: waterfallOf(head, r),
		Lines: []moneyLine{
			{What: "Price", Pounds: amount(r.Price), How: price},
			{What: "less VAT", Pounds: amount(r.VAT.Neg()), How: vat},
			{What: "less cost", Pounds: amount(r.Cost.Neg()), How: cost},
			{What: "less preparation", Pounds: amount(r.Prep.Neg()), How: prepared},
			{What: "less warranty", Pounds: amount(r.Warranty.Neg()), How: "our allowance"},
			{What: "less holding", Pounds: amount(r.Holding.Neg()), How: held + ", each at " + pence(p.PitchCostPerDay) +
				" and cost × " + p.StockingRate.String() + " / 365"},
			{What: "less selling", Pounds: amount(r.Selling.Neg()), How: "our allowance"},
			{What: "Profit", Pounds: amount(r.Profit), How: "", Sum: true},
		},
	}
}
