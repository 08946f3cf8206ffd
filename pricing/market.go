package pricing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/forecast"
	"github.com/vanwright/vanwright/pricing/hedonic"
)

// MostSales is how many sales a market learns from at most: of more, an old one
// tells little that newer ones do not, and a buyer waits. They are the latest by
// the day on which they were listed, or an even spread over those listed in the
// last latestDays where these are more. Of the last few months alone those that
// have ended are the quick ones, which were cheap: with 50,000 sales a year the
// latest 20,000 gave intervals that held 85 and 86 % of prices of 90 (two yards
// made by synth, 1,448 and 1,470 sales kept back), the spread 88 and 89 %.
const (
	MostSales  = 20_000
	latestDays = 365
)

// SalesSince is the day from which on a market looks at all sales.
func SalesSince(asOf data.Date) data.Date { return asOf.AddDays(-latestDays) }

const (
	// unsoldWeight is how much an asking price of a van still for sale says,
	// against a price that was paid. Common practice, no source.
	unsoldWeight = 0.2
	// guideLogSD is how far a price guide's figure may be off, one standard
	// deviation of the logarithm. Common practice, no source.
	guideLogSD = 0.10
	// fewSalesRefit is the number of sales up to which the width of the
	// interval is found the slow way: with more, a buyer would wait for digits
	// that do not move the bid.
	fewSalesRefit = 150
	// tabulatedDays is how far the chances of sale are laid out in advance.
	tabulatedDays = forecastDays + 2*365
	// z90 is the normal quantile that leaves one in twenty on each side.
	z90 = 1.6449
	// An interval this many times as high as low is no market value: the past sales
	// say too little of the van. Common practice, no source.
	widestInterval = 3
	// Among fewer than fewWild sold prices one that lies more than wildScores robust
	// deviations of the log from their median, taken as leastWild at the least, was
	// mistyped: with so few the price model can't tell. Common practice, no source.
	fewWild, wildScores, leastWild = 60, 3.5, 0.25
	// mostWorth is the largest amount in pounds that a table may hold. Sales
	// that are wild enough teach a model to go beyond it.
	mostWorth = 100_000_000
)

// Market is what past sales teach: values and times to sell.
type Market struct {
	policy data.Policy
	asOf   data.Date

	model        *hedonic.Model // nil below hedonic.MinRows sales
	sales        []*data.Sale   // the usable ones, by sale_id: the order of the model's rows; never written to
	milesPerYear float64
	grades       grades
	buyers       buyers
	level        Level // of our own sales against all
	points       *forecast.Points
	models       map[[2]string]int
	makers       map[string]int
	shelves      shelves
	traits       []traits // of sales
	timing       timing
	Notes        []string // what the model lacks, for every quote
}

// NewMarket learns from the sales that are complete, the latest 20,000 where
// there are more. It always returns a market; one that could learn nothing says so in its quotes.
func NewMarket(sales []data.Sale, asOf data.Date, policy data.Policy) *Market {
	sales = latestSales(sales, MostSales, SalesSince(asOf))
	m := &Market{
		policy: policy, asOf: asOf,
		milesPerYear: usualMileage(sales), buyers: learnPaid(sales), level: Level{Factor: 1},
		points: forecast.NewPoints(forecastPoints, int64(policy.Seed)),
		models: map[[2]string]int{}, makers: map[string]int{},
	}
	rows, sold := m.rows(sales)
	m.grades = learnGrades(m.sales)
	if sold < hedonic.MinRows {
		m.Notes = append(m.Notes, fmt.Sprintf("%d usable past sales; %d are needed for a price model", sold, hedonic.MinRows))
	} else if model, err := hedonic.Fit(rows, features, hedonic.Options{Level: 0.90, RefitRows: fewSalesRefit}); err != nil {
		m.Notes = append(m.Notes, "no price model: "+err.Error())
	} else {
		m.model = model
		m.stack()
		m.learnEffect()
	}
	m.timing = m.learnTiming()
	m.timing.tabulate(tabulatedDays, asOf)
	if m.timing.note != "" {
		m.Notes = append(m.Notes, m.timing.note)
	}
	return m
}

// latestSales returns the given number of sales: an even spread, by day of
// listing, over those listed since a day, or the ones listed last where these are
// no more than that; of one day, by sale_id. Chosen by the day on which they
// ended, the slow ones would be too many among those still for sale. sales is not
// changed.
func latestSales(sales []data.Sale, most int, since data.Date) []data.Sale {
	if len(sales) <= most {
		return sales
	}
	days := make([]data.Date, len(sales))
	for i := range sales {
		days[i] = listed(&sales[i])
	}
	slices.Sort(days)
	first := min(days[len(days)-most], since)
	var late []*data.Sale
	for i := range sales {
		if s := &sales[i]; listed(s) >= first {
			late = append(late, s)
		}
	}
	slices.SortFunc(late, func(a, b *data.Sale) int {
		return cmp.Or(cmp.Compare(listed(b), listed(a)), cmp.Compare(a.SaleID, b.SaleID))
	})
	if first == since {
		late = thin(late, most)
	}
	latest := make([]data.Sale, 0, most)
	for _, s := range late[:min(len(late), most)] {
		latest = append(latest, *s)
	}
	return latest
}

// listed is the day on which a van was listed, or sold where that is not known.
func listed(s *data.Sale) data.Date { return cmp.Or(s.Listed, s.SoldOn) }

// rows puts the usable sales in a fixed order, whatever order they were typed
// in, and counts those that were sold. The sales stay where they are: a million
// of them are not copied.
func (m *Market) rows(sales []data.Sale) (rows []hedonic.Row, sold int) {
	wild := wildPrices(sales)
	for i := range sales {
		if s := &sales[i]; usable(s) && !(s.SoldPrice.Known && wild(math.Log(s.SoldPrice.Value.InexactFloat64()))) {
			m.sales = append(m.sales, s)
		}
	}
	slices.SortStableFunc(m.sales, func(a, b *data.Sale) int { return cmp.Compare(a.SaleID, b.SaleID) })
	rows = make([]hedonic.Row, 0, len(m.sales))
	for _, s := range m.sales {
		on, price, weight := s.SoldOn, s.SoldPrice.Value.InexactFloat64(), 1.0
		if on.IsZero() {
			on, price, weight = m.asOf, s.Asking.Value.InexactFloat64()*m.buyers.typical, unsoldWeight
		} else {
			sold++
			m.models[[2]string{s.Maker, s.Model}]++
			m.makers[s.Maker]++
		}
		row := thingOfSale(s, on).row(m.milesPerYear, m.asOf)
		row.Target, row.Weight = price, weight
		rows = append(rows, row)
	}
	return rows, sold
}

// wildPrices tells, among few sold prices, the logs of those that can only be
// slips; among many none, since the price model doubts them itself.
func wildPrices(sales []data.Sale) func(log float64) bool {
	var logs []float64
	for i := range sales {
		if s := &sales[i]; usable(s) && !s.SoldOn.IsZero() {
			logs = append(logs, math.Log(s.SoldPrice.Value.InexactFloat64()))
		}
	}
	if len(logs) < 3 || len(logs) >= fewWild {
		return func(float64) bool { return false }
	}
	slices.Sort(logs)
	median := logs[len(logs)/2]
	off := make([]float64, len(logs))
	for i, l := range logs {
		off[i] = math.Abs(l - median)
	}
	slices.Sort(off)
	limit := wildScores * max(1.4826*off[len(off)/2], leastWild)
	return func(log float64) bool { return math.Abs(log-median) > limit }
}

// usable reports whether a sale says what was, or is, asked for what.
func usable(s *data.Sale) bool {
	if s.FirstRegistered.IsZero() {
		return false
	}
	if s.SoldOn.IsZero() {
		return s.Asking.Known && s.Asking.Value.IsPositive()
	}
	return s.SoldPrice.Known && s.SoldPrice.Value.IsPositive() && s.SoldOn >= s.FirstRegistered && !mistyped(s)
}

// value fills in what the van is worth on the market's day. Where past sales have
// grades it is taken to be of the mean grade of such vans, given what was seen
// of it, and the interval is widened by what that leaves open. Where they have none
// their scatter has that in it.
func (m *Market) value(q *Quote, seen Condition, grounds bool) {
	if m.model == nil {
		q.Reasons = append(q.Reasons, m.Notes...)
		q.byGuide()
		return
	}
	seen.AgeYears = m.asOf.YearsSince(q.Van.FirstRegistered)
	grade, known := m.grades.of(seen)
	row := thingOfVan(q.Van, m.asOf, data.Opt[int]{Value: grade.likely, Known: known}).row(m.milesPerYear, m.asOf)
	p, err := m.model.Predict(row)
	p = grade.move(p)
	switch {
	case err != nil:
	case !(p.High <= mostWorth):
		err = fmt.Errorf("the past sales would bear a price above %d pounds", mostWorth)
	case !(p.High < widestInterval*p.Low):
		err = fmt.Errorf("9 in 10 would sell between %s and %s, too far apart for a value",
			data.InPounds(data.Estimate(p.Low)), data.InPounds(data.Estimate(p.High)))
	}
	if err != nil {
		q.Reasons = append(q.Reasons, "the price model can't place this van: "+err.Error())
		q.byGuide()
		return
	}
	q.Method, q.modelled = "sales", p.Value
	level := m.level.Factor
	q.setMarket(level*p.Value, math.Log(p.High/p.Value), p.LogSD)
	q.Low, q.High = data.Some(data.Estimate(level*p.Low)), data.Some(data.Estimate(level*p.High))
	q.SameModelSales = m.models[[2]string{q.Van.Maker, q.Van.Model}]
	switch {
	case q.SameModelSales > 0:
		q.Reasons = append(q.Reasons, fmt.Sprintf("%d past sales of the same model", q.SameModelSales))
	case m.makers[q.Van.Maker] > 0:
		q.SameModelSales = m.makers[q.Van.Maker]
		q.Reasons = append(q.Reasons, fmt.Sprintf("no past sale of this model; based on %d of the same maker", q.SameModelSales))
	default:
		q.Reasons = append(q.Reasons, "no past sale of this maker; based on vans of the same body and age")
	}
	if grounds {
		m.explain(q, row)
		m.compare(q, data.Opt[int]{Value: grade.likely, Known: known})
	}
}

// byGuide takes the value from the guide price, if there is one.
func (q *Quote) byGuide() {
	q.Method = "none"
	if q.Van.Guide.Known && q.Van.Guide.Value.IsPositive() {
		q.Method = "guide"
		q.setMarket(q.Van.Guide.Value.InexactFloat64(), guideLogSD*z90, guideLogSD)
		q.Reasons = append(q.Reasons, "value taken from the guide price")
	}
}

// setMarket fills in a value with a symmetrical interval of its logarithm.
func (q *Quote) setMarket(value, halfWidthLog, logSD float64) {
	q.Market = data.Some(data.Estimate(value))
	q.Low = data.Some(data.Estimate(value * math.Exp(-halfWidthLog)))
	q.High = data.Some(data.Estimate(value * math.Exp(halfWidthLog)))
	q.LogSD = logSD
}

// explain turns the model's log terms into pounds that add up to the value:
// each term is the pounds it adds to what stood before it.
func (m *Market) explain(q *Quote, row hedonic.Row) {
	terms, err := m.model.Explain(row)
	if err != nil {
		return
	}
	log := 0.0
	shown := data.Money{}
	for i, t := range terms {
		log += t.LogEffect
		upTo := data.Estimate(min(math.Exp(log), mostWorth))
		if i == len(terms)-1 {
			upTo = data.Estimate(q.modelled)
		}
		name := t.Name
		switch {
		case i == 0:
			name = "the mean of the past sales"
		case name == hedonic.RestName:
			name = "how these add up on vans like it"
		}
		q.Explained = append(q.Explained, Effect{What: name, Pounds: upTo.Sub(shown)})
		shown = upTo
	}
	if rest := q.Market.Value.Sub(shown); !rest.IsZero() {
		q.Explained = append(q.Explained, Effect{What: "our own sales against the market", Pounds: rest})
	}
}
