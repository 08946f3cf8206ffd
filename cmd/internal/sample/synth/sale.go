package synth

import (
	"fmt"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// salesYears is how far back the listings of sales.csv go.
const salesYears = 4.0

// NewSale draws the n-th past sale. A van is asked at what it should fetch, give
// or take PriceNoise, and a little to haggle over; it is sold for what it fetches
// in the month of its sale, never above the asking price. Where its day of sale
// would fall after the as-of date it is still for sale.
func (s Spec) NewSale(d *Draws, n int) data.Sale {
	d.reset(s.Seed, streamSale, n)
	listed := onOrBefore(trading, s.AsOf.AddDays(-d.between(1, int(salesYears*365))))
	c := s.newVan(d, n, listed)
	v, t := c.Van, c.Traits()

	luck := exp(mul(PriceNoise, d.normal()))
	worth := TruePrice(t, listed)
	asking := priceEnding(mul(mul(worth, luck), 1+d.span(0.005, 0.055)))
	soldOn := onOrAfter(trading, listed.AddDays(d.daysToSell(SaleScale(float64(asking), worth, listed))))

	sale := data.Sale{
		SaleID: fmt.Sprintf("S%07d", n+1), Maker: v.Maker, Model: v.Model, Body: v.Body,
		Chassis: v.Chassis, Gearbox: v.Gearbox, FirstRegistered: v.FirstRegistered,
		Mileage: v.Mileage, Berths: v.Berths, LengthMM: v.LengthMM, Grade: data.Some(c.Grade),
		Listed: listed, Asking: data.Some(decimal.NewFromInt(int64(asking))), VAT: data.MarginScheme,
	}
	if d.chance(0.08) {
		sale.VAT = data.Qualifying
	}
	if soldOn <= s.AsOf {
		sale.SoldOn = soldOn
		fetched := min(float64(asking), mul(TruePrice(t, soldOn), luck))
		sale.SoldPrice = data.Some(pounds(fetched, 5))
	}
	return sale
}
