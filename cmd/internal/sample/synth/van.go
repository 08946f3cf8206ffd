package synth

import (
	"fmt"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// soldYears is how far back the yard's sold vans go.
const soldYears = 4.0

// Case is a van with what its seller knows and the table does not say.
type Case struct {
	Van   data.Van
	Grade int // 1 best to 5
}

// newCase draws the n-th van of a yard.
func (s Spec) newCase(d *Draws, n int) Case {
	d.reset(s.Seed, streamVan, n)
	status := s.statusOf(d, n)
	acquired := s.acquiredOn(d, status)
	if status != data.Offered {
		acquired = onOrBefore(trading, acquired)
	}

	c := s.newVan(d, n, acquired)
	v := &c.Van
	m, _ := FindModel(v.Maker, v.Model)
	v.Equipment = equip(d, m)
	v.Status = status
	v.PurchaseSource = []data.PurchaseSource{data.PartExchange, data.Private, data.Trade, data.Auction}[d.weighted(55, 20, 15, 10)]
	v.VAT = data.MarginScheme
	if (v.PurchaseSource == data.Trade || v.PurchaseSource == data.Auction) && d.chance(0.3) {
		v.VAT = data.Qualifying
	}
	if v.VAT == data.MarginScheme && d.chance(0.01) {
		v.Imported, v.VAT = true, data.Qualifying
	}
	if d.chance(0.012) {
		v.Salvage = pick(d, []string{"N", "N", "S"})
		if status == data.Offered || status == data.Owned {
			v.Salvage = pick(d, []string{"N", "S", "B"}) // B is never put up for sale
		}
	}
	if status != data.Ready && status != data.Sold && d.chance(0.06) {
		v.FinanceOwed = data.Some(pounds(d.span(1500, 14000), 50))
	}
	s.trade(d, c, v, acquired)
	return c
}

// newVan draws what a van is, apart from its equipment and its dealings. Day is
// when it was, or may be, bought.
func (s Spec) newVan(d *Draws, n int, day data.Date) Case {
	var m Model
	var first data.Date
	for {
		m = pick(d, Models)
		// Squaring leans towards newer vans: mean about 7, at most 21.
		u := d.uniform()
		first = onOrAfter(working, day.AddDays(-whole(mul(365.25, 0.6+mul(20, mul(u, u))))))
		if y := first.Year(); y >= m.FromYear && y <= m.ToYear {
			break
		}
	}
	age := day.YearsSince(first)
	v := data.Van{
		StockID: fmt.Sprintf("V%06d", n+1), Reg: Reg(n), VIN: VIN(m, n+1),
		Maker: m.Maker, Model: m.Name, Body: m.Body, Chassis: m.Chassis, Fuel: "diesel",
		Gearbox: "manual", FirstRegistered: first,
		Berths: data.Some(m.Berths), Belts: data.Some(m.Belts), LengthMM: data.Some(m.LengthMM),
		MaxMassKg: data.Some(m.MaxMassKg), RunningMassKg: data.Some(m.RunningMassKg + 10*d.between(-3, 6)),
		FrontAxleKg: data.Some(m.FrontAxleKg), RearAxleKg: data.Some(m.RearAxleKg),
		Keepers: data.Some(1 + min(7, whole(mul(d.span(0, 0.5), age)))),
		Keys:    data.Some(1 + d.weighted(25, 70, 5)),
		Site:    pick(d, []string{"Saltmere", "Thornholt"}),
	}
	if d.chance(m.AutomaticPct / 100) {
		v.Gearbox = "automatic"
	}
	perYear := mul(NormalMiles, exp(mul(0.4, d.normal())-0.08))
	v.Mileage = max(40, whole(mul(perYear, age)))
	return Case{Van: v, Grade: gradeAt(d, age)}
}

// gradeAt draws a grade: worse with age.
func gradeAt(d *Draws, age float64) int {
	return min(5, max(1, whole(1.6+mul(0.11, age)+mul(0.8, d.normal()))))
}

// equip draws what is fitted, in the order of data.EquipmentWords.
func equip(d *Draws, m Model) []string {
	fitted := slices.Clone(m.Equipment)
	fitted = append(fitted, []string{"battery-lead-acid", "battery-agm", "battery-lithium"}[d.weighted(55, 35, 10)])
	for _, extra := range []struct {
		word string
		p    float64
	}{{"awning", 0.7}, {"solar", 0.45}, {"reversing-camera", 0.5}, {"towbar", 0.25},
		{"television", 0.3}, {"external-shower", 0.25}, {"gas-tank", 0.08}, {"electric-heater", 0.4}} {
		if d.chance(extra.p) {
			fitted = append(fitted, extra.word)
		}
	}
	tank := slices.Contains(fitted, "gas-tank")
	list := make([]string, 0, len(fitted))
	for _, w := range data.EquipmentWords {
		if slices.Contains(fitted, w) && !(tank && w == "gas-locker") {
			list = append(list, w)
		}
	}
	return list
}

// statusOf gives the first vans as sold, then those in hand, then those offered,
// so that stock numbers follow the years.
func (s Spec) statusOf(d *Draws, n int) data.Status {
	switch {
	case n >= s.Vans-s.Offered:
		return data.Offered
	case n >= s.Vans-s.Offered-s.InHand:
		return []data.Status{data.Owned, data.Preparing, data.Ready}[d.weighted(25, 40, 35)]
	}
	return data.Sold
}

func (s Spec) acquiredOn(d *Draws, status data.Status) data.Date {
	switch status {
	case data.Offered:
		return s.AsOf
	case data.Owned:
		return s.AsOf.AddDays(-d.between(0, 30))
	case data.Preparing:
		return s.AsOf.AddDays(-d.between(8, 60))
	case data.Ready:
		return s.AsOf.AddDays(-d.between(25, 160))
	}
	return s.AsOf.AddDays(-d.between(45, int(soldYears*365)))
}

// trade draws what was paid, asked and got. A dealer here pays 10 to 18 % less
// than the van should retail for, and is now and then wrong about it.
func (s Spec) trade(d *Draws, c Case, v *data.Van, acquired data.Date) {
	worth := TruePrice(c.Traits(), acquired)
	asking := mul(worth, exp(mul(PriceNoise, d.normal())+d.span(0.005, 0.055)))
	if d.chance(0.6) {
		v.Guide = data.Some(pounds(mul(worth, exp(mul(0.05, d.normal()))), 100))
	}
	if v.Status == data.Offered {
		return
	}
	v.Acquired = acquired
	v.Cost = data.Some(pounds(mul(asking, 1-min(0.26, max(0.02, 0.155+mul(0.035, d.normal())))), 50))
	prepared := acquired.AddDays(d.between(6, 24))
	switch v.Status {
	case data.Owned:
		return
	case data.Preparing:
		if d.chance(0.12) {
			v.PromisedOn = onOrAfter(trading, s.AsOf.AddDays(d.between(3, 28)))
		}
		return
	}
	v.Listed = min(onOrAfter(working, prepared), max(acquired, onOrBefore(working, s.AsOf)))
	v.Asking = data.Some(decimal.NewFromInt(int64(priceEnding(asking))))
	if v.Status == data.Ready {
		return
	}
	scale := SaleScale(asking, worth, v.Listed)
	window := s.AsOf.DaysSince(v.Listed)
	days := d.daysToSell(scale)
	for range 30 { // it is known to be sold by now
		if days <= window {
			break
		}
		days = d.daysToSell(scale)
	}
	v.SoldOn = min(onOrAfter(trading, v.Listed.AddDays(min(days, window))), onOrBefore(trading, s.AsOf))
	v.SoldPrice = data.Some(pounds(mul(float64(priceEnding(asking)), 1-d.span(0, 0.05)), 10))
}

// Traits returns what the price model looks at.
func (c Case) Traits() Traits {
	v := c.Van
	return Traits{Maker: v.Maker, Model: v.Model, Body: v.Body, Gearbox: v.Gearbox,
		FirstRegistered: v.FirstRegistered, Mileage: v.Mileage, Berths: v.Berths.Value,
		LengthMM: v.LengthMM.Value, Grade: c.Grade}
}

// pounds rounds a drawn amount to a step of whole pounds.
func pounds(amount, step float64) data.Money {
	return decimal.NewFromInt(int64(mul(math.Floor(amount/step+0.5), step)))
}

// priceEnding returns the nearest amount that ends in 495 or 995.
func priceEnding(asking float64) int { return max(995, whole((asking+5)/500)*500-5) }
