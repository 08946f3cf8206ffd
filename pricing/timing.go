package pricing

import (
	"fmt"
	"math"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/hedonic"
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
	heldEffectSD     = 0.02
	// Effects of the season and of a body on log days. Common practice, no source.
	seasonSD                  = 0.15
	leastBodySD, widestBodySD = 0.03, 0.30
	// fewSales is the number of sales below which they are not asked by
	// themselves.
	fewSales = 30
	// timingSales is how many sales at most the time to sell is learnt from:
	// with so many its effects are known to a percent.
	timingSales = 20_000
)

// covariates of the time to sell, in order.
var timingNames = []string{
	"log(price / value)", "spring", "summer",
	"panel-van", "rising-roof", "overcab", "a-class", // against a low-profile
}

// timedBodies are the bodies of the last covariates.
var timedBodies = []data.Body{data.PanelVan, data.RisingRoof, data.Overcab, data.AClass}

// timing is the Weibull model of days on sale.
type timing struct {
	model  *survival.AFT
	sold   int       // dated sales that taught it; 0 for the prior as stated
	note   string    // why the prior was called in; blank where the sales decide
	hazard []float64 // see cumulative
}

// stated is the model that holds where nothing was learnt.
func stated(note string) timing {
	// The median of a Weibull is exp(η) (log 2)^σ.
	intercept := math.Log(priorMedianDays) - priorScale*math.Log(math.Ln2)
	return timing{
		model: &survival.AFT{
			Names: append([]string{survival.InterceptName}, timingNames...),
			Coef:  append([]float64{intercept, priorPriceEffect}, make([]float64, len(timingNames)-1)...),
			Scale: priorScale,
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
		return stated("days to sell: a trade assumption, too few past sales")
	}
	var times, asked, paid []float64
	var events []bool
	var x [][]float64
	sold := 0
	for _, s := range thin(m.sales, timingSales) {
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
		times = append(times, max(1, float64(end.DaysSince(s.Listed))))
		events = append(events, !s.SoldOn.IsZero())
		over := math.Log(s.Asking.Value.InexactFloat64()) - leftOut(s, p)
		if share, ok := shareOfAsking(s); ok {
			asked, paid = append(asked, over), append(paid, math.Log(share))
		}
		logRatio := clampRatio(over + math.Log(m.buyers.typical))
		x = append(x, covariates(logRatio, s.Listed, s.Body))
	}
	m.buyers.learnGivenBack(asked, paid)
	return weigh(times, events, x, sold)
}

// leftOut is the log of what a sale would be valued at by a model that had not
// seen it. A ridge fit's own share in a value is its leverage, doubt over noise,
// and a residual grows by 1 / (1 − leverage) when the row is left out (R. D. Cook
// and S. Weisberg 1982, from memory).
func leftOut(s *data.Sale, p hedonic.Prediction) float64 {
	value := math.Log(p.Value)
	if s.SoldOn.IsZero() || !s.SoldPrice.Known {
		return value
	}
	paid := math.Log(s.SoldPrice.Value.InexactFloat64())
	leverage := min(1/max(p.Support, 1), 0.9)
	return paid - (paid-value)/(1-leverage)
}

// weigh fits the sales with the prior of what price does, which many sales outweigh. It
// holds the effect at the prior where the sales alone clearly give it the wrong sign.
func weigh(times []float64, events []bool, x [][]float64, sold int) timing {
	bodySD := widestBodySD
	sample, err := survival.NewSample(times, events, x, timingNames)
	if err != nil {
		return stated("days to sell: a trade assumption, too few dated past sales")
	}
	var last *survival.AFT
	fit := func(effectSD float64) (*survival.AFT, error) {
		priors := mildPriors(bodySD)
		if effectSD > 0 {
			priors = append(priors, survival.Prior{Name: timingNames[0], Mean: priorPriceEffect, SD: effectSD},
				survival.Prior{Name: survival.LogScaleName, Mean: math.Log(priorScale), SD: 0.3})
		}
		fitted, err := sample.Fit(last, priors...)
		if err == nil {
			last = fitted // the next differs in its priors alone
		}
		return fitted, err
	}
	if first, err := fit(priorEffectSD); err == nil {
		bodySD = bodySpread(first)
	}
	effectSD := priorEffectSD
	why := fmt.Sprintf("effect of price on days to sell: partly a trade assumption, %d dated sales", sold)
	if sold >= fewSales {
		alone, err := fit(0)
		switch {
		case err != nil:
		case alone.Coef[1]+alone.StdErr[1] <= 0:
			effectSD = heldEffectSD
			why = "effect of price on days to sell: a trade assumption, the sales alone point the wrong way"
		case alone.StdErr[1] <= priorEffectSD:
			why = ""
		default:
			why += " are too few to tell"
		}
	}
	leant, err := fit(effectSD)
	if err != nil || leant.Coef[1] <= 0 {
		return stated("days to sell: a trade assumption, too few dated past sales")
	}
	return timing{model: leant, sold: sold, note: why}
}

// thin keeps at most a number of a list, evenly spread over it. Which are kept
// must not hang on how a sale came out: the latest sales by their day, say,
// would be those of vans that stand unsold, and teach that none ever sells.
func thin[T any](list []T, most int) []T {
	if len(list) <= most {
		return list
	}
	kept := make([]T, most)
	for i := range kept {
		kept[i] = list[i*len(list)/most]
	}
	return kept
}

// mildPriors keep the effects of season and body within what the trade sees.
func mildPriors(bodySD float64) []survival.Prior {
	var priors []survival.Prior
	for i, name := range timingNames[1:] {
		sd := bodySD
		if i < len(timingNames)-1-len(timedBodies) {
			sd = seasonSD
		}
		priors = append(priors, survival.Prior{Name: name, SD: sd})
	}
	return priors
}

// bodySpread estimates how far the bodies' effects on the time to sell truly
// differ, as a standard deviation, from a fit that allowed widestBodySD: the
// scatter of the effects less what their own errors explain (the moment estimate
// of DerSimonian and Laird 1986, from memory). Where nothing is left, body says
// nearly nothing.
func bodySpread(fit *survival.AFT) float64 {
	prior := widestBodySD * widestBodySD
	first := len(fit.Coef) - len(timedBodies)
	excess, weights := 0.0, 0.0
	for i := range timedBodies {
		variance := fit.StdErr[first+i] * fit.StdErr[first+i]
		share := 1 - variance/prior // of the effect that the prior left
		if share < 0.05 {
			continue // the sales say nothing of this body
		}
		effect, own := fit.Coef[first+i]/share, variance/share
		excess += (effect*effect - own) / (own * own)
		weights += 1 / (own * own)
	}
	if weights == 0 {
		return leastBodySD
	}
	// One standard error is taken off: four bodies tell their spread badly, and too
	// wide a one tells vans apart by chance.
	spread := excess/weights - math.Sqrt(2/weights)
	return max(leastBodySD, min(widestBodySD, math.Sqrt(max(0, spread))))
}

// clampRatio keeps a mistyped asking price from steering the fit.
func clampRatio(log float64) float64 { return max(-0.5, min(0.5, log)) }

// covariates are those of a van of a body, listed on a day.
func covariates(logRatio float64, on data.Date, body data.Body) []float64 {
	spring, summer := season(on)
	x := []float64{logRatio, spring, summer}
	for _, b := range timedBodies {
		if b == body {
			x = append(x, 1)
		} else {
			x = append(x, 0)
		}
	}
	return x
}

// at returns the covariates of a van asked at ratio times its value on a day.
func (timing) at(ratio float64, on data.Date, body data.Body) []float64 {
	return covariates(math.Log(ratio), on, body)
}

// pace is how many times as likely a sale of that body is on any day as one of
// a low-profile: the body stretches time by e^coefficient.
func (t timing) pace(body data.Body) float64 {
	for i, b := range timedBodies {
		if b == body {
			return math.Exp(-t.model.Coef[len(t.model.Coef)-len(timedBodies)+i] / t.model.Scale)
		}
	}
	return 1
}

// power is how the hazard of a sale falls with the price: as its −power.
func (t timing) power() float64 { return t.model.Coef[1] / t.model.Scale }

// cumulative is the hazard of a low-profile up to a day on sale at a price of the
// value, that of a Weibull, (days / e^η)^(1/σ): a sale by then has a chance of 1 − exp(−cumulative).
// The table serves the days that nearly all vans stand.
func (t timing) cumulative(days int, on data.Date) float64 {
	if days < len(t.hazard) {
		return t.hazard[days]
	}
	return weibullHazard(days, t.model.Linear(t.at(1, on, data.LowProfile)), t.model.Scale)
}

// tabulate fills the table of cumulative for prices asked from a day on.
func (t *timing) tabulate(days int, on data.Date) {
	location := t.model.Linear(t.at(1, on, data.LowProfile))
	t.hazard = make([]float64, days)
	for d := range t.hazard {
		t.hazard[d] = weibullHazard(d, location, t.model.Scale)
	}
}

func weibullHazard(days int, location, scale float64) float64 {
	if days == 0 {
		return 0
	}
	// Bounded so that differences of two stay finite; a sale is certain long
	// before.
	return math.Exp(min((math.Log(float64(days))-location)/scale, 500))
}

// Pace is what a market has learnt of the time to sell.
type Pace struct {
	MedianDays  float64 // of a low-profile asked as its value asks, in the middle of the seasons
	PriceEffect float64 // one per cent more on the price makes a sale take about this many per cent longer
	Note        string  // why a stated prior was called in; blank where the sales decide
}

// Pace returns what the market has learnt of the time to sell.
func (m *Market) Pace() Pace {
	return Pace{
		MedianDays:  m.timing.model.Median(make([]float64, len(timingNames))),
		PriceEffect: m.timing.model.Coef[1],
		Note:        m.timing.note,
	}
}
