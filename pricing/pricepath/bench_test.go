package pricepath

import (
	"math"
	"testing"
)

// vanSized is a problem of the size met in use: 180 days, 60 prices, 28 days to
// stand, Weibull hazard and a kink in the proceeds.
func vanSized() Problem {
	p := Problem{Days: 180, RepriceDays: 28, HoldingPerDay: 11.2, Salvage: -900}
	ratio := make([]float64, 60)
	for i := range 60 {
		price := 24_000 + 150*float64(i)
		p.Prices = append(p.Prices, price)
		margin := price - 25_000
		p.Proceeds = append(p.Proceeds, margin-max(0, margin)/6)
		ratio[i] = math.Pow(price/28_000, -6)
	}
	base := make([]float64, p.Days)
	for d := range base {
		base[d] = math.Pow(float64(d+1)/60, 1.15) - math.Pow(float64(d)/60, 1.15)
	}
	p.Chance = Proportional(base, ratio)
	return p
}

func BenchmarkSolve(b *testing.B) {
	p := vanSized()
	var s Solver
	b.Run("days=180/prices=60/stand=28/hazards", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Solve(p); err != nil {
				b.Fatal(err)
			}
		}
	})
	table := make([][]float64, p.Days)
	for d := range table {
		table[d] = make([]float64, len(p.Prices))
		p.Chance(d, table[d])
	}
	p.Chance = Table(table)
	b.Run("days=180/prices=60/stand=28/table", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.Solve(p); err != nil {
				b.Fatal(err)
			}
		}
	})
}
