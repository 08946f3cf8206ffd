package terminal

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// gift is the sum whose cheapest way to the customer a deal shows.
var gift = decimal.NewFromInt(500)

// Deal is a part exchange on one screen. Money is pounds with two places.
type Deal struct {
	AsOf    data.Date `json:"as_of"`
	Selling Side      `json:"selling"` // sold today
	Taking  Side      `json:"taking"`  // bought at the allowance and sold later

	Allowance      string   `json:"allowance"`
	StandIn        string   `json:"stand_in_value"`
	Over           string   `json:"over_allowance"`
	Finance        string   `json:"finance_to_settle"`
	NegativeEquity string   `json:"negative_equity"`
	Cash           string   `json:"cash_to_pay"` // below zero: to pay the customer
	VAT            string   `json:"vat"`         // of both
	LeavesNow      string   `json:"leaves_now"`
	LeavesLater    string   `json:"leaves_later"`
	Gifts          []Gift   `json:"giving_500"` // the cheapest first
	Reasons        []string `json:"reasons"`
}

// Side is one of the two vans.
type Side struct {
	StockID   string `json:"stock_id"`
	Van       string `json:"van"`
	VATScheme string `json:"vat_scheme"`
	Basis     string `json:"price_basis"`
	Days      int    `json:"days"` // that it is held for
	Price     string `json:"price"`
	VAT       string `json:"vat"`
	Cost      string `json:"cost"` // net of the VAT that comes back
	Prep      string `json:"prep"`
	Warranty  string `json:"warranty"`
	Holding   string `json:"holding"`
	Selling   string `json:"selling"`
	Profit    string `json:"profit"`
	Target    string `json:"target_profit"`
}

// Gift is one way to give the customer £500.
type Gift struct {
	How  string `json:"how"`
	Cost string `json:"costs"`
}

// NewDeal fills a sheet in. basis says where the price of the van sold is from.
func NewDeal(r *night.Result, selling pricing.MarginRow, basis string, taking *night.Van, d pricing.Deal) *Deal {
	s := &Deal{
		AsOf:           r.AsOf,
		Selling:        side(selling.Van, basis, d.Selling.Days, d.Sale),
		Taking:         side(taking.Van, string(pricing.OnAdvised), d.Taking.Days, d.Resale),
		Allowance:      data.FormatMoney(d.Allowance),
		StandIn:        data.FormatMoney(d.StandIn),
		Over:           data.FormatMoney(d.Over),
		Finance:        data.FormatMoney(d.Finance),
		NegativeEquity: data.FormatMoney(d.Short),
		Cash:           data.FormatMoney(d.Cash),
		VAT:            data.FormatMoney(d.VAT),
		LeavesNow:      data.FormatMoney(d.Now),
		LeavesLater:    data.FormatMoney(d.Later),
	}
	for _, g := range d.Gifts(gift, r.Policy) {
		s.Gifts = append(s.Gifts, Gift{g.How, data.FormatMoney(g.Cost)})
	}
	s.reason(selling, basis, taking, d)
	return s
}

func side(v data.Van, basis string, days int, k pricing.ProfitBreakdown) Side {
	return Side{
		StockID: v.StockID, Van: strings.Join(nonBlank(v.Maker, v.Model, v.Reg), " "),
		VATScheme: string(v.VAT), Basis: basis, Days: days,
		Price: data.FormatMoney(k.Price), VAT: data.FormatMoney(k.VAT), Cost: data.FormatMoney(k.Cost),
		Prep: data.FormatMoney(k.Prep), Warranty: data.FormatMoney(k.Warranty), Holding: data.FormatMoney(k.Holding),
		Selling: data.FormatMoney(k.Selling), Profit: data.FormatMoney(k.Profit), Target: data.FormatMoney(k.Target),
	}
}

// reason says in sentences what the figures alone may hide.
func (s *Deal) reason(selling pricing.MarginRow, basis string, taking *night.Van, d pricing.Deal) {
	say := func(format string, args ...any) { s.Reasons = append(s.Reasons, fmt.Sprintf(format, args...)) }
	if d.Short.IsPositive() {
		say("negative equity: the finance on %s is %s above its allowance; the customer owes that on top of the price, and it belongs in neither van's price",
			taking.StockID, pence(s.NegativeEquity))
	}
	if d.Finance.IsPositive() {
		say("finance of %s on %s is settled by us: get the lender's settlement in writing first", pence(s.Finance), taking.StockID)
	}
	if d.Over.IsPositive() {
		say("the allowance is %s above what %s is worth to us: that comes out of the profit on %s",
			pence(s.Over), taking.StockID, selling.Van.StockID)
	}
	if basis == "agreed" && selling.Van.Asking.Known && d.Selling.Price.GreaterThan(selling.Van.Asking.Value) {
		say("the price is above the asking price: raising price and allowance together moves no cash, and HMRC takes the figures on the finance papers as the true ones (VATVAL06140)")
	}
	for _, side := range []struct {
		van       data.Van
		treatment pricing.VATTreatment
	}{{selling.Van, d.Selling.VATTreatment}, {taking.Van, d.Taking.VATTreatment}} {
		if len(side.treatment.Barred) > 0 {
			say("%s is barred from the margin scheme: %s", side.van.StockID, side.treatment.Why())
		}
		if side.van.VATAssumed {
			say("VAT scheme of %s not recorded: margin scheme assumed", side.van.StockID)
		}
	}
	if d.Taking.VATTreatment.InputVAT {
		say("%s counts as qualifying: the customer must give an invoice that shows the VAT in the allowance", taking.StockID)
	}
	if taking.Prep.Risk.IsPositive() {
		say("%s has untested points: its likely preparation, %s, is used here; 80%% likely to be within %s",
			taking.StockID, pence(data.FormatMoney(taking.Prep.P50)), pence(data.FormatMoney(taking.Prep.P80)))
	}
}
