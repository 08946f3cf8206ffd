package pricepath

import (
	"math"
	"testing"
)

// The closed form for one item under exponential demand. Gallego and van Ryzin
// (1994), "Optimal dynamic pricing of inventories with stochastic demand over
// finite horizons", give the optimal policy in closed form for an exponential
// family of demand functions; the derivation for one item, with a holding cost
// and a salvage value, is ours:
//
// Buyers come at the rate λ(p) = a·e^{−αp}. With V(t) the value with t to go,
//
//	V' = −h + max over p of λ(p)·(p − V),   V(0) = s.
//
// The maximum lies at p = V + 1/α, which leaves V' = −h + (a/(αe))·e^{−αV}. Then
// y = e^{αV} obeys y' = a/e − αh·y, a linear equation, so that
//
//	y(t) = e^{αs}·e^{−αht} + (a/e)·(1 − e^{−αht})/(αh)
//
// and for h → 0, s = 0: V = log(1 + a·t/e)/α, p = V + 1/α.
type exponentialDemand struct {
	rate, alpha   float64 // a per day, α per pound
	hold, salvage float64
}

func (m exponentialDemand) value(t float64) float64 {
	decay := m.alpha * m.hold
	growth := t
	if decay > 0 {
		growth = -math.Expm1(-decay*t) / decay
	}
	y := math.Exp(m.alpha*m.salvage-decay*t) + m.rate/math.E*growth
	return math.Log(y) / m.alpha
}

func (m exponentialDemand) price(t float64) float64 { return m.value(t) + 1/m.alpha }

// fixedValue is the value of one price throughout, in closed form.
func (m exponentialDemand) fixedValue(price, t float64) float64 {
	rate := m.rate * math.Exp(-m.alpha*price)
	sold := -math.Expm1(-rate * t)
	return sold*price + (1-sold)*m.salvage - m.hold*sold/rate
}

// problem cuts the horizon into steps of length dt.
func (m exponentialDemand) problem(horizon, dt float64, prices []float64) Problem {
	return Problem{
		Prices: prices, Proceeds: prices, Days: int(math.Round(horizon / dt)),
		HoldingPerDay: m.hold * dt, Salvage: m.salvage,
		Chance: Each(func(_, q int) float64 { return -math.Expm1(-m.rate * math.Exp(-m.alpha*prices[q]) * dt) }),
	}
}

func grid(low, high, step float64) []float64 {
	var g []float64
	for i := 0; low+float64(i)*step <= high; i++ {
		g = append(g, low+float64(i)*step)
	}
	return g
}

func TestSolveAgreesWithTheClosedForm(t *testing.T) {
	tests := []struct {
		name   string
		demand exponentialDemand
	}{
		{"nothing to hold, nothing left", exponentialDemand{rate: 0.4, alpha: 1 / 800.0}},
		{"holding cost", exponentialDemand{rate: 0.4, alpha: 1 / 800.0, hold: 6}},
		{"holding cost and salvage", exponentialDemand{rate: 0.4, alpha: 1 / 800.0, hold: 6, salvage: 900}},
	}
	const horizon = 180.0
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			prices := grid(0, 6000, 10)
			errorAt := func(dt float64) float64 {
				plan, err := Solve(tt.demand.problem(horizon, dt, prices))
				if err != nil {
					t.Fatal(err)
				}
				// The first price and one half way are the closed form's, to the grid
				// and the step.
				for _, s := range []Step{priceOn(plan, 0), priceOn(plan, int(horizon/2/dt))} {
					at := horizon / 2
					if s.Day == 0 {
						at = horizon
					}
					if want := tt.demand.price(at); math.Abs(s.Price-want) > 10+20*dt {
						t.Errorf("step %v: price %v with %v days to go, want %v", dt, s.Price, at, want)
					}
				}
				return plan.Profit - tt.demand.value(horizon)
			}
			day, quarter, tenth := errorAt(1), errorAt(0.25), errorAt(0.1)
			want := tt.demand.value(horizon)
			if math.Abs(day) > 5e-3*want || math.Abs(tenth) > 5e-4*want {
				t.Errorf("off the closed form %v by %v at a day's step, %v at a tenth", want, day, tenth)
			}
			// A first-order scheme: the error falls with the step.
			if math.Abs(quarter) > 0.4*math.Abs(day)+0.05 || math.Abs(tenth) > 0.6*math.Abs(quarter)+0.05 {
				t.Errorf("errors %v, %v, %v do not fall with steps of 1, 0.25 and 0.1", day, quarter, tenth)
			}
		})
	}
}

// priceOn is what a plan asks on a day, with the day as asked.
func priceOn(plan *Plan, day int) Step {
	s := plan.Ladder[0]
	for _, next := range plan.Ladder {
		if next.Day <= day {
			s = next
		}
	}
	s.Day = day
	return s
}

func TestFixedPriceAgreesWithTheClosedForm(t *testing.T) {
	m := exponentialDemand{rate: 0.4, alpha: 1 / 800.0, hold: 6, salvage: 900}
	for _, price := range []float64{1000, 2500, 4000} {
		o, err := Fixed(m.problem(180, 0.1, []float64{price}), 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "profit", o.Profit, m.fixedValue(price, 180), 1e-3)
		if m.fixedValue(price, 180) > m.value(180) {
			t.Errorf("the closed forms disagree at %v", price)
		}
	}
}
