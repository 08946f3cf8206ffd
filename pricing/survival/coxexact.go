package survival

import "math"

// sweepExact is sweep for the discrete likelihood. The denominator at each time
// is the elementary symmetric function e_d of the risks: the sum, over every
// choice of d of those at risk, of the product of their risks. The recursion
// e_k ← e_k + r·e_{k−1}, one subject at a time, gives it in (set × d) steps
// (Gail, Lubin and Rubinstein 1981, from memory), and its derivatives follow by
// the product rule.
func (m *coxHill) sweepExact(theta, gradient, info []float64) float64 {
	p := len(theta)
	risk, top := m.risks(theta)
	second := gradient != nil
	logLik := 0.0
	for _, g := range m.groups {
		d := len(g.deaths)
		if d == 0 {
			continue
		}
		for _, i := range g.deaths {
			logLik += m.eta(theta, i) - top
			if second {
				for j, x := range m.row(i) {
					gradient[j] += x
				}
			}
		}
		choices := make([]*moments, d+1)
		for k := range choices {
			choices[k] = newMoments(p)
		}
		choices[0].zero = 1
		for n, i := range m.order[:g.to] {
			for k := min(d, n+1); k >= 1; k-- {
				choices[k].include(risk[i], m.row(i), choices[k-1], second)
			}
		}
		e := choices[d]
		if !(e.zero > 0) || math.IsInf(e.zero, 1) {
			return math.Inf(-1) // too many ties for double precision
		}
		logLik -= math.Log(e.zero)
		if !second {
			continue
		}
		for j := range p {
			gradient[j] -= e.one[j] / e.zero
			for k := range j + 1 {
				info[j*p+k] += e.two[j*p+k]/e.zero - (e.one[j]/e.zero)*(e.one[k]/e.zero)
			}
		}
	}
	return logLik
}

// include adds the choices that contain one more subject, with risk r and
// covariates x: value r·c, gradient r·(c' + x·c), Hessian
// r·(c” + x·c'ᵀ + c'·xᵀ + x·xᵀ·c).
func (s *moments) include(r float64, x []float64, c *moments, second bool) {
	s.zero += r * c.zero
	if !second {
		return
	}
	p := len(x)
	for j, v := range x {
		s.one[j] += r * (c.one[j] + v*c.zero)
		for k, u := range x[:j+1] {
			s.two[j*p+k] += r * (c.two[j*p+k] + v*c.one[k] + u*c.one[j] + v*u*c.zero)
		}
	}
}
