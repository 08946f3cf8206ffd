package pricing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/forecast"
)

const (
	priceBand       = 10_000 // pounds
	mostBandedPrice = 1_000_000
	wantedYears     = 3
	typicalSales    = 5     // of a kind are valued for it, evenly spread over its prices
	fewKnown        = 10    // sales of a kind below which its figures are said to rest on few
	allOurs         = 100.0 // see salesKnown; common practice, no source
)

// InHand is a van that we own and have not sold, beside what it is worth.
type InHand struct {
	Van   data.Van
	Quote *Quote
}

// Wanted is one kind of van, by maker, model, body and price, and what the next one
// of it should earn.
type Wanted struct {
	Rank         int // 1 earns most a pitch-day
	Maker, Model string
	Body         data.Body
	From, To     data.Money // price band: from the one to below the other

	Sales      int        // past sales of the last wantedYears
	InHand     int        // that we own and have not sold
	CanBear    int        // may stand at once before they compete with each other
	More       int        // CanBear less InHand, not below 0
	PerDay     data.Money // expected profit over the expected days on a pitch
	Low, High  data.Money // four times in five what such a van leaves, over the same days
	DaysToSell int        // median
	PitchDays  int        // expected days from purchase to sale
	Profit     data.Money // expected
	Bottleneck string     // skill or kind of bay that it would wait for longest; blank: not known
	Worthwhile bool       // there is room for it, and it earns at least what the next pitch earns on average
	Reason     string

	atOnce float64 // CanBear before it is a whole number
}

// Buying is what to buy: the kinds, what earns most a pitch-day first, and what one
// more pitch would earn a day.
type Buying struct {
	Kinds []Wanted
	Pitch data.Money // a day; 0 where there is room for no kind that leaves anything
}

type kindOfVan struct {
	maker, model string
	body         data.Body
	band         int // priceBand pounds each
}

// bandOf is the price band of an amount; false beyond any van's.
func bandOf(price data.Money) (int, bool) {
	p := price.InexactFloat64()
	return int(p / priceBand), p > 0 && p < mostBandedPrice
}

// knownKind is what is known of one kind of van.
type knownKind struct {
	kindOfVan
	sold   []*data.Sale
	inHand []InHand
	bought purchase
	value  float64 // of a typical one, today, pounds
	days   float64 // mean, from listing to sale
	draws  forecast.Draws
}

// Wanted works out what to buy. sold are margins of our own vans that were sold,
// inHand those that stand, bottleneck what one more van of a model and body would
// wait for.
//
// A kind's value today is that of its past sales at the age that they had. Days and
// price come from the forecast of a van asked at its value; what it costs to buy and
// to prepare, and how long that takes, from our own vans, all of them and of that
// model, with common practice as a prior.
//
// How many a kind bears: by Little's law (J. D. C. Little 1961, from memory) what
// sells at a rate and stands for some days is, on average, rate × days at once;
// more of it wait for buyers who do not come. The rate is that of the past sales,
// times the share of them that we could have had.
func (m *Market) Wanted(sold []*MarginRow, inHand []InHand, bottleneck func(maker, model string, body data.Body) string) Buying {
	bought := learnPurchases(sold)
	kinds := slices.DeleteFunc(m.kindsOf(inHand), func(k *knownKind) bool {
		k.bought = bought.of(k.maker, k.model)
		return !m.typical(k)
	})
	days, ours := m.salesKnown(sold)
	var out Buying
	for _, k := range kinds {
		w := m.wanted(k)
		if w.Sales > 0 {
			w.atOnce = ours * float64(w.Sales) / days * (k.bought.prepDays + k.days)
			w.CanBear = max(1, int(math.Round(w.atOnce)))
		}
		w.More = max(0, w.CanBear-w.InHand)
		w.Bottleneck = bottleneck(k.maker, k.model, k.body)
		out.Kinds = append(out.Kinds, w)
	}
	slices.SortStableFunc(out.Kinds, func(a, b Wanted) int { return b.PerDay.Cmp(a.PerDay) })
	out.price()
	for i := range out.Kinds {
		out.Kinds[i].Rank = i + 1
		out.Kinds[i].explain(out.Pitch)
	}
	return out
}

// salesKnown is how many days the past sales of wantedYears cover, and the share of
// buyers in them who could have been ours: our sales over all since the first of ours,
// with allOurs sales on both sides. A yard whose past sales are its own has them all;
// of a feed of many dealers' sales nobody gets all the buyers.
func (m *Market) salesKnown(sold []*MarginRow) (days, ours float64) {
	from := m.asOf.AddDays(-wantedYears * 365)
	first, since := m.asOf, m.asOf
	own, all := allOurs, allOurs
	for _, row := range sold {
		if on := row.Van.SoldOn; on >= from && on <= m.asOf {
			since = min(since, on)
			own++
		}
	}
	for _, s := range m.sales {
		first = min(first, listed(s))
		if s.SoldOn >= since && s.SoldOn <= m.asOf {
			all++
		}
	}
	days = float64(max(m.asOf.DaysSince(max(first, from)), 365))
	return days, min(1, own/all)
}

// price finds what one more pitch would earn: the mean over the kinds that there is
// room for, each by how many of it past sales bear, since what sells oftener is offered
// oftener.
func (b *Buying) price() {
	sum, weight := 0.0, 0.0
	for i := range b.Kinds {
		if k := &b.Kinds[i]; k.More > 0 && k.PerDay.IsPositive() {
			sum += k.atOnce * k.PerDay.InexactFloat64()
			weight += k.atOnce
		}
	}
	if weight > 0 {
		b.Pitch = data.Pence(data.Pounds(sum / weight))
	}
	for i := range b.Kinds {
		k := &b.Kinds[i]
		k.Worthwhile = k.More > 0 && k.PerDay.IsPositive() && k.PerDay.GreaterThanOrEqual(b.Pitch)
	}
}

func (w *Wanted) explain(pitch data.Money) {
	switch {
	case w.Sales == 0:
		w.Reason = "no past sale of this kind in three years: judged by those in hand"
	case !w.PerDay.IsPositive():
		w.Reason = "leaves nothing at what such vans cost"
	case w.More == 0:
		w.Reason = fmt.Sprintf("%d in hand, as many as past sales bear", w.InHand)
	case !w.Worthwhile:
		w.Reason = fmt.Sprintf("there is room for it; the next pitch earns %s a day on average", data.InPounds(pitch))
	default:
		w.Reason = fmt.Sprintf("past sales bear %d at once", w.CanBear)
	}
	if w.Sales > 0 && w.Sales < fewKnown {
		w.Reason += "; few past sales"
	}
}

// kindsOf sorts past sales and the vans in hand into kinds, in their order.
func (m *Market) kindsOf(inHand []InHand) []*knownKind {
	known := map[kindOfVan]*knownKind{}
	var kinds []*knownKind
	at := func(maker, model string, body data.Body, price data.Money) *knownKind {
		band, ok := bandOf(price)
		if !ok {
			return &knownKind{}
		}
		key := kindOfVan{maker, model, body, band}
		if known[key] == nil {
			known[key] = &knownKind{kindOfVan: key}
			kinds = append(kinds, known[key])
		}
		return known[key]
	}
	for _, s := range m.sales {
		if !s.SoldOn.IsZero() && s.SoldOn <= m.asOf && m.asOf.DaysSince(s.SoldOn) <= wantedYears*365 {
			k := at(s.Maker, s.Model, s.Body, s.SoldPrice.Value)
			k.sold = append(k.sold, s)
		}
	}
	for _, v := range inHand {
		price := cmp.Or(v.Quote.ExpectedSale, v.Quote.Market)
		k := at(v.Van.Maker, v.Van.Model, v.Van.Body, price.Value)
		k.inHand = append(k.inHand, v)
	}
	slices.SortFunc(kinds, func(a, b *knownKind) int {
		return cmp.Or(cmp.Compare(a.maker, b.maker), cmp.Compare(a.model, b.model), cmp.Compare(a.body, b.body), cmp.Compare(a.band, b.band))
	})
	return kinds
}

// typical fills in what a typical van of a kind is worth today and how it sells; false
// where that can't be said.
func (m *Market) typical(k *knownKind) bool {
	slices.SortStableFunc(k.sold, func(a, b *data.Sale) int { return a.SoldPrice.Value.Cmp(b.SoldPrice.Value) })
	var value, sd, n float64
	for _, s := range thin(k.sold, typicalSales) {
		v, logSD := s.SoldPrice.Value.InexactFloat64(), guideLogSD
		if m.model != nil {
			like := *s
			like.FirstRegistered = s.FirstRegistered.AddDays(m.asOf.DaysSince(s.SoldOn)) // as old as it was
			p, err := m.model.Predict(thingOfSale(&like, m.asOf).row(m.milesPerYear, m.asOf))
			if err != nil || !(p.High < widestInterval*p.Low) {
				continue
			}
			v, logSD = p.Value*m.level.Factor, p.LogSD
		}
		value, sd, n = value+v, sd+logSD, n+1
	}
	if n == 0 {
		for _, v := range k.inHand {
			if v.Quote.Market.Known {
				value, sd, n = value+v.Quote.Market.Value.InexactFloat64(), sd+v.Quote.LogSD, n+1
			}
		}
	}
	if n == 0 || !(value/n >= 1) {
		return false
	}
	k.value = value / n
	quote := Quote{Van: data.Van{Maker: k.maker, Model: k.model, Body: k.body}, Market: data.Some(data.Estimate(k.value)), LogSD: sd / n}
	ask := m.askingFor(quote.Market.Value)
	k.draws = m.outlook(&quote, []forecast.Ask{askOf(ask, 0)}, 0, int(math.Round(k.bought.prepDays))).draws
	for _, d := range k.draws {
		k.days += d.Weight * float64(d.Days)
	}
	return true
}

// wanted works out what the next van of a kind should leave.
func (m *Market) wanted(k *knownKind) Wanted {
	w := Wanted{
		Maker: k.maker, Model: k.model, Body: k.body,
		From: data.Estimate(float64(k.band * priceBand)), To: data.Estimate(float64((k.band + 1) * priceBand)),
		Sales: len(k.sold), InHand: len(k.inHand), DaysToSell: k.draws.DaysQuantile(0.5),
	}
	bought := k.bought
	terms := SaleTerms{VATTreatment: VATTreatmentOf(data.Van{VAT: data.MarginScheme})}
	money := moneyOf(terms, data.Estimate(k.value*bought.costShare), m.policy)
	profit := func(d forecast.Draw) float64 {
		_, left := money.leaves(d.Price)
		return left - bought.prep - money.perDay*(bought.prepDays+float64(d.Days))
	}
	mean := 0.0
	for _, d := range k.draws {
		mean += d.Weight * profit(d)
	}
	days := bought.prepDays + k.days
	w.PitchDays = int(math.Round(days))
	w.Profit = data.Estimate(mean)
	w.PerDay = data.Pence(data.Pounds(mean / days))
	w.Low = data.Pence(data.Pounds(k.draws.Quantile(lowestProfit, profit) / days))
	w.High = data.Pence(data.Pounds(k.draws.Quantile(1-lowestProfit, profit) / days))
	return w
}
