package pricing

import (
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// Exchange is a part exchange before it is worked out: a van of ours goes out
// and the customer's comes in as part payment.
type Exchange struct {
	Basis     PriceBasis // of the price of the van sold
	Selling   SaleTerms  // the van going out, held until today
	Taking    SaleTerms  // the van coming in, to its own sale; Cost is ignored, the allowance is its cost
	Allowance data.Money // allowed for the van coming in: its purchase price, VAT inside where it qualifies
	StandIn   data.Money // what it is worth to us, its largest bid
	Finance   data.Money // owed on it, settled by us
}

// Deal is what a part exchange leaves. Every amount is in pence, and
//
//	Cash  = Sale.Price − Allowance + Finance
//	Over  = Allowance − StandIn
//	VAT   = Sale.VAT + Resale.VAT
//	Now   = Sale.Profit − Over
//	Later = Sale.Profit + Resale.Profit
//
// hold exactly.
//
// Two supplies, each with its own value, so each with its own VAT, floored at
// zero on its own: HMRC, VATVAL06140. What is allowed is the purchase price of
// the van coming in, however generous: VATMARG13350.
type Deal struct {
	Exchange
	Sale   ProfitBreakdown // the van going out
	Resale ProfitBreakdown // the van coming in, bought at its allowance

	Over  data.Money // over-allowance; negative where less is allowed than the van is worth
	Short data.Money // negative equity: finance above the allowance, which the customer owes on top
	Cash  data.Money // the customer pays; negative where the customer is paid
	VAT   data.Money // on both
	Now   data.Money // left with the van coming in counted at its stand-in value
	Later data.Money // left once that van is sold
}

// NewDeal works out a part exchange.
func NewDeal(x Exchange, policy data.Policy) Deal {
	x.Allowance, x.StandIn, x.Finance = data.Pence(x.Allowance), data.Pence(x.StandIn), data.Pence(x.Finance)
	x.Taking.Cost = x.Allowance
	d := Deal{
		Exchange: x,
		Sale:     Breakdown(x.Selling, policy),
		Resale:   Breakdown(x.Taking, policy),
		Over:     x.Allowance.Sub(x.StandIn),
		Short:    decimal.Max(x.Finance.Sub(x.Allowance), decimal.Zero),
	}
	d.Cash = d.Sale.Price.Sub(x.Allowance).Add(x.Finance)
	d.VAT = d.Sale.VAT.Add(d.Resale.VAT)
	d.Now = d.Sale.Profit.Sub(d.Over)
	d.Later = d.Sale.Profit.Add(d.Resale.Profit)
	return d
}

// Gift is one way to give the customer a sum, and what it takes off what the
// deal leaves in the end, VAT counted.
type Gift struct {
	How  string     // "price", "allowance" or "work"
	Cost data.Money // Later without the gift less Later with it
}

// Gifts lists the three ways to give the customer a sum, the cheapest first: off
// the price, on the allowance, or as that sum spent on work at the workshop's
// own cost, ex VAT. VAT falls with the price and with the margin of the van
// coming in, where there is VAT to fall; work is no part of a margin
// (VATMARG02300), so no VAT comes off for it. Ways that cost the same keep that
// order.
func (d Deal) Gifts(sum data.Money, policy data.Policy) []Gift {
	price, allowance, work := d.Exchange, d.Exchange, d.Exchange
	price.Selling.Price = price.Selling.Price.Sub(sum)
	allowance.Allowance = allowance.Allowance.Add(sum)
	work.Selling.Prep = work.Selling.Prep.Add(sum)
	gifts := []Gift{
		{"price", d.Later.Sub(NewDeal(price, policy).Later)},
		{"allowance", d.Later.Sub(NewDeal(allowance, policy).Later)},
		{"work", d.Later.Sub(NewDeal(work, policy).Later)},
	}
	slices.SortStableFunc(gifts, func(a, b Gift) int { return a.Cost.Cmp(b.Cost) })
	return gifts
}

// CanExchange says in one sentence what keeps one van from being sold with
// another taken in, as far as their rows in the table tell.
func CanExchange(going, coming data.Van) error {
	switch {
	case going.StockID == coming.StockID:
		return fmt.Errorf("%s can't be sold and taken in at once", going.StockID)
	case going.Status == data.Sold:
		return fmt.Errorf("%s was sold on %s: it can't be sold again", going.StockID, going.SoldOn)
	case !going.Status.InHand():
		return fmt.Errorf("%s is %s: only a van in hand can be sold", going.StockID, going.Status)
	case coming.Status == data.Sold:
		return fmt.Errorf("%s was sold on %s: only a van that is offered can be taken in", coming.StockID, coming.SoldOn)
	case coming.Status != data.Offered:
		return fmt.Errorf("%s is %s, so ours already: only a van that is offered can be taken in", coming.StockID, coming.Status)
	case VATTreatmentOf(going).NoRetail:
		return fmt.Errorf("%s is salvage category %s: it has no retail price", going.StockID, going.Salvage)
	case VATTreatmentOf(coming).NoRetail:
		return fmt.Errorf("%s is salvage category %s: it has no stand-in value", coming.StockID, coming.Salvage)
	case !going.Cost.Known:
		return fmt.Errorf("%s has no cost in the yard: what the deal leaves can't be worked out", going.StockID)
	}
	return nil
}

// NewExchange joins the margin of a van in hand, as if it were sold today, and
// the bid for a van that is offered. The price is the agreed one, else the asking
// price, else the row's. The error says in one sentence what keeps the two from
// being a deal.
func NewExchange(out MarginRow, agreed data.Opt[data.Money], in Bid, allowance data.Money) (Exchange, error) {
	going, coming := out.Van, in.Quote.Van
	price, basis := out.Price, out.Basis
	switch {
	case agreed.Known:
		price, basis = agreed, OnAgreed
	case out.Asking.Known:
		price, basis = out.Asking, OnAsking
	}
	if err := CanExchange(going, coming); err != nil {
		return Exchange{}, err
	}
	if !price.Known {
		return Exchange{}, fmt.Errorf("%s has no price: neither an asking price nor one that can be advised", going.StockID)
	}
	if !in.Known {
		return Exchange{}, fmt.Errorf("%s has no stand-in value: no price can be given for it", coming.StockID)
	}
	return Exchange{
		Basis: basis,
		Selling: SaleTerms{
			VATTreatment: VATTreatmentOf(going), Price: price.Value, Cost: going.Cost.Value,
			Prep: out.Breakdown.Prep, Days: out.DaysHeld,
		},
		Taking: SaleTerms{
			VATTreatment: VATTreatmentOf(coming), Price: in.Quote.Price.Value,
			Prep: in.Prep.P50, Days: in.PrepDays + in.DaysToSell,
		},
		Allowance: allowance,
		StandIn:   in.StandIn,
		Finance:   coming.FinanceOwed.Or(decimal.Zero),
	}, nil
}
