package pricing

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// SaleTerms is one van bought at Cost and sold at Price: what Breakdown needs to know.
type SaleTerms struct {
	VATTreatment VATTreatment
	Price        data.Money           // VAT inside
	Cost         data.Money           // as paid or bid, VAT inside where InputVAT
	Prep         data.Money           // ex VAT
	Days         int                  // from purchase to sale
	Claims       data.Opt[data.Money] // warranty as paid, where that is known; the policy's otherwise
}

// ProfitBreakdown is where the price of one van goes. Every amount is in pence and
//
//	Profit = Price − VAT − Cost − Prep − Warranty − Holding − Selling
//
// holds exactly.
type ProfitBreakdown struct {
	Price     data.Money
	VAT       data.Money
	Cost      data.Money // net of VAT where that is recoverable
	Prep      data.Money
	Warranty  data.Money
	Holding   data.Money
	Selling   data.Money
	Profit    data.Money
	ProfitPct data.Opt[decimal.Decimal] // of price less VAT, one place
	Target    data.Money                // profit wanted at this price and cost
}

// Breakdown works out what a sale leaves. Each amount is rounded once, here.
func Breakdown(s SaleTerms, policy data.Policy) ProfitBreakdown {
	r := ProfitBreakdown{
		Price:    data.Pence(s.Price),
		VAT:      data.Pence(s.VATTreatment.OutputVAT(s.Price, s.Cost, policy)),
		Cost:     data.Pence(s.VATTreatment.NetCost(s.Cost, policy)),
		Prep:     data.Pence(s.Prep),
		Warranty: data.Pence(s.Claims.Or(policy.WarrantyCost)),
		Holding:  Holding(s.Days, s.VATTreatment.NetCost(s.Cost, policy), policy),
		Selling:  data.Pence(policy.SellingCost),
	}
	r.Profit = r.Price.Sub(r.VAT).Sub(r.Cost).Sub(r.Prep).Sub(r.Warranty).Sub(r.Holding).Sub(r.Selling)
	net := r.Price.Sub(r.VAT)
	r.ProfitPct = data.Percent(r.Profit, net, 1)
	r.Target = Target(net, policy)
	return r
}

// Holding returns what it costs to keep a van for some days, to the penny:
// days × (pitch_cost_per_day + cost × stocking_rate / 365).
func Holding(days int, netCost data.Money, policy data.Policy) data.Money {
	pitch := policy.PitchCostPerDay.Mul(decimal.NewFromInt(int64(days)))
	return data.Pence(pitch.Add(data.Days(netCost.Mul(policy.StockingRate), days)))
}

// Target returns the profit wanted of a sale, to the penny: the larger of
// target_profit_pct of price less VAT, and target_profit_min.
func Target(priceLessVAT data.Money, policy data.Policy) data.Money {
	share := priceLessVAT.Mul(policy.TargetProfitPct).Mul(onePercent)
	return data.Pence(decimal.Max(share, policy.TargetProfitMin))
}

var onePercent = decimal.New(1, -2)
