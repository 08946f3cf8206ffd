package survival

import (
	"fmt"
	"math"
)

// Distribution is the law of the error of an accelerated-failure-time model:
// log T = η + σ·Z, with Z named here by the law it gives T.
type Distribution int

// The laws of T that FitAFT knows.
const (
	Weibull     Distribution = iota // Z is the smallest extreme value
	Exponential                     // Weibull with σ held at 1
	LogNormal                       // Z is standard Gaussian
	LogLogistic                     // Z is standard logistic
)

func (d Distribution) String() string {
	switch d {
	case Weibull:
		return "weibull"
	case Exponential:
		return "exponential"
	case LogNormal:
		return "lognormal"
	case LogLogistic:
		return "loglogistic"
	}
	return fmt.Sprintf("distribution(%d)", int(d))
}

// logDensity is log f(z) with its first two derivatives in z.
func (d Distribution) logDensity(z float64) (value, first, second float64) {
	switch d {
	case LogNormal:
		return -z*z/2 - logRootTwoPi, -z, -1
	case LogLogistic:
		p := logistic(z)
		return z - 2*softplus(z), 1 - 2*p, -2 * p * (1 - p)
	default:
		e := math.Exp(z)
		return z - e, 1 - e, -e
	}
}

// logSurvival is log P(Z > z) with its first two derivatives in z.
func (d Distribution) logSurvival(z float64) (value, first, second float64) {
	switch d {
	case LogNormal:
		logS, hazard := gaussianTail(z)
		return logS, -hazard, -hazard * (hazard - z)
	case LogLogistic:
		p := logistic(z)
		return -softplus(z), -p, -p * (1 - p)
	default:
		e := math.Exp(z)
		return -e, -e, -e
	}
}

// inverse is the z at which log P(Z > z) = logS, for logS < 0. Working from the
// logarithm keeps digits in both tails.
func (d Distribution) inverse(logS float64) float64 {
	switch d {
	case LogNormal:
		return gaussianInverse(logS)
	case LogLogistic:
		if logS < -700 {
			return -logS
		}
		return math.Log(math.Expm1(-logS))
	default:
		return math.Log(-logS)
	}
}

const logRootTwoPi = 0.91893853320467274178 // log √(2π)

func logistic(z float64) float64 { return 1 / (1 + math.Exp(-z)) }

// softplus is log(1 + e^z) without overflow.
func softplus(z float64) float64 {
	return max(z, 0) + math.Log1p(math.Exp(-math.Abs(z)))
}

// gaussianTail is log P(Z > z) and the hazard φ(z)/P(Z > z). Beyond z = 5 the
// complementary error function gives way to the continued fraction of Mills'
// ratio, 1/(z + 1/(z + 2/(z + 3/(z + …)))), which stays exact where erfc
// underflows.
func gaussianTail(z float64) (logS, hazard float64) {
	logPhi := -z*z/2 - logRootTwoPi
	if z < 0 {
		below := math.Erfc(-z/math.Sqrt2) / 2
		return math.Log1p(-below), math.Exp(logPhi) / (1 - below)
	}
	if z < 5 {
		above := math.Erfc(z/math.Sqrt2) / 2
		return math.Log(above), math.Exp(logPhi) / above
	}
	hazard = z
	for k := 60.0; k >= 1; k-- {
		hazard = z + k/hazard
	}
	return logPhi - math.Log(hazard), hazard
}

// gaussianInverse solves log P(Z > z) = logS by Newton's method. The logarithm
// of a Gaussian tail is concave and falling, so the steps cannot cycle.
func gaussianInverse(logS float64) float64 {
	z := 0.0
	if logS < -3 {
		z = math.Sqrt(-2 * logS)
	} else if logS > -0.1 {
		// Near certainty: start from the mirrored tail.
		return -gaussianInverseUpper(-math.Expm1(logS))
	}
	for range 60 {
		value, hazard := gaussianTail(z)
		step := (value - logS) / hazard
		z += step
		if math.Abs(step) <= 1e-15*max(1, math.Abs(z)) {
			break
		}
	}
	return z
}

// gaussianInverseUpper is the z with P(Z > z) = q for a small q.
func gaussianInverseUpper(q float64) float64 {
	if q <= 0 {
		return math.Inf(1)
	}
	return gaussianInverse(math.Log(q))
}
