package survival

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// aftHill is the censored log-likelihood of an AFT in internal parameters:
// intercept, coefficients of standardised columns, and log σ where it is free.
//
//	ℓ = Σ [log f(z) − log σ − log t]  over events
//	  + Σ log S(z)                    over the censored,   z = (log t − η)/σ
//
// The term −log t puts ℓ on the scale of T, where fits with different laws can
// be compared.
type aftHill struct {
	*sample
	law     Distribution
	logTime []float64
	dim     int
	beliefs beliefs
}

func (m *aftHill) scale(theta []float64) float64 {
	if m.law == Exponential {
		return 1
	}
	return math.Exp(theta[m.dim-1])
}

func (m *aftHill) eta(theta []float64, i int) float64 {
	eta := theta[0]
	for j, x := range m.row(i) {
		eta += theta[j+1] * x
	}
	return eta
}

func (m *aftHill) Height(theta []float64) float64 {
	return m.logLik(theta) + m.beliefs.value(theta)
}

func (m *aftHill) logLik(theta []float64) float64 {
	scale := m.scale(theta)
	if !(scale > 1e-8 && scale < 1e8) { // a perfect fit, or none at all
		return math.Inf(-1)
	}
	logScale := math.Log(scale)
	sum := 0.0
	for i := range m.time {
		z := (m.logTime[i] - m.eta(theta, i)) / scale
		if m.event[i] {
			v, _, _ := m.law.logDensity(z)
			sum += v - logScale - m.logTime[i]
		} else {
			v, _, _ := m.law.logSurvival(z)
			sum += v
		}
	}
	if math.IsNaN(sum) {
		return math.Inf(-1)
	}
	return sum
}

func (m *aftHill) Slope(theta, gradient []float64, information *mat.SymDense) {
	scale := m.scale(theta)
	k := m.dim
	p1 := len(m.names) + 1 // intercept and covariates
	free := k > p1         // the scale moves
	clear(gradient)
	// The lower triangle, row by row; SymDense.SetSym in the inner loop would
	// cost more than the sums.
	info := make([]float64, k*k)
	for i := range m.time {
		z := (m.logTime[i] - m.eta(theta, i)) / scale
		var g, h, seen float64
		if m.event[i] {
			_, g, h = m.law.logDensity(z)
			seen = 1
		} else {
			_, g, h = m.law.logSurvival(z)
		}
		dEta, dEtaEta := -g/scale, -h/(scale*scale)
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
		if free {
			gradient[p1] += -z*g - seen
			cross := -(z*h + g) / scale
			to := info[p1*k:]
			to[0] += cross
			for a, x := range row {
				to[a+1] += cross * x
			}
			to[p1] -= z*g + z*z*h
		}
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
	theta := make([]float64, m.dim)
	mean, square := 0.0, 0.0
	each := 1 / float64(len(m.time))
	for i := range m.time {
		mean += each * m.logTime[i]
	}
	for i := range m.time {
		square += each * (m.logTime[i] - mean) * (m.logTime[i] - mean)
	}
	theta[0] = mean
	if m.law != Exponential {
		theta[m.dim-1] = math.Log(max(math.Sqrt(square), 0.01))
	}
	return theta
}
