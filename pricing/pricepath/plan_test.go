package pricepath

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func near(t rapid.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*max(1, math.Abs(want))) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// Solve is Solver.Solve in memory of its own.
func Solve(p Problem) (*Plan, error) { return new(Solver).Solve(p) }

// Each asks for one chance at a time, by day and index of price.
func Each(chance func(day, price int) float64) Chance {
	return func(day int, chances []float64) {
		for q := range chances {
			chances[q] = chance(day, q)
		}
	}
}

// Table reads chances from rows[day][price].
func Table(rows [][]float64) Chance {
	return func(day int, chances []float64) { copy(chances, rows[day]) }
}

// Fixed is the outcome of asking one price of the grid on every day, whatever
// Standing says.
func Fixed(p Problem, price int) (Outcome, error) {
	if err := p.check(); err != nil {
		return Outcome{}, err
	}
	if price < 0 || price >= len(p.Prices) {
		return Outcome{}, fmt.Errorf("%w: no price %d in a grid of %d", ErrBadProblem, price, len(p.Prices))
	}
	return p.followChances([]Step{{Index: price}})
}

// followChances asks for chances as it goes.
func (p *Problem) followChances(ladder []Step) (Outcome, error) {
	n := len(p.Prices)
	chance := make([]float64, p.Days*n)
	for day := range p.Days {
		if err := p.chances(day, row(chance, day, n)); err != nil {
			return Outcome{}, err
		}
	}
	return p.follow(ladder, chance), nil
}

// drawProblem makes a small problem with chances of any shape.
func drawProblem(t *rapid.T, maxDays, maxPrices int) Problem {
	n := rapid.IntRange(1, maxPrices).Draw(t, "prices")
	p := Problem{
		Days:          rapid.IntRange(1, maxDays).Draw(t, "days"),
		RepriceDays:   rapid.IntRange(0, 5).Draw(t, "reprice days"),
		HoldingPerDay: float64(rapid.IntRange(0, 40).Draw(t, "holding")),
		Salvage:       float64(rapid.IntRange(-100, 800).Draw(t, "salvage")),
	}
	for i := range n {
		p.Prices = append(p.Prices, float64(1000+100*i))
		p.Proceeds = append(p.Proceeds, float64(rapid.IntRange(-200, 1000).Draw(t, "proceeds")))
	}
	rows := make([][]float64, p.Days)
	for d := range rows {
		for range n {
			// Certain and impossible sales are where a shortcut would divide by zero.
			c := float64(rapid.IntRange(0, 20).Draw(t, "chance")) / 20
			rows[d] = append(rows[d], c)
		}
	}
	p.Chance = Table(rows)
	if rapid.Bool().Draw(t, "standing") {
		p.Standing = &Standing{
			Price:  rapid.IntRange(0, n-1).Draw(t, "standing price"),
			FreeIn: rapid.IntRange(0, 6).Draw(t, "free in"),
		}
	}
	return p
}

func chanceOn(p *Problem, day int) []float64 {
	c := make([]float64, len(p.Prices))
	p.Chance(day, c)
	return c
}

// bestByHand tries every allowed path, day by day, from the rules alone.
func bestByHand(p *Problem) float64 {
	var try func(day, price, freeFrom int) float64
	ask := func(day, price, freeFrom int) float64 {
		c := chanceOn(p, day)[price]
		return c*p.Proceeds[price] - p.HoldingPerDay + (1-c)*try(day+1, price, freeFrom)
	}
	try = func(day, price, freeFrom int) float64 {
		if day == p.Days {
			return p.Salvage
		}
		best := math.Inf(-1)
		if price >= 0 {
			best = ask(day, price, freeFrom)
		}
		if day >= freeFrom {
			for q := range p.Prices {
				if q != price {
					best = max(best, ask(day, q, day+max(1, p.RepriceDays)))
				}
			}
		}
		return best
	}
	if s := p.Standing; s != nil {
		return try(0, s.Price, s.FreeIn)
	}
	return try(0, -1, 0)
}

func TestSolveMatchesEveryPathTried(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 7, 3)
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "profit", plan.Profit, bestByHand(&p), 1e-5)
		checkLadder(t, &p, plan)
	})
}

// checkLadder holds a plan to the rules of its problem.
func checkLadder(t rapid.TB, p *Problem, plan *Plan) {
	t.Helper()
	for i, s := range plan.Ladder {
		if s.Price != p.Prices[s.Index] {
			t.Errorf("step %d asks %v for price %d", i, s.Price, s.Index)
		}
		if i == 0 {
			continue
		}
		if s.Index == plan.Ladder[i-1].Index {
			t.Errorf("step %d changes nothing", i)
		}
		wait := s.Day - plan.Ladder[i-1].Day
		if i == 1 && p.Standing != nil && plan.Ladder[0].Index == p.Standing.Price {
			wait = s.Day - p.Standing.FreeIn + p.RepriceDays
		}
		if wait < p.RepriceDays {
			t.Errorf("step %d comes %d days after the last, %d to stand", i, wait, p.RepriceDays)
		}
	}
	again, err := p.followChances(plan.Ladder)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(again, plan.Outcome); diff != "" {
		t.Errorf("following the ladder differs:\n%s", diff)
	}
}

func TestThePlanIsNeverBelowAFixedPrice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 40, 6)
		p.Standing = nil
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		for q := range p.Prices {
			fixed, err := Fixed(p, q)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "never moving", plan.Still[q], fixed.Profit, 1e-9)
			if plan.Profit < fixed.Profit-1e-5 {
				t.Fatalf("plan makes %v, price %v alone %v", plan.Profit, p.Prices[q], fixed.Profit)
			}
		}
	})
}

func TestWhatNeverRaisesProfit(t *testing.T) {
	worse := map[string]func(*Problem){
		"a higher holding cost":    func(p *Problem) { p.HoldingPerDay += 3 },
		"a lower salvage":          func(p *Problem) { p.Salvage -= 50 },
		"a longer stand":           func(p *Problem) { p.RepriceDays = max(1, p.RepriceDays) + 1 },
		"lower proceeds":           func(p *Problem) { p.Proceeds = slices.Clone(p.Proceeds); p.Proceeds[0] -= 90 },
		"a price taken off":        func(p *Problem) { n := len(p.Prices) - 1; p.Prices, p.Proceeds = p.Prices[:n], p.Proceeds[:n] },
		"a standing price to keep": func(p *Problem) { p.Standing = &Standing{Price: 0, FreeIn: max(1, p.RepriceDays)} },
	}
	for name, change := range worse {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				p := drawProblem(t, 30, 5)
				p.Standing = nil
				if len(p.Prices) == 1 && name == "a price taken off" {
					t.Skip("one price only")
				}
				before, err := Solve(p)
				if err != nil {
					t.Fatal(err)
				}
				change(&p)
				after, err := Solve(p)
				if err != nil {
					t.Fatal(err)
				}
				if after.Profit > before.Profit+1e-5 {
					t.Fatalf("profit rises from %v to %v", before.Profit, after.Profit)
				}
			})
		})
	}
}

func TestSolverForgetsTheLastProblem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s Solver
		for range 3 {
			p := drawProblem(t, 12, 4)
			want, err := Solve(p)
			if err != nil {
				t.Fatal(err)
			}
			got, err := s.Solve(p)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(got, want); diff != "" {
				t.Fatal(diff)
			}
		}
	})
}

func TestOneFixedPriceIsGeometric(t *testing.T) {
	// A constant chance c makes the days to sell geometric, with everything in
	// closed form.
	const c, days, proceeds, hold, salvage = 0.02, 180, 1500.0, 9.0, 400.0
	p := Problem{Prices: []float64{20000}, Proceeds: []float64{proceeds}, Days: days, HoldingPerDay: hold, Salvage: salvage,
		Chance: Each(func(int, int) float64 { return c })}
	o, err := Fixed(p, 0)
	if err != nil {
		t.Fatal(err)
	}
	left := math.Pow(1-c, days)
	near(t, "expected days", o.ExpectedDays, (1-left)/c, 1e-12)
	near(t, "profit", o.Profit, proceeds*(1-left)+salvage*left-hold*(1-left)/c, 1e-12)
	near(t, "sold within 60", o.SoldWithin(60), 1-math.Pow(1-c, 60), 1e-12)
	near(t, "sold beyond the horizon", o.SoldWithin(9999), 1-left, 1e-12)
	if median, ok := o.MedianDays(); !ok || median != 35 { // ⌈log ½ / log 0.98⌉
		t.Errorf("median %v, %v", median, ok)
	}
	p.Days = 20
	if o, _ = Fixed(p, 0); o.SoldWithin(0) != 0 {
		t.Error("sold before the first day")
	}
	if _, ok := o.MedianDays(); ok {
		t.Error("a median beyond the horizon")
	}
}

func TestPlansThatCanBeSeen(t *testing.T) {
	flat := func(chances ...float64) Chance { return Each(func(_, q int) float64 { return chances[q] }) }
	tests := []struct {
		name string
		p    Problem
		want []Step
	}{
		{"worth more than any sale: the price nobody pays",
			Problem{Prices: []float64{10, 20}, Proceeds: []float64{10, 20}, Days: 9, Salvage: 50, Chance: flat(0.5, 0)},
			[]Step{{0, 20, 1}}},
		{"certain to sell at the top",
			Problem{Prices: []float64{10, 20}, Proceeds: []float64{10, 20}, Days: 9, Chance: flat(1, 1)},
			[]Step{{0, 20, 1}}},
		{"the last day is for the low price",
			Problem{Prices: []float64{10, 20}, Proceeds: []float64{10, 20}, Days: 3, Chance: flat(0.9, 0.3)},
			[]Step{{0, 20, 1}, {2, 10, 0}}},
		{"a price that must stand is set low while it counts",
			Problem{Prices: []float64{10, 20}, Proceeds: []float64{10, 20}, Days: 3, RepriceDays: 2, Chance: flat(0.9, 0.3),
				Standing: &Standing{Price: 1, FreeIn: 1}},
			[]Step{{0, 20, 1}, {2, 10, 0}}},
		{"no gain, no move",
			Problem{Prices: []float64{10, 20}, Proceeds: []float64{7, 7}, Days: 5, Chance: flat(0.1, 0.1), Standing: &Standing{Price: 1}},
			[]Step{{0, 20, 1}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plan, err := Solve(tt.p)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(plan.Ladder, tt.want); diff != "" {
				t.Errorf("ladder (-got +want):\n%s", diff)
			}
		})
	}
}

func TestSolveDeclines(t *testing.T) {
	good := func() Problem {
		return Problem{Prices: []float64{1, 2}, Proceeds: []float64{1, 2}, Days: 5, Chance: Each(func(int, int) float64 { return 0.1 })}
	}
	nan := math.NaN()
	tests := map[string]func(*Problem){
		"no prices":              func(p *Problem) { p.Prices, p.Proceeds = nil, nil },
		"prices out of order":    func(p *Problem) { p.Prices = []float64{2, 1} },
		"a price twice":          func(p *Problem) { p.Prices = []float64{2, 2} },
		"a price of no number":   func(p *Problem) { p.Prices = []float64{1, nan} },
		"proceeds missing":       func(p *Problem) { p.Proceeds = p.Proceeds[:1] },
		"proceeds of no number":  func(p *Problem) { p.Proceeds = []float64{nan, 1} },
		"no chance":              func(p *Problem) { p.Chance = nil },
		"a chance above one":     func(p *Problem) { p.Chance = Each(func(int, int) float64 { return 1.01 }) },
		"a negative chance":      func(p *Problem) { p.Chance = Each(func(int, int) float64 { return -0.01 }) },
		"a negative hazard":      func(p *Problem) { p.Chance = Proportional(slices.Repeat([]float64{-0.01}, 5), []float64{1, 1}) },
		"a chance of no number":  func(p *Problem) { p.Chance = Each(func(int, int) float64 { return nan }) },
		"no days":                func(p *Problem) { p.Days = 0 },
		"too many days":          func(p *Problem) { p.Days = MaxDays + 1 },
		"a negative stand":       func(p *Problem) { p.RepriceDays = -1 },
		"negative holding":       func(p *Problem) { p.HoldingPerDay = -1 },
		"salvage without end":    func(p *Problem) { p.Salvage = math.Inf(1) },
		"a standing price amiss": func(p *Problem) { p.Standing = &Standing{Price: 2} },
	}
	for name, spoil := range tests {
		t.Run(name, func(t *testing.T) {
			p := good()
			spoil(&p)
			if plan, err := Solve(p); !errors.Is(err, ErrBadProblem) {
				t.Errorf("Solve: got %+v, %v", plan, err)
			}
			if o, err := Fixed(p, 0); !errors.Is(err, ErrBadProblem) {
				t.Errorf("Fixed: got %+v, %v", o, err)
			}
		})
	}
	if _, err := Fixed(good(), 2); !errors.Is(err, ErrBadProblem) {
		t.Errorf("a fixed price off the grid: got %v", err)
	}
}

func TestProportionalIsOneLessTheExponential(t *testing.T) {
	for h := 1e-12; h < 50; h *= 1.07 {
		chances := make([]float64, 1)
		Proportional([]float64{0, h / 2}, []float64{2})(1, chances)
		got := chances[0]
		if want := -math.Expm1(-h); math.Abs(got-want) > 2e-11*want {
			t.Fatalf("hazard %v: chance %v, want %v", h, got, want)
		}
	}
}
