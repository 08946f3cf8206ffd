package survival

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// aftHill is the censored Weibull log-likelihood in internal parameters:
// intercept, coefficients of standardised columns, and log σ.
//
//	ℓ = Σ [z − e^z − log σ − log t]  over events
//	  + Σ −e^z                       over the censored,   z = (log t − η)/σ
//
// The term −log t puts ℓ on the scale of T.
type aftHill struct {
	*Sample
	beliefs beliefs

	// z and e^z of each row at theta, which a climb asks for twice: for the height
	// that it reached and for the slope there.
	theta, z, exp []float64
}

func newHill(s *Sample, b beliefs) *aftHill {
	return &aftHill{Sample: s, beliefs: b, z: make([]float64, len(s.logTime)), exp: make([]float64, len(s.logTime))}
}

func (m *aftHill) scale(theta []float64) float64 { return math.Exp(theta[len(theta)-1]) }

func (m *aftHill) eta(theta []float64, i int) float64 {
	eta := theta[0]
	for j, x := range m.row(i) {
		eta += theta[j+1] * x
	}
	return eta
}

// moveTo fills in z and exp at theta.
func (m *aftHill) moveTo(theta []float64) {
	if slices.Equal(m.theta, theta) {
		return
	}
	m.theta = append(m.theta[:0], theta...)
	scale := m.scale(theta)
	for i, t := range m.logTime {
		m.z[i] = (t - m.eta(theta, i)) / scale
		m.exp[i] = math.Exp(m.z[i])
	}
}

func (m *aftHill) Height(theta []float64) float64 {
	return m.logLik(theta) + m.beliefs.value(theta)
}

func (m *aftHill) logLik(theta []float64) float64 {
	scale := m.scale(theta)
	if !(scale > 1e-8 && scale < 1e8) { // a perfect fit, or none at all
		return math.Inf(-1)
	}
	m.moveTo(theta)
	logScale := math.Log(scale)
	sum := 0.0
	for i, e := range m.exp {
		if m.event[i] {
			sum += m.z[i] - e - logScale - m.logTime[i]
		} else {
			sum -= e
		}
	}
	if math.IsNaN(sum) {
		return math.Inf(-1)
	}
	return sum
}

func (m *aftHill) Slope(theta, gradient []float64, information *mat.SymDense) {
	m.moveTo(theta)
	scale := m.scale(theta)
	k := len(theta)
	last := k - 1 // log σ
	clear(gradient)
	// The lower triangle, row by row; SymDense.SetSym in the inner loop would
	// cost more than the sums.
	info := make([]float64, k*k)
	for i, e := range m.exp {
		z, g, seen := m.z[i], -e, 0.0 // g: slope of the row's part in z; −e its second derivative
		if m.event[i] {
			g, seen = 1-e, 1
		}
		dEta, dEtaEta := -g/scale, e/(scale*scale)
		row := m.row(i)
		gradient[0] += dEta
		info[0] += dEtaEta
		for a, x := range row {
			gradient[a+1] += dEta * x
			to := info[(a+1)*k:]
			to[0] += dEtaEta * x
			for b, y := range row[:a+1] {
				to[b+1] += dEtaEta * x * y
			}
		}
		gradient[last] += -z*g - seen
		cross := (z*e - g) / scale
		to := info[last*k:]
		to[0] += cross
		for a, x := range row {
			to[a+1] += cross * x
		}
		to[last] -= z*g - z*z*e
	}
	for i := range k {
		for j := range i + 1 {
			information.SetSym(i, j, info[i*k+j])
		}
	}
	m.beliefs.addTo(theta, gradient, information)
}

// start is the mean and spread of log time, as if every row had been seen: near
// enough for Newton's method, and finite for any sample.
func (m *aftHill) start() []float64 {
	theta := make([]float64, len(m.names)+2)
	mean, square := 0.0, 0.0
	each := 1 / float64(len(m.logTime))
	for _, t := range m.logTime {
		mean += each * t
	}
	for _, t := range m.logTime {
		square += each * (t - mean) * (t - mean)
	}
	theta[0] = mean
	theta[len(theta)-1] = math.Log(max(math.Sqrt(square), 0.01))
	return theta
}
