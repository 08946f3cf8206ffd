package pricing

import (
	"math"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/forecast"
)

const (
	// forecastPoints is how many ways a sale may come are laid out for each van.
	forecastPoints = 400
	// forecastDays is how far they reach; a van that has not gone by then is taken
	// to go that day.
	forecastDays = 3 * 365
	// feltShare is the share of what is not known of a van's worth that moves its
	// time to sell as its price does: buyers see what the past sales' columns do
	// not, but not all of it before they come. Common practice, no source.
	feltShare = 0.5
)

// Outlook is what to expect of a van offered at some price, all read from one
// forecast.
type Outlook struct {
	Price data.Money // expected, to the pound
	Days  int        // to the sale, the middle of the range

	draws forecast.Draws
}

// outlook forecasts a van valued by a quote and offered at asks from lag days
// after that, or which has stood for since days at the first of them.
func (m *Market) outlook(q *Quote, asks []forecast.Ask, since, lag int) Outlook {
	value := math.Log(q.Market.Value.InexactFloat64())
	law := forecast.Law{
		Paid: m.buyers.habit, GivenBack: m.buyers.givenBack, WorthSD: m.worthSD(q),
		Power: m.timing.power(), Felt: feltShare,
	}
	plan := forecast.Plan{
		Asks: asks, Worth: value - math.Log(m.buyers.typical), Fall: depreciationPerDay, Usual: m.Pace().MedianDays - float64(lag),
	}
	pace := m.timing.pace(q.Van.Body)
	hazard := func(log float64) float64 { return pace * math.Exp(-law.Power*(log-plan.Worth)) }
	plan.Stood = m.timing.cumulative(since) * hazard(asks[0].Log)
	plan.Hazard = make([]float64, forecastDays+1)
	before, at, rate := m.timing.cumulative(since), 0, hazard(asks[0].Log)
	for day := range forecastDays {
		if at+1 < len(asks) && asks[at+1].Day <= day {
			at++
			rate = hazard(asks[at].Log)
		}
		after := m.timing.cumulative(since + day + 1)
		plan.Hazard[day+1] = plan.Hazard[day] + (after-before)*rate
		before = after
	}
	o := Outlook{draws: law.Draw(plan, m.points)}
	o.Price = data.Estimate(o.draws.MeanPrice())
	o.Days = o.draws.DaysQuantile(0.5)
	return o
}

// worthSD is how far, as a standard deviation of the log, a van may be worth more
// or less than its value: what its price may lie off, less what haggling explains and
// what errors of asking prices leave in the prices paid.
func (m *Market) worthSD(q *Quote) float64 {
	b := &m.buyers
	kept := 1 - 2*b.givenBack + squareGiven(b.givenBack) // mean square of what is not given back
	return math.Sqrt(max(q.LogSD*q.LogSD-b.habitSD*b.habitSD-kept*b.askError*b.askError, 0.25*q.LogSD*q.LogSD))
}
