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
	return m, m.Quote(van), prep.CostOf(nil, a.Untested, van.Body, books, policy)
}

// The chance that the target is met, against a simulation that draws price,
// preparation and days and reckons each outcome. With 200,000
// draws the simulation's standard error is at most 0.11 points; the sums stand
// for the integrals to about half a point. Together: 1 point.
func TestConfidenceAgreesWithSimulation(t *testing.T) {
	const draws, tolerance = 200_000, 0.01
	policy := data.DefaultPolicy()
	for _, scheme := range []data.VATScheme{data.MarginScheme, data.Qualifying} {
		t.Run(string(scheme), func(t *testing.T) {
			m, quote, cost := offered(t, scheme, policy)
			bid := m.Bid(quote, cost, 12)
			o := m.odds(bid.saleTerms(), quote, cost, 12)
			for _, offered := range []data.Money{bid.OpeningBid, bid.MaxBid, bid.MaxBid.Add(pounds("2500"))} {
				got := o.meets(offered)
				want := simulate(m, bid, offered, draws)
				if math.Abs(got-want) > tolerance {
					t.Errorf("at a bid of %s: %.4f, simulated %.4f", offered, got, want)
				}
			}
			if at := o.meets(bid.OpeningBid); at < policy.Confidence {
				t.Errorf("the opening bid %s meets the target with %.3f, want %.2f", bid.OpeningBid, at, policy.Confidence)
			}
			if next := bid.OpeningBid.Add(policy.BidStep); next.LessThan(bid.MaxBid) && o.meets(next) >= policy.Confidence {
				t.Errorf("%s would meet the target as well", next)
			}
		})
	}
}

// simulate follows the rules of the money for each draw, in float64 and by
// itself: profit = price − VAT − cost − prep − warranty − holding − selling.
func simulate(m *Market, b Bid, bid data.Money, draws int) float64 {
	rng := rand.New(rand.NewPCG(1, 2))
	p := m.policy
	price := b.Quote.Price.Value.InexactFloat64()
	at := m.timing.at(price/b.Quote.Market.Value.InexactFloat64(), m.asOf, b.Quote.Van.Body)
	paid, net, taxFree := bid.InexactFloat64(), bid.InexactFloat64()/1.2, 0.0
	if b.Quote.Van.VAT == data.MarginScheme {
		net, taxFree = paid, paid
	}
	perDay := p.PitchCostPerDay.InexactFloat64() + net*p.StockingRate.InexactFloat64()/365
	fixed := p.WarrantyCost.Add(p.SellingCost).InexactFloat64()
	met := 0
	for range draws {
		fetched := price * math.Exp(b.Quote.LogSD*rng.NormFloat64())
		days := float64(b.PrepDays) + min(m.timing.model.Quantile(rng.Float64(), at), 3*365)
		vat := max(0, fetched-taxFree) / 6
		profit := fetched - vat - net - b.Prep.Spread.Quantile(rng.Float64()) - fixed - perDay*days
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
	o := m.odds(bid.saleTerms(), quote, cost, 12)
	for b.Loop() {
		o.meets(bid.MaxBid)
	}
}

func BenchmarkBid(b *testing.B) {
	m, quote, cost := offered(b, data.MarginScheme, data.DefaultPolicy())
	for b.Loop() {
		m.Bid(quote, cost, 12)
	}
}
