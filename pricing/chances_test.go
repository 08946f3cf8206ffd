package pricing

import (
	"math"
	"math/rand/v2"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// offered is a van with a guide price, jobs to do and points that nobody tested.
func offered(t testing.TB, scheme data.VATScheme, policy data.Policy) (*Market, Quote, prep.Cost) {
	t.Helper()
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	van := data.Van{
		StockID: "Q1", Maker: "Larkfield", Model: "Rothmere 540", Body: data.LowProfile, Status: data.Offered,
		VAT: scheme, FirstRegistered: data.NewDate(2018, 4, 2), Mileage: 31000, Guide: data.Some(pounds("38000")),
	}
	asOf := data.NewDate(2026, 3, 9)
	a := appraise.Assess(van, nil, nil, nil, books, policy, asOf)
	m := NewMarket(nil, asOf, policy)
	return m, m.Quote(van, Condition{}), prep.CostOf(nil, a.Untested, van.Body, books, policy)
}

// The chance that the target is met, against a simulation that draws worth,
// buyers, haggling and preparation at random, walks the days one by one, and
// works out each sale. With 40,000 draws the simulation's standard error is at most
// 0.25 points; 400 points laid out evenly stand for the integral to about one.
func TestConfidenceAgreesWithSimulation(t *testing.T) {
	if testing.Short() {
		t.Skip("a long comparison with simulation")
	}
	const draws, tolerance = 40_000, 0.015
	policy := data.DefaultPolicy()
	for _, scheme := range []data.VATScheme{data.MarginScheme, data.Qualifying} {
		t.Run(string(scheme), func(t *testing.T) {
			m, quote, cost := offered(t, scheme, policy)
			bid := m.Bid(quote, cost, 12)
			c := m.chancesOf(bid.saleTerms(), quote, cost, 12)
			for _, offered := range []data.Money{bid.OpeningBid, bid.MaxBid, bid.MaxBid.Add(pounds("2500"))} {
				got := c.meets(offered)
				want := simulate(m, bid, offered, draws)
				if math.Abs(got-want) > tolerance {
					t.Errorf("at a bid of %s: %.4f, simulated %.4f", offered, got, want)
				}
			}
			if at := c.meets(bid.OpeningBid); at < policy.Confidence {
				t.Errorf("the opening bid %s meets the target with %.3f, want %.2f", bid.OpeningBid, at, policy.Confidence)
			}
			if next := bid.OpeningBid.Add(policy.BidStep); next.LessThan(bid.MaxBid) && c.meets(next) >= policy.Confidence {
				t.Errorf("%s would meet the target as well", next)
			}
		})
	}
}

// What untested points hide takes days as well as money: of a pound 60 pence are labour at
// 32 an hour, of which 40 / 7 hours are worked on a calendar day.
func TestHiddenDefectsTakeDays(t *testing.T) {
	policy := data.DefaultPolicy()
	m, quote, cost := offered(t, data.MarginScheme, policy)
	b := m.Bid(quote, cost, 12)
	for _, tt := range []struct {
		p   float64
		got int
	}{{0.5, b.ReadyP50}, {0.8, b.ReadyP80}} {
		pounds := cost.Spread.Quantile(tt.p) - cost.P50.InexactFloat64()
		if want := 12 + int(math.Ceil(pounds*0.6/32/(40.0/7))); tt.got != want {
			t.Errorf("ready with chance %.1f in %d days, want %d", tt.p, tt.got, want)
		}
	}
	if b.ReadyP80 <= b.ReadyP50 {
		t.Errorf("ready in %d days four times in five, in %d one time in two", b.ReadyP80, b.ReadyP50)
	}
	if known := m.Bid(quote, prep.CostOf(nil, nil, quote.Van.Body, nil, policy), 12); known.ReadyP50 != 12 || known.ReadyP80 != 12 {
		t.Errorf("nothing hidden: %d and %d days", known.ReadyP50, known.ReadyP80)
	}
}

// Labour that costs nothing leaves chances that are chances.
func TestChancesWithFreeLabour(t *testing.T) {
	policy := data.DefaultPolicy()
	policy.LabourCostPerHour = data.Money{}
	m, quote, cost := offered(t, data.MarginScheme, policy)
	bid := m.Bid(quote, cost, 12)
	if pct := bid.Confidence.Value.InexactFloat64(); !bid.Confidence.Known || pct < 0 || pct > 100 {
		t.Errorf("a chance of %v%%", pct)
	}
}

// simulate follows the model of README.md and the rules of the money for each
// draw, in float64 and by itself.
func simulate(m *Market, b Bid, bid data.Money, draws int) float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	p, q := m.policy, b.Quote
	value := q.Market.Value.InexactFloat64()
	worthSD := m.worthSD(&q)
	paid, net, taxFree := bid.InexactFloat64(), bid.InexactFloat64()/1.2, 0.0
	if q.Van.VAT == data.MarginScheme {
		net, taxFree = paid, paid
	}
	perDay := p.PitchCostPerDay.InexactFloat64() + net*p.StockingRate.InexactFloat64()/365
	fixed := p.WarrantyCost.Add(p.SellingCost).InexactFloat64()
	asks := map[int]float64{0: q.AskingPrice.Value.InexactFloat64()}
	for _, s := range q.Ladder {
		asks[s.From.DaysSince(m.asOf)] = m.askingFor(s.Price).InexactFloat64()
	}
	base := make([]float64, 3*365+1) // chance-free hazard of each day at a price of the value
	for day := range base {
		at := m.timing.at(1, m.asOf, q.Van.Body)
		base[day] = -math.Log1p(-chanceOf(m.timing.model, float64(day), float64(day+1), at))
	}
	met := 0
	for range draws {
		off := worthSD * rng.NormFloat64()
		patience, ask, days := rng.ExpFloat64(), 0.0, 0
		for patience > 0 && days < 3*365 {
			if a, ok := asks[days]; ok {
				ask = a
			}
			over := math.Log(ask*m.buyers.typical/value) - feltShare*off
			patience -= base[days] * math.Exp(-m.timing.power()*over)
			days++
		}
		over := math.Log(ask*m.buyers.typical/value) - off + depreciationPerDay*(float64(days+b.PrepDays)-m.Pace().MedianDays)
		habit := m.buyers.habit
		at := rng.Float64()*float64(len(habit)) - 0.5
		low := max(0, min(int(math.Floor(at)), len(habit)-2))
		haggle := habit[low] + max(0, min(1, at-float64(low)))*(habit[low+1]-habit[low])
		back := m.buyers.givenBack / 2
		if rng.Float64() < m.buyers.givenBack {
			back += 0.5
		}
		fetched := ask * math.Exp(min(haggle-back*over, max(haggle, 0)))
		cost := b.Prep.Spread.Quantile(rng.Float64())
		late := max(0, cost-b.Prep.P50.InexactFloat64()) * labourShare / hoursPerDay / p.LabourCostPerHour.InexactFloat64()
		vat := max(0, fetched-taxFree) / 6
		profit := fetched - vat - net - cost - fixed - perDay*(float64(b.PrepDays+days)+late)
		target := max((fetched-vat)*p.TargetProfitPct.InexactFloat64()/100, p.TargetProfitMin.InexactFloat64())
		if profit >= target {
			met++
		}
	}
	return float64(met) / float64(draws)
}

func BenchmarkMeets(b *testing.B) {
	m, quote, cost := offered(b, data.MarginScheme, data.DefaultPolicy())
	bid := m.Bid(quote, cost, 12)
	c := m.chancesOf(bid.saleTerms(), quote, cost, 12)
	for b.Loop() {
		c.meets(bid.MaxBid)
	}
}

func BenchmarkBid(b *testing.B) {
	m, quote, cost := offered(b, data.MarginScheme, data.DefaultPolicy())
	for b.Loop() {
		m.Bid(quote, cost, 12)
	}
}
