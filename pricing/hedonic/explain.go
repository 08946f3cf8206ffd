package hedonic

import (
	"fmt"
	"strings"
)

// Term is one part of a price.
type Term struct {
	Name      string  // the feature, features joined by " × ", or "reference" for the price of the mean row
	LogEffect float64 // added to the log price; exp of it multiplies the price
}

// Explain splits the log of r's price into the price of the mean row of the fit
// and what each feature of r adds to it. The effects sum to the log of
// Prediction.Value.
func (m *Model) Explain(r Row) ([]Term, error) {
	if err := m.enc.spec.validateShape(r); err != nil {
		return nil, fmt.Errorf("row %w", err)
	}
	e := m.enc.newEncoded()
	m.enc.encode(r, e)
	var s sparse
	m.design.row(e, &s)
	out := []Term{{Name: "reference", LogEffect: m.centre + m.sol.beta[0]}}
	at := map[string]int{}
	for t, effect := range m.effects(&s) {
		out[0].LogEffect += m.mean[t]
		name := m.termName(t)
		i, ok := at[name]
		if !ok {
			i = len(out)
			at[name] = i
			out = append(out, Term{Name: name})
		}
		out[i].LogEffect += effect - m.mean[t]
	}
	if len(m.rest.grown) > 0 {
		out = append(out, Term{Name: RestName, LogEffect: m.log(e, &s) - m.sol.dot(&s)})
	}
	return out, nil
}

// RestName is the last Term of a model that trees refine: what the features do
// together, beyond each on its own.
const RestName = "features together"

// termName joins the names of the features in term t.
func (m *Model) termName(t int) string {
	term := m.design.terms[t]
	switch {
	case term.curve >= 0:
		return m.enc.spec.Numerics[term.curve].Name
	case term.missing >= 0:
		return m.enc.spec.Numerics[term.missing].Name
	}
	var names []string
	for _, f := range term.factors {
		names = append(names, m.enc.factorName(f))
	}
	for _, j := range term.slopes {
		names = append(names, m.enc.spec.Numerics[j].Name)
	}
	return strings.Join(names, " × ")
}

func (e *encoder) factorName(f int) string {
	if f < len(e.levels) {
		return e.spec.Categories[f].Name
	}
	return e.spec.Numerics[e.steps[f-len(e.levels)].numeric].Name
}
