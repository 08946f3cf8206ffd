package forecast

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Points spread evenly over the chances that a draw is made of. They are shared
// by all things that are forecast, and never written to.
type Points struct {
	worth    []float64 // standard normal scores
	patience []float64 // exponential: the cumulative hazard at which a buyer comes
	haggle   []float64 // in (0, 1)
	buyer    []float64 // in (0, 1): of which sort
}

// step is the number whose powers spread points over three dimensions most
// evenly, the real root of x⁴ = x + 1 (M. Roberts 2018, from memory). The sort of
// buyer, of which there are two, turns by another irrational number.
const step = 1.2207440846057596

// NewPoints spreads n points, the first of them where seed says.
func NewPoints(n int, seed int64) *Points {
	p := &Points{make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)}
	start := math.Mod(0.5+float64(uint64(seed)%1_000_003)*(math.Phi-1), 1)
	for i := range n {
		at := func(turn float64) float64 {
			v := math.Mod(start+float64(i+1)*turn, 1)
			return (math.Floor(v*float64(n)) + 0.5) / float64(n) // never 0 or 1
		}
		p.worth[i] = distuv.UnitNormal.Quantile(at(1 / step))
		p.patience[i] = -math.Log(at(math.Pow(step, -2)))
		p.haggle[i] = at(math.Pow(step, -3))
		p.buyer[i] = at(math.Sqrt2 - 1)
	}
	return p
}
