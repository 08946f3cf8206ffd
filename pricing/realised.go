package pricing

import (
	"cmp"
	"math"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

const (
	// realisedMonths is how many months of our own sales are looked back on,
	// each with a price model of its own.
	realisedMonths = 12
	// realisedSales is how many of the sales then known such a model learns
	// from. More would take longer and tell little more.
	realisedSales = 1000
)

// SoldVan is a van that we sold, with the hours of its finished jobs.
type SoldVan struct {
	Van        data.Van
	HoursBook  float64 // the book's middle for this van
	HoursSpent float64
}

// PriceCheck is a van that we sold beside what would have been said of it at the
// start of the month in which it was sold. Percentages are of what was said.
type PriceCheck struct {
	SoldVan
	Month      data.Date            // its first day
	Value      data.Opt[data.Money] // market value as seen then
	Low, High  data.Opt[data.Money] // 90 % interval
	Advised    data.Opt[data.Money] // price to sell at
	OffValue   data.Opt[decimal.Decimal]
	OffAdvised data.Opt[decimal.Decimal]
	OffHours   data.Opt[decimal.Decimal]
	Within     bool   // fetched lies in the interval
	Method     string // of the value: "sales", "guide" or "none"
}

// Achieved is what sold vans were advised to bring and brought, all together.
type Achieved struct {
	Vans             int // of which both are known
	Advised, Fetched data.Money
	Off              data.Opt[decimal.Decimal] // percent of advised, one place; unknown without vans
}

// AchievedInAll adds up the vans of which both prices are known.
func AchievedInAll(checks []PriceCheck) Achieved {
	var a Achieved
	for i := range checks {
		if c := &checks[i]; c.Advised.Known && c.Van.SoldPrice.Known {
			a.Vans++
			a.Advised, a.Fetched = a.Advised.Add(c.Advised.Value), a.Fetched.Add(c.Van.SoldPrice.Value)
		}
	}
	a.Off = data.Percent(a.Fetched.Sub(a.Advised), a.Advised, 1)
	return a
}

// ErrorStats is how far what came lay from what was said, over some vans.
type ErrorStats struct {
	Vans   int
	Bias   data.Opt[decimal.Decimal] // mean, percent; above zero: more came than was said
	Spread data.Opt[decimal.Decimal] // standard deviation about it, percentage points; from two vans
}

// MonthRealised is how good our prices and hours were in one month.
type MonthRealised struct {
	Month   data.Date // its first day
	Sold    int
	Value   ErrorStats // fetched against market value
	Advised ErrorStats // fetched against advised price
	Within  data.Opt[decimal.Decimal]
	Hours   ErrorStats // spent against the book's middle
}

// CheckPrices looks back on the vans sold in the last twelve months that saw a
// sale: for each what would have been advised, by a model that learnt only from
// sales before that month, against what it fetched; and the hours it took
// against the book's. One model a month is fitted. Outcomes are sorted by day
// of sale and stock_id, months by month. Of listed, which are vans of ours, sold or not,
// it also says with what chance those listed in these months were to go soon.
func CheckPrices(done []SoldVan, listed []data.Van, sales []data.Sale, policy data.Policy, asOf data.Date) ([]PriceCheck, []MonthRealised, []Stated) {
	outcomes := lastOutcomes(done)
	bySaleID := func(a, b data.Sale) int { return cmp.Compare(a.SaleID, b.SaleID) }
	if !slices.IsSortedFunc(sales, bySaleID) {
		sales = slices.Clone(sales)
		slices.SortStableFunc(sales, bySaleID)
	}
	ours := map[string]bool{}
	for i := range done {
		ours[done[i].Van.StockID] = true
	}
	var months []MonthRealised
	var soon []Stated
	known := make([]*data.Sale, 0, len(sales))
	for start := 0; start < len(outcomes); {
		end := start
		for end < len(outcomes) && outcomes[end].Month == outcomes[start].Month {
			end++
		}
		month := outcomes[start:end]
		market := NewMarket(knownBefore(sales, month[0].Month, known), month[0].Month, policy)
		market.LearnLevel(func(saleID string) bool { return ours[saleID] })
		for i := range month {
			month[i].compare(market)
		}
		soon = append(soon, market.stated(listedIn(listed, month[0].Month, asOf))...)
		months = append(months, sumUp(month))
		start = end
	}
	return outcomes, months, soon
}

// lastOutcomes lists the vans sold in the last realisedMonths months that saw a
// sale, by day of sale and stock_id. What they were worth is not filled in.
func lastOutcomes(done []SoldVan) []PriceCheck {
	var sold []*SoldVan
	for i := range done {
		if v := &done[i].Van; v.Status == data.Sold && !v.SoldOn.IsZero() && v.SoldPrice.Known && v.SoldPrice.Value.IsPositive() {
			sold = append(sold, &done[i])
		}
	}
	slices.SortFunc(sold, func(a, b *SoldVan) int {
		return cmp.Or(cmp.Compare(a.Van.SoldOn, b.Van.SoldOn), cmp.Compare(a.Van.StockID, b.Van.StockID))
	})
	monthOf := func(d *SoldVan) data.Date { return data.NewDate(d.Van.SoldOn.Year(), d.Van.SoldOn.Month(), 1) }
	first, months := len(sold), 0
	for ; first > 0; first-- {
		if first == len(sold) || monthOf(sold[first-1]) != monthOf(sold[first]) {
			if months++; months > realisedMonths {
				break
			}
		}
	}
	var outcomes []PriceCheck
	for _, d := range sold[first:] {
		outcomes = append(outcomes, PriceCheck{SoldVan: *d, Month: monthOf(d)})
	}
	return outcomes
}

// knownBefore returns the sales, which are sorted by sale_id, as they stood at
// the start of a day: those that ended later were still for sale, those listed
// later were not there. Of more than realisedSales an even spread is kept. room
// is for its own use.
func knownBefore(sales []data.Sale, day data.Date, room []*data.Sale) []data.Sale {
	soldBefore := func(s *data.Sale) bool { return !s.SoldOn.IsZero() && s.SoldOn < day }
	known := room[:0]
	for i := range sales {
		if s := &sales[i]; soldBefore(s) || !s.Listed.IsZero() && s.Listed < day {
			known = append(known, s)
		}
	}
	known = thin(known, realisedSales)
	then := make([]data.Sale, len(known))
	for i, s := range known {
		then[i] = *s
		if !soldBefore(s) {
			then[i].SoldOn, then[i].SoldPrice = 0, data.Opt[data.Money]{}
		}
	}
	return then
}

// compare fills in what a market would have said. The asking price is left out:
// it was ours, and would be our own advice come back.
func (o *PriceCheck) compare(m *Market) {
	v := o.Van
	v.Status, v.Asking, v.Listed = data.Owned, data.Opt[data.Money]{}, 0
	q := m.quote(v, Condition{}, false)
	o.Value, o.Low, o.High, o.Advised, o.Method = q.Market, q.Low, q.High, q.Price, q.Method
	fetched := o.Van.SoldPrice.Value
	o.OffValue, o.OffAdvised = off(fetched, q.Market), off(fetched, q.Price)
	o.Within = q.Market.Known && !fetched.LessThan(q.Low.Value) && !fetched.GreaterThan(q.High.Value)
	if o.HoursBook > 0 && o.HoursSpent > 0 {
		o.OffHours = data.Some(data.PercentOf(o.HoursSpent/o.HoursBook-1, 1))
	}
}

// off returns by how many per cent an amount lies above what was said.
func off(came data.Money, said data.Opt[data.Money]) data.Opt[decimal.Decimal] {
	if !said.Known {
		return data.Opt[decimal.Decimal]{}
	}
	return data.Percent(came.Sub(said.Value), said.Value, 1)
}

func sumUp(month []PriceCheck) MonthRealised {
	sum := MonthRealised{Month: month[0].Month, Sold: len(month)}
	var value, advised, hours []float64
	within := 0
	for _, o := range month {
		value, advised, hours = appendKnown(value, o.OffValue), appendKnown(advised, o.OffAdvised), appendKnown(hours, o.OffHours)
		if o.Within {
			within++
		}
	}
	sum.Value, sum.Advised, sum.Hours = errorOf(value), errorOf(advised), errorOf(hours)
	if len(value) > 0 {
		sum.Within = data.Some(data.PercentOf(float64(within)/float64(len(value)), 0))
	}
	return sum
}

func appendKnown(to []float64, d data.Opt[decimal.Decimal]) []float64 {
	if !d.Known {
		return to
	}
	return append(to, d.Value.InexactFloat64())
}

// errorOf sums up percentages.
func errorOf(percent []float64) ErrorStats {
	e := ErrorStats{Vans: len(percent)}
	if e.Vans == 0 {
		return e
	}
	mean, squares := 0.0, 0.0
	for _, p := range percent {
		mean += p / float64(len(percent))
	}
	for _, p := range percent {
		squares += (p - mean) * (p - mean)
	}
	e.Bias = data.Some(data.PercentOf(mean/100, 1))
	if e.Vans > 1 {
		e.Spread = data.Some(data.PercentOf(math.Sqrt(squares/float64(e.Vans-1))/100, 1))
	}
	return e
}
