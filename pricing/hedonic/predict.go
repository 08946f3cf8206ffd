package hedonic

import (
	"fmt"
	"math"
)

// Prediction is the price of a row with an interval.
type Prediction struct {
	Value     float64 // middle price: half of such sales are expected below it
	Low, High float64 // the interval that should hold Options.Level of such sales
	LogSD     float64 // standard deviation of the log price of one such sale
	Support   float64 // number of like rows whose mean would be as well known
	Seen      []bool  // for each category of the Spec, whether the fit saw this level
}

// Predict prices r. It returns an error if r does not have the shape of the
// Spec or holds a number out of range.
func (m *Model) Predict(r Row) (Prediction, error) {
	if err := m.enc.spec.validateShape(r); err != nil {
		return Prediction{}, fmt.Errorf("row %w", err)
	}
	e := m.enc.newEncoded()
	m.enc.encode(r, e)
	var s sparse
	m.design.row(e, &s)
	middle := m.log(e, &s)
	log := m.centre + middle
	doubt := m.uncertainty(&s)
	sd := m.rest.sd * math.Sqrt(m.comp.noise*m.scatter.of(&s)+doubt)
	half := m.intervals.factor(middle) * sd
	p := Prediction{
		Value:   exp(log),
		Low:     exp(log - half),
		High:    exp(log + half),
		LogSD:   sd,
		Support: m.comp.noise / max(doubt, 1e-12*m.comp.noise),
		Seen:    make([]bool, len(m.enc.levels)),
	}
	for k := range p.Seen {
		p.Seen[k] = e.codes[k] != noLevel
	}
	return p, nil
}

// exp is bounded so that no finite table gives an infinite or a zero price.
func exp(v float64) float64 { return math.Exp(max(-700, min(700, v))) }
