package pricing

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

const (
	// levelDays is how far back our own sales speak for the level of our prices.
	levelDays = 365
	// levelSD is how far, as a standard deviation of the log, what our vans fetch
	// lies off what the past sales say of them. Common practice, no source.
	levelSD = 0.035
)

// Level is how far what our own vans fetched lay off their value by all past
// sales.
type Level struct {
	Sales     int
	Factor    float64 // in force: values are multiplied by it; 1 where nothing was learnt
	Low, High float64 // nine times in ten it lies between the two
}

// LearnLevel corrects the level of all values by our own sales of the last year:
// the mean of what they fetched over their values by a model that left each out,
// as logs, shrunk toward nothing by how widely they scatter. own reports whether a
// sale_id is that of a van of ours.
func (m *Market) LearnLevel(own func(saleID string) bool) {
	if m.model == nil {
		return
	}
	var off []float64
	for _, s := range m.sales {
		if s.SoldOn.IsZero() || m.asOf.DaysSince(s.SoldOn) > levelDays || !own(s.SaleID) {
			continue
		}
		p, err := m.model.Predict(thingOfSale(s, s.SoldOn).row(m.milesPerYear, m.asOf))
		if err != nil {
			continue
		}
		off = append(off, math.Log(s.SoldPrice.Value.InexactFloat64())-leftOut(s, p))
	}
	if len(off) < 2 {
		return
	}
	n := float64(len(off))
	mean, sd := stat.MeanStdDev(off, nil)
	sd = max(sd, 0.01)
	book := sd * sd / (levelSD * levelSD) // sales that the past sales' own level weighs as
	log, within := mean*n/(n+book), z90*sd/math.Sqrt(n+book)
	m.level = Level{len(off), math.Exp(log), math.Exp(log - within), math.Exp(log + within)}
}
