package pricing

import (
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/hedonic"
)

// The features of the price model. A model leans on its maker, and a maker in
// one body leans on the body and on the maker elsewhere.
var features = hedonic.Spec{
	Numerics: []hedonic.Numeric{
		{Name: "age", Curve: true},
		{Name: "mileage for its age", Curve: true},
		{Name: "berths"},
		{Name: "length"},
		{Name: "grade", Curve: true},
		{Name: "spring"},
		{Name: "summer"},
		{Name: "market movement"},
	},
	Categories: []hedonic.Category{
		{Name: "body"},
		{Name: "maker"},
		{Name: "maker in this body", Within: "body"},
		{Name: "model", Within: "maker"},
		{Name: "gearbox"},
		{Name: "chassis"},
	},
}

// thing is what a sale and a van have in common for the model.
type thing struct {
	maker, model, chassis, gearbox string
	body                           data.Body
	registered                     data.Date
	on                             data.Date // the day the price is of
	mileage                        int
	berths, lengthMM, grade        data.Opt[int]
}

// gradeColumn is the place of the grade among the features' numbers.
const gradeColumn = 4

func thingOfSale(s *data.Sale, on data.Date) thing {
	return thing{s.Maker, s.Model, s.Chassis, s.Gearbox, s.Body, s.FirstRegistered, on, s.Mileage, s.Berths, s.LengthMM, s.Grade}
}

func thingOfVan(v data.Van, on data.Date, grade data.Opt[int]) thing {
	return thing{v.Maker, v.Model, v.Chassis, v.Gearbox, v.Body, v.FirstRegistered, on, v.Mileage, v.Berths, v.LengthMM, grade}
}

// row puts a thing into the model's terms. milesPerYear is what a van of the
// sales usually covers; today is the day the drift is counted to.
func (t thing) row(milesPerYear float64, today data.Date) hedonic.Row {
	age := max(0, t.on.YearsSince(t.registered))
	spring, summer := season(t.on)
	return hedonic.Row{
		Numerics: []float64{
			age,
			(float64(t.mileage) - milesPerYear*age) / 1000,
			optional(t.berths),
			optional(t.lengthMM) / 1000,
			optional(t.grade),
			spring,
			summer,
			t.on.YearsSince(today),
		},
		Categories: []string{string(t.body), t.maker, t.maker, t.model, t.gearbox, t.chassis},
		Weight:     1,
	}
}

// season returns two numbers that turn with the year: the first peaks in
// spring, the second in summer.
func season(d data.Date) (spring, summer float64) {
	angle := 2 * math.Pi * float64(d.DaysSince(data.NewDate(d.Year(), 1, 1))) / 365.25
	return math.Sin(angle), -math.Cos(angle)
}

func optional(n data.Opt[int]) float64 {
	if !n.Known {
		return math.NaN()
	}
	return float64(n.Value)
}

// usualMileage is the median miles a year over the sales.
func usualMileage(sales []data.Sale) float64 {
	var rates []float64
	for _, s := range sales {
		on := s.SoldOn
		if on.IsZero() {
			on = s.Listed
		}
		if age := on.YearsSince(s.FirstRegistered); age > 0.5 {
			rates = append(rates, float64(s.Mileage)/age)
		}
	}
	if len(rates) == 0 {
		return 6000 // common practice, no source
	}
	slices.Sort(rates)
	return rates[len(rates)/2]
}
