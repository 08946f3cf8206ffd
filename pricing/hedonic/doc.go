// Package hedonic fits a price model to a table of past sales: the logarithm of
// a positive target on numeric and categorical features.
//
// In go rows and a Spec that names the features. Out comes a Model that prices
// a row with an interval, explains the price in additive log terms, and lists
// the nearest sales with what adjusts each of them to the row asked about. The
// model is a linear mixed model: every effect is shrunk towards zero by as much
// as the table itself asks for, so a level with two rows leans on its parent
// and one never seen falls back to it, with a wider interval.
//
// The package knows nothing of what is sold. It keeps no state, reads no clock
// and draws no random numbers: the same rows give the same model. It never
// returns a price without an interval, and it declines a table that it can't
// fit with an error.
//
//	spec := hedonic.Spec{
//		Numerics:   []hedonic.Numeric{{Name: "age", Curve: true}},
//		Categories: []hedonic.Category{{Name: "maker"}, {Name: "model", Within: "maker"}},
//	}
//	m, err := hedonic.Fit(rows, spec, hedonic.Options{})
//	p := m.Predict(rows[0]) // p.Low <= p.Value <= p.High
package hedonic
