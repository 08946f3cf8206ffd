package pricing

import (
	"fmt"
	"math"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/survival"
)

// What holds of the time to sell before any sale is counted. A motorhome
// stands 60 to 120 days, and one asked at a tenth above its value stands about
// half as long again. Common practice, no source.
const (
	priorMedianDays  = 75
	priorScale       = 0.8
	priorPriceEffect = 4.0 // of log(price / value) on log days
	priorEffectSD    = 1.0
	// fewSales is the number of sales below which the effect of price is held
	// near the prior.
	fewSales = 30
)

// covariates of the time to sell, in order.
var timingNames = []string{"log(price / value)", "spring", "summer"}

// timing is the Weibull model of days on sale.
type timing struct {
	model *survival.AFT
	note  string // why the prior was called in; blank where the sales decide
}

// stated is the model that holds where nothing was learnt.
func stated(note string) timing {
	// The median of a Weibull is exp(η) (log 2)^σ.
	intercept := math.Log(priorMedianDays) - priorScale*math.Log(math.Ln2)
	return timing{
		model: &survival.AFT{
			Distribution: survival.Weibull,
			Names:        append([]string{survival.InterceptName}, timingNames...),
			Coef:         []float64{intercept, priorPriceEffect, 0, 0},
			Scale:        priorScale,
		},
		note: note,
	}
}

// learnTiming fits days on sale of the past sales, those still for sale as
// censored, on how their price stood to their value and on the season. The
// price is what the asking price usually brings, so that a van asked as the
// others are has a ratio of one.
func (m *Market) learnTiming() timing {
	if m.model == nil {
		return stated("time to sell is a stated prior: too few past sales")
	}
	var times []float64
	var events []bool
	var x [][]float64
	sold := 0
	for _, s := range m.sales {
		if s.Listed.IsZero() || !s.Asking.Known || !s.Asking.Value.IsPositive() {
			continue
		}
		end := s.SoldOn
		if end.IsZero() {
			end = m.asOf
		}
		if end < s.Listed {
			continue
		}
		p, err := m.model.Predict(thingOfSale(s, s.Listed).row(m.milesPerYear, m.asOf))
		if err != nil {
			continue
		}
		if !s.SoldOn.IsZero() {
			sold++
		}
		spring, summer := season(s.Listed)
		times = append(times, max(1, float64(end.DaysSince(s.Listed))))
		events = append(events, !s.SoldOn.IsZero())
		x = append(x, []float64{clampRatio(math.Log(s.Asking.Value.InexactFloat64() * m.paidOfAsked / p.Value)), spring, summer})
	}
	if sold >= fewSales {
		fit, err := survival.FitWeibull(times, events, x, timingNames, survival.WithPrior(seasonPriors()...))
		if err == nil && fit.Coef[1] > 0 {
			return timing{model: fit}
		}
	}
	why := fmt.Sprintf("the effect of price on time to sell leans on a stated prior: %d dated sales", sold)
	if sold >= fewSales {
		why = "the effect of price on time to sell leans on a stated prior: the sales alone give it the wrong sign"
	}
	priors := append(seasonPriors(), survival.Prior{Name: timingNames[0], Mean: priorPriceEffect, SD: priorEffectSD},
		survival.Prior{Name: survival.LogScaleName, Mean: math.Log(priorScale), SD: 0.3})
	fit, err := survival.FitWeibull(times, events, x, timingNames, survival.WithPrior(priors...))
	if err != nil || fit.Coef[1] <= 0 {
		return stated("time to sell is a stated prior: too few dated past sales")
	}
	return timing{model: fit, note: why}
}

// seasonPriors keep the season's effect within what the trade sees.
func seasonPriors() []survival.Prior {
	return []survival.Prior{{Name: timingNames[1], SD: 0.3}, {Name: timingNames[2], SD: 0.3}}
}

// clampRatio keeps a mistyped asking price from steering the fit.
func clampRatio(log float64) float64 { return max(-0.5, min(0.5, log)) }

// at returns the covariates of a van asked at ratio times its value on a day.
func (timing) at(ratio float64, on data.Date) []float64 {
	spring, summer := season(on)
	return []float64{math.Log(ratio), spring, summer}
}

// medianDays is the median of the days still to go, at least 1 and at most
// three years, for a van that has stood for since days.
func (t timing) medianDays(ratio float64, on data.Date, since int) int {
	d := t.model.ResidualQuantile(0.5, float64(since), t.at(ratio, on))
	return int(math.Round(max(1, min(d, 3*365))))
}

// within is the chance of a sale in the next days.
func (t timing) within(days int, ratio float64, on data.Date, since int) float64 {
	return t.model.Chance(float64(since), float64(since+days), t.at(ratio, on))
}
