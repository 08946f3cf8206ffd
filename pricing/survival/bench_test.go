package survival

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// drawSales makes n censored Weibull times with k covariates, seeded.
func drawSales(n, k int) (times []float64, events []bool, x [][]float64, names []string) {
	random := rand.New(rand.NewPCG(1, 2))
	truth := AFT{Coef: make([]float64, k+1), Scale: 0.9}
	truth.Coef[0] = 4
	for j := range k {
		truth.Coef[j+1] = 0.2 * float64(j%3-1)
		names = append(names, fmt.Sprint("x", j))
	}
	for range n {
		row := make([]float64, k)
		for j := range row {
			row[j] = random.NormFloat64()
		}
		t := math.Ceil(truth.Quantile(random.Float64(), row))
		cut := math.Ceil(200 * random.Float64())
		times = append(times, min(t, cut))
		events = append(events, t <= cut)
		x = append(x, row)
	}
	return times, events, x, names
}

func BenchmarkFitWeibull(b *testing.B) {
	for _, n := range []int{1_000, 100_000} {
		times, events, x, names := drawSales(n, 10)
		b.Run(fmt.Sprintf("rows=%d/covariates=10", n), func(b *testing.B) {
			for b.Loop() {
				if _, err := FitWeibull(times, events, x, names); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
