package pricing

import (
	"cmp"
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
)

const (
	// nearest is how many comparable sales a quote lists.
	nearest = 5
	// shelfSize is how many sales of one kind, the latest, a comparable is
	// looked for among. It keeps a quote cheap after a million sales.
	shelfSize = 200
	// oddOneOut is how many standard deviations a comparable may lie from the
	// van's value once it is brought to the van; beyond, it was mistyped or
	// not of the kind.
	oddOneOut = 3.5
)

// What makes two vans unlike: each difference counts as one step. Common
// practice, no source.
const (
	ageStepYears    = 2.0
	mileageStep     = 15_000.0 // miles
	lengthStepMM    = 500.0
	soldAgoStepDays = 365.0
	gearboxSteps    = 1.0
	unsoldSteps     = 1.0 // an asking price is weaker evidence than one that was paid
)

// shelves holds the latest sales, as indexes of Market.sales, by kind: those of
// a model, of a maker in a body, and of a body.
type shelves map[[2]string][]int

// stack fills the shelves.
func (m *Market) stack() {
	m.shelves = shelves{}
	m.traits = make([]traits, len(m.sales))
	for i := range m.sales {
		m.traits[i] = m.traitsOfSale(m.sales[i])
	}
	latestFirst := make([]int, len(m.sales))
	for i := range latestFirst {
		latestFirst[i] = i
	}
	slices.SortStableFunc(latestFirst, func(a, b int) int { return cmp.Compare(m.day(b), m.day(a)) })
	for _, i := range latestFirst {
		for _, kind := range kinds(m.sales[i].Maker, m.sales[i].Model, m.sales[i].Body) {
			if len(m.shelves[kind]) < shelfSize {
				m.shelves[kind] = append(m.shelves[kind], i)
			}
		}
	}
}

// day is by what a shelf takes the latest sales first: the day of the sale, or
// of the listing while there is none, so that a shelf is not filled with vans
// that stand unsold.
func (m *Market) day(i int) data.Date {
	if on := m.sales[i].SoldOn; !on.IsZero() {
		return on
	}
	return m.sales[i].Listed
}

// kinds are the shelves that a van belongs on, the narrowest first.
func kinds(maker, model string, body data.Body) [3][2]string {
	return [3][2]string{{"model " + maker, model}, {"maker " + maker, string(body)}, {"body", string(body)}}
}

// compare lists the sales most like the van, the likest first, each brought to
// this van by the price model: what it fetched, times what the model says of
// this van over what it says of that one. Sales of the same model come before
// any other, and those of the same maker and body before the rest.
func (m *Market) compare(q *Quote, grade data.Opt[int]) {
	taken := make([]int, 0, nearest)
	for _, kind := range kinds(q.Van.Maker, q.Van.Model, q.Van.Body) {
		for _, c := range m.likest(&q.Van, grade, m.shelves[kind]) {
			if len(taken) == nearest {
				return
			}
			if slices.Contains(taken, c.sale) {
				continue
			}
			if brought, ok := m.bring(m.sales[c.sale], q); ok {
				brought.Distance = c.steps
				q.Comparables = append(q.Comparables, brought)
				taken = append(taken, c.sale)
			}
		}
	}
}

// candidate is a sale that is some steps away from a van.
type candidate struct {
	sale  int
	steps float64
}

// likest returns the sales of a shelf that are nearest to a van, nearest first,
// a few more than a quote lists, since some may turn out odd.
func (m *Market) likest(v *data.Van, grade data.Opt[int], shelf []int) []candidate {
	top := make([]candidate, 0, 3*nearest+1)
	this := m.traitsOfVan(v, grade)
	for _, i := range shelf {
		c := candidate{i, this.unlike(&m.traits[i])}
		if len(top) == 3*nearest && c.steps >= top[len(top)-1].steps {
			continue
		}
		at := len(top)
		for at > 0 && c.steps < top[at-1].steps {
			at--
		}
		top = slices.Insert(top, at, c)
		top = top[:min(len(top), 3*nearest)]
	}
	return top
}

// bring adjusts a sale to the van of a quote; false where the outcome is so far
// from the van's value that the sale must be something else.
func (m *Market) bring(s *data.Sale, q *Quote) (Comparable, bool) {
	on, price := s.SoldOn, s.SoldPrice.Value
	if on.IsZero() {
		on, price = m.asOf, s.Asking.Value
	}
	p, err := m.model.Predict(thingOfSale(s, on).row(m.milesPerYear, m.asOf))
	if err != nil {
		return Comparable{}, false
	}
	value := q.modelled
	adjusted := price.InexactFloat64() * value / p.Value
	paid := adjusted
	if s.SoldOn.IsZero() {
		paid *= m.buyers.typical
	}
	if !(adjusted <= mostWorth) || math.Abs(math.Log(paid/value)) > oddOneOut*q.LogSD {
		return Comparable{}, false
	}
	return Comparable{Sale: *s, Adjusted: data.Estimate(adjusted)}, true
}

// traits are what two vans are compared by, packed close since a quote reads
// hundreds of them.
type traits struct {
	ageYears, miles, daysAgo float32 // daysAgo: since it was sold; 0 for one still for sale
	lengthMM, berths, grade  float32 // below 0: unknown
	automatic, unsold        bool
}

func (m *Market) traitsOfSale(s *data.Sale) traits {
	on := s.SoldOn
	if on.IsZero() {
		on = m.asOf
	}
	return traits{
		ageYears: float32(on.YearsSince(s.FirstRegistered)), miles: float32(s.Mileage), daysAgo: float32(m.asOf.DaysSince(on)),
		lengthMM: orUnknown(s.LengthMM), berths: orUnknown(s.Berths), grade: orUnknown(s.Grade),
		automatic: s.Gearbox == "automatic", unsold: s.SoldOn.IsZero(),
	}
}

func (m *Market) traitsOfVan(v *data.Van, grade data.Opt[int]) traits {
	return traits{
		ageYears: float32(m.asOf.YearsSince(v.FirstRegistered)), miles: float32(v.Mileage),
		lengthMM: orUnknown(v.LengthMM), berths: orUnknown(v.Berths), grade: orUnknown(grade),
		automatic: v.Gearbox == "automatic",
	}
}

func orUnknown(n data.Opt[int]) float32 { return float32(n.Or(-1)) }

// unlike is how many steps a sale is away from a van.
func (t *traits) unlike(sale *traits) float64 {
	steps := apart(t.ageYears, sale.ageYears)/ageStepYears + apart(t.miles, sale.miles)/mileageStep +
		float64(sale.daysAgo)/soldAgoStepDays
	if t.lengthMM >= 0 && sale.lengthMM >= 0 {
		steps += apart(t.lengthMM, sale.lengthMM) / lengthStepMM
	}
	if t.berths >= 0 && sale.berths >= 0 {
		steps += apart(t.berths, sale.berths)
	}
	if t.grade >= 0 && sale.grade >= 0 {
		steps += apart(t.grade, sale.grade)
	}
	if t.automatic != sale.automatic {
		steps += gearboxSteps
	}
	if sale.unsold {
		steps += unsoldSteps
	}
	return steps
}

func apart(a, b float32) float64 { return math.Abs(float64(a - b)) }
