package synth

import "math"

// mul returns x × y, rounded. The conversion keeps the compiler from fusing the
// product with an addition that follows, as it may on arm64, ppc64 and s390x.
func mul(x, y float64) float64 { return float64(x * y) }

// exp returns e**x to about 15 digits for |x| < 700. math.Exp has hand-written
// forms on some processors whose last digits differ.
func exp(x float64) float64 {
	k := math.Floor(mul(x, math.Log2E) + 0.5)
	r := x - mul(k, ln2Hi) - mul(k, ln2Lo)
	sum := 1.0
	for n := 14; n >= 1; n-- {
		sum = 1 + mul(sum, r)/float64(n)
	}
	return math.Ldexp(sum, int(k))
}

// ln 2 in two parts, so that a multiple of the first is exact.
const (
	ln2Hi = 6.93147180369123816490e-01
	ln2Lo = 1.90821492927058770002e-10
)

// ln returns the natural logarithm of x > 0 to about 15 digits, from the series
// of 2 artanh((f-1)/(f+1)).
func ln(x float64) float64 {
	f, k := math.Frexp(x)
	if f < math.Sqrt2/2 {
		f, k = mul(f, 2), k-1
	}
	s := (f - 1) / (f + 1)
	s2 := mul(s, s)
	sum := 0.0
	for n := 23; n >= 1; n -= 2 {
		sum = mul(sum, s2) + 1/float64(n)
	}
	return mul(float64(k), ln2Hi) + (mul(float64(k), ln2Lo) + mul(mul(2, s), sum))
}

// whole rounds to the nearest whole number, halves up.
func whole(x float64) int { return int(math.Floor(x + 0.5)) }
