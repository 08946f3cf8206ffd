package pricing

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"

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
	shape  []daySpan // ascending, whole life; none where nothing was learnt
}

// daySpan is a span of days on sale: up to a day the hazard is so many times that of the
// Weibull.
type daySpan struct{ until, times float64 }

const (
	stretches = 10 // with as many sales in each
	// stretchSales is how many sales the Weibull's hazard counts as in each. Common
	// practice, no source.
	stretchSales = 10
)

// learnShape finds where sales came oftener and where less often than the fitted Weibull
// has it: what came over what it expects, stretch by stretch. Asking prices that were cut
// by so much a day stood higher at first, and lower at last, than their mean, which x has.
func (t *timing) learnShape(times []float64, events []bool, x [][]float64, cut float64) {
	var sold []float64
	for i, day := range times {
		if events[i] {
			sold = append(sold, day)
		}
	}
	if len(sold) < fewSales {
		return
	}
	slices.Sort(sold)
	for k := 1; k <= stretches; k++ {
		until := math.Inf(1)
		if k < stretches {
			until = sold[k*len(sold)/stretches]
		}
		if n := len(t.shape); n == 0 || until > t.shape[n-1].until {
			t.shape = append(t.shape, daySpan{until: until})
		}
	}
	came, expected := make([]float64, len(t.shape)), make([]float64, len(t.shape))
	for i, day := range times {
		location, before, from := t.model.Linear(x[i]), 0.0, 0.0
		for k, span := range t.shape {
			until := min(day, span.until)
			after := weibullHazard(until, location, t.model.Scale)
			expected[k] += (after - before) * math.Exp(t.power()*cut*((from+until)/2-day/2))
			before, from = after, until
			if day <= span.until {
				if events[i] {
					came[k]++
				}
				break
			}
		}
	}
	for k := range t.shape {
		t.shape[k].times = (came[k] + stretchSales) / (expected[k] + stretchSales)
	}
}

// timesOn is how many times the Weibull's hazard that of a day on sale is.
func (t *timing) timesOn(day float64) float64 {
	for _, span := range t.shape {
		if day <= span.until {
			return span.times
		}
	}
	return 1
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
	var times, asked, paid, stood, ratios, spans []float64
	var events []bool
	var x [][]float64
	sold := 0
	fall := m.ageing()
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
			asked, paid, stood = append(asked, over+fall*times[len(times)-1]), append(paid, math.Log(share)), append(stood, math.Log(times[len(times)-1]))
		}
		logRatio := clampRatio(over + math.Log(m.buyers.typical))
		x = append(x, covariates(logRatio, s.Listed, s.Body))
		if last := len(x) - 1; events[last] {
			ratios, spans = append(ratios, logRatio), append(spans, times[last])
		}
	}
	cut := cutPerDay(ratios, spans)
	for i := range x {
		x[i][0] = clampRatio(x[i][0] + cut*times[i]/2)
	}
	m.buyers.learnGivenBack(asked, paid, stood)
	t := weigh(times, events, x, sold)
	if t.sold > 0 {
		t.learnShape(times, events, x, cut)
		t.calibrate(x, m.buyers.erring)
	}
	return t
}

// calibrate raises an effect of price that came out below what the trade takes it to be, up
// to that: only a part of how prices stood to their values is a dealer's error, and the rest,
// which he saw in the van, buyers may see too (regression calibration: R. J. Carroll and L. A.
// Stefanski 1990, from memory). erring is the least part that may be error.
func (t *timing) calibrate(x [][]float64, erring float64) {
	effect := &t.model.Coef[1]
	more := min(*effect/erring, max(*effect, priorPriceEffect)) - *effect
	mean := 0.0
	for i := range x {
		mean += x[i][0] / float64(len(x))
	}
	*effect += more
	t.model.Coef[0] -= more * mean // such a van stands as long as before
}

// cutPerDay is what was taken off the log of an asking price for each day that a van stood,
// where the asking price on record is the last one: those that stood long were then asked
// less. Where it is the first one nothing comes out, since a lower price makes a van go
// sooner. One standard error is taken off.
func cutPerDay(ratios, days []float64) float64 {
	n := float64(len(days))
	if n < fewSales {
		return 0
	}
	variance := stat.Variance(days, nil)
	if variance == 0 {
		return 0
	}
	slope := stat.Covariance(days, ratios, nil) / variance
	left := max(0, stat.Variance(ratios, nil)-slope*slope*variance)
	return max(0, -slope-math.Sqrt(left/variance/n))
}

// ageing is what a day takes off the log of a value, on average over a few sales.
func (m *Market) ageing() float64 {
	const days = 90
	sum, n := 0.0, 0.0
	for _, s := range thin(m.sales, 40) {
		now, err := m.model.Predict(thingOfSale(s, m.asOf).row(m.milesPerYear, m.asOf))
		older := thingOfSale(s, m.asOf)
		older.registered = older.registered.AddDays(-days)
		then, err2 := m.model.Predict(older.row(m.milesPerYear, m.asOf))
		if err == nil && err2 == nil {
			sum += math.Log(now.Value/then.Value) / days
			n++
		}
	}
	if n == 0 {
		return depreciationPerDay
	}
	return sum / n
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
// value, asked from the market's day on: a sale by then has a chance of
// 1 − exp(−cumulative). Beyond the table each day is as the last.
func (t timing) cumulative(days int) float64 {
	last := len(t.hazard) - 1
	if days <= last {
		return t.hazard[days]
	}
	return t.hazard[last] + float64(days-last)*(t.hazard[last]-t.hazard[last-1])
}

// tabulate fills the table of cumulative for prices asked from a day on: the hazard of
// the Weibull, times what its stretch of days showed.
func (t *timing) tabulate(days int, on data.Date) {
	location := t.model.Linear(t.at(1, on, data.LowProfile))
	t.hazard = make([]float64, days)
	before := 0.0
	for d := 1; d < days; d++ {
		after := weibullHazard(float64(d), location, t.model.Scale)
		t.hazard[d] = t.hazard[d-1] + (after-before)*t.timesOn(float64(d))
		before = after
	}
}

// weibullHazard is the cumulative hazard of a Weibull, (days / e^η)^(1/σ).
func weibullHazard(days, location, scale float64) float64 {
	if days == 0 {
		return 0
	}
	// Bounded so that differences of two stay finite; a sale is certain long
	// before.
	return math.Exp(min((math.Log(days)-location)/scale, 500))
}

// Pace is what a market has learnt of the time to sell.
type Pace struct {
	MedianDays  float64 // of a low-profile asked as its value asks, in the middle of the seasons
	PriceEffect float64 // one per cent more on the price makes a sale take about this many per cent longer
	Note        string  // why a stated prior was called in; blank where the sales decide
}

// Pace returns what the market has learnt of the time to sell.
func (m *Market) Pace() Pace {
	t := &m.timing
	season := t.model.Linear(t.at(1, m.asOf, data.LowProfile)) - t.model.Linear(make([]float64, len(timingNames)))
	half := math.Ln2 * math.Exp(-season/t.model.Scale) // by so much of the table, which has a season, half are sold
	day := min(sort.SearchFloat64s(t.hazard, half), len(t.hazard)-1)
	before, after := t.hazard[day-1], t.hazard[day]
	return Pace{
		MedianDays:  float64(day) - max(0, (after-half)/(after-before)),
		PriceEffect: t.model.Coef[1],
		Note:        t.note,
	}
}
