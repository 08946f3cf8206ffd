package pricing

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/forecast"
	"github.com/vanwright/vanwright/pricing/pricepath"
)

const (
	// depreciationPerDay is what standing takes off a van's value: 1 % a
	// month, within the 0.8 to 1.5 % of common practice, no source.
	depreciationPerDay = 0.01 / 30.4
	// likelyCostShare is the share of its value that a van whose cost is not
	// yet known is taken to cost, so that VAT on its margin can be planned
	// with. Common practice, no source: dealers' gross margin is 10 to 18 %.
	likelyCostShare = 0.82
	// Prices are planned between these shares of the value. Higher ones would
	// lean on the far end of what the sales say of price and time, where the
	// error of the value itself outweighs the gain. Common practice, no source.
	lowestShare, highestShare = 0.80, 1.03
)

// Quote values a van of which that was seen, plans its price and says how long it will
// stand. It needs no cost; an owned van's cost only moves the VAT that each price leaves.
func (m *Market) Quote(v data.Van, seen Condition) Quote { return m.quote(v, seen, true) }

// quote is Quote, whose grounds, the comparables, the explained value and the
// forecast, take most of its time and may be left out.
func (m *Market) quote(v data.Van, seen Condition, grounds bool) Quote {
	q := Quote{Van: v}
	if t := VATTreatmentOf(v); t.NoRetail {
		q.Method = "none"
		q.Reasons = append(q.Reasons, "salvage category "+v.Salvage+": no retail price")
		return q
	}
	if v.Asking.Known {
		q.usualSale = data.Some(data.Estimate(v.Asking.Value.InexactFloat64() * m.buyers.typical))
		q.ExpectedSale = q.usualSale
	}
	m.value(&q, seen, grounds)
	q.markDown()
	if !q.Market.Known || !q.Market.Value.IsPositive() {
		q.Reasons = append(q.Reasons, "no price: value unknown")
		return q
	}
	m.ask(&q, grounds)
	if m.model != nil && m.timing.note != "" {
		q.Reasons = append(q.Reasons, m.timing.note)
	}
	return q
}

// ask plans the price: the path over the horizon with the largest expected
// profit, what it gains over asking the value and never moving, and what to
// expect of it.
func (m *Market) ask(q *Quote, grounds bool) {
	v := q.Van
	value := q.Market.Value.InexactFloat64()
	since := 0
	if v.Status == data.Ready && !v.Listed.IsZero() {
		since = max(0, m.asOf.DaysSince(v.Listed))
	}
	if v.Asking.Known && v.Asking.Value.IsPositive() {
		o := m.outlook(q, []forecast.Ask{askOf(v.Asking.Value, 0)}, since, 0)
		q.AtAsking = &o
		q.ExpectedSale = data.Some(o.Price)
		m.saySinceListed(q, since)
	}
	grid, standing := m.grid(v, value, q.Method == "guide", since)
	problem := m.problem(v, value, grid, since)
	problem.Standing = standing
	solver := solvers.Get().(*pricepath.Solver)
	plan, err := solver.Solve(problem)
	solvers.Put(solver)
	if err != nil {
		q.Reasons = append(q.Reasons, "no price plan: "+err.Error())
		return
	}
	for i, s := range plan.Ladder {
		price := data.Estimate(s.Price)
		asking := m.askingFor(price)
		if i == 0 {
			if standing != nil {
				asking = v.Asking.Value
				q.Reasons = append(q.Reasons, fmt.Sprintf("asking price under %d days old: it holds until %s",
					m.policy.RepriceDays, m.asOf.AddDays(standing.FreeIn).Words()))
			}
			q.Price, q.AskingPrice = data.Some(price), data.Some(asking)
		} else {
			q.Ladder = append(q.Ladder, Step{From: m.asOf.AddDays(s.Day), Price: price})
		}
		q.asks = append(q.asks, askOf(asking, s.Day))
	}
	if !grounds {
		return
	}
	o := m.outlook(q, q.asks, since, 0)
	q.draws = o.draws
	q.DaysToSell = data.Some(o.Days)
	q.SellWithin60 = data.Some(data.PercentOf(o.draws.SoldWithin(60), 1))
	q.gains(plan, closest(grid, value), standing)
}

// gains says what the plan earns over asking the value, or the price that must
// stand, and never moving: by starting at another price, and by its steps.
// Neither is below zero, since both could be left out.
func (q *Quote) gains(plan *pricepath.Plan, atValue int, standing *pricepath.Standing) {
	still, best := plan.Still[atValue], slices.Max(plan.Still)
	if standing != nil {
		still = plan.Still[standing.Price]
		best = still
	}
	q.StartGain = data.Some(data.Pence(data.Pounds(max(0, best-still))))
	q.StepsGain = data.Some(data.Pence(data.Pounds(max(0, plan.Profit-best))))
	q.Gain = data.Some(q.StartGain.Value.Add(q.StepsGain.Value))
}

// askOf is an asking price from a day of a plan on.
func askOf(price data.Money, day int) forecast.Ask {
	return forecast.Ask{Day: day, Log: math.Log(price.InexactFloat64())}
}

// saySinceListed says where a van that has stood is expected to go sooner than
// one that is listed today at the same price.
func (m *Market) saySinceListed(q *Quote, since int) {
	if since == 0 {
		return
	}
	fresh := m.outlook(q, []forecast.Ask{askOf(q.Van.Asking.Value, 0)}, 0, 0)
	if days := q.AtAsking.Days; days < fresh.Days {
		unit := "days"
		if since == 1 {
			unit = "day"
		}
		q.Reasons = append(q.Reasons, fmt.Sprintf("listed for %d %s: %d more expected at its asking price, against %d for a van listed today",
			since, unit, days, fresh.Days))
	}
}

// solvers keeps the memory of plans for the next ones; what is in it never
// shows in a plan.
var solvers = sync.Pool{New: func() any { return new(pricepath.Solver) }}

// problem states the planning of a price for pricepath.
func (m *Market) problem(v data.Van, value float64, grid []float64, since int) pricepath.Problem {
	policy, t := m.policy, VATTreatmentOf(v)
	cost := v.Cost.Or(data.Pounds(value * likelyCostShare))
	left := t.proceeds(cost, policy)
	proceeds := make([]float64, len(grid))
	hazard := make([]float64, len(grid))
	// A Weibull's hazards are proportional: the price scales the hazard of the
	// value by (price / value)^(−effect / scale).
	power := m.timing.power()
	for i, price := range grid {
		proceeds[i] = left(price)
		hazard[i] = math.Pow(price/value, -power)
	}
	base := make([]float64, policy.HorizonDays)
	before, pace := m.timing.cumulative(since), m.timing.pace(v.Body)
	for day := range base {
		after := m.timing.cumulative(since + day + 1)
		base[day] = (after - before) * pace
		before = after
	}
	end := value * (1 - depreciationPerDay*float64(policy.HorizonDays)) * policy.TradeDisposalShare.InexactFloat64()
	return pricepath.Problem{
		Prices:        grid,
		Proceeds:      proceeds,
		Chance:        pricepath.Proportional(base, hazard),
		Days:          policy.HorizonDays,
		RepriceDays:   policy.RepriceDays,
		HoldingPerDay: Holding(1, t.NetCost(cost, policy), policy).InexactFloat64(),
		Salvage:       left(end),
	}
}

// proceeds returns what a price leaves after VAT, in float64 pounds: plans weigh
// thousands of prices by their chances, and no penny of them becomes a column.
func (t VATTreatment) proceeds(cost data.Money, policy data.Policy) func(price float64) float64 {
	rate := policy.VATRate.InexactFloat64()
	share, untaxed := rate/(1+rate), 0.0
	if t.Margin {
		untaxed = cost.InexactFloat64()
	}
	return func(price float64) float64 { return price - share*max(0, price-untaxed) }
}

// grid lists the prices with the policy's endings near the value. A van that
// has been listed for less than reprice_days stands at the price of the grid
// nearest to what its asking price brings.
func (m *Market) grid(v data.Van, value float64, guide bool, since int) ([]float64, *pricepath.Standing) {
	lowest, highest := lowestShare*value, highestShare*value
	if guide {
		highest = value // a guide's figure is not ours to better
	}
	asked := v.Asking.Value.InexactFloat64() * m.buyers.typical
	free := m.policy.RepriceDays - since
	hold := v.Status == data.Ready && asked > 0 && !v.Listed.IsZero() && free > 0
	if hold {
		lowest, highest = min(lowest, asked-1000), max(highest, asked+1000)
	}
	var grid []float64
	for thousand := math.Floor(lowest/1000) * 1000; thousand <= highest; thousand += 1000 {
		for _, ending := range m.policy.PriceEndings {
			if p := thousand + float64(ending); p > 0 && p >= lowest && p <= highest {
				grid = append(grid, p)
			}
		}
	}
	if len(grid) == 0 {
		grid = append(grid, math.Max(1, math.Round(value)))
	}
	slices.Sort(grid)
	grid = slices.Compact(grid)
	if !hold {
		return grid, nil
	}
	return grid, &pricepath.Standing{Price: closest(grid, asked), FreeIn: free}
}

// askingFor returns the asking price that usually brings price: the next one up
// with one of the policy's endings.
func (m *Market) askingFor(price data.Money) data.Money {
	least := price.InexactFloat64() / m.buyers.typical
	best := math.Inf(1)
	for _, ending := range m.policy.PriceEndings {
		thousand := math.Ceil((least-float64(ending))/1000) * 1000
		best = min(best, thousand+float64(ending))
	}
	return data.Estimate(best)
}

func closest(grid []float64, value float64) int {
	best := 0
	for i, p := range grid {
		if math.Abs(p-value) < math.Abs(grid[best]-value) {
			best = i
		}
	}
	return best
}

// Starting moves the price plan to the day on which the van can be shown.
func (q Quote) Starting(day data.Date, asOf data.Date) Quote {
	if shift := day.DaysSince(asOf); !day.IsZero() && shift > 0 {
		q.Ladder = slices.Clone(q.Ladder)
		for i := range q.Ladder {
			q.Ladder[i].From = q.Ladder[i].From.AddDays(shift)
		}
	}
	return q
}
