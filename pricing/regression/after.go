package regression

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a predicted response with limits.
type Interval struct{ Value, Low, High float64 }

// HC3 returns standard errors of Coef that stay honest where the errors'
// variance differs from row to row. Each squared residual is divided by
// (1 - leverage)²: J. G. MacKinnon and H. White (1985), Journal of Econometrics
// 29, as recommended by J. S. Long and L. H. Ervin (2000), both from memory. A
// row that alone determines a coefficient (leverage 1) gives NaN.
func (f *Fit) HC3() []float64 {
	d := f.design
	out := make([]float64, d.p)
	for i, row := range d.rows {
		scaled := d.w[i] * f.Residual[i] / (1 - f.Leverage[i])
		if f.Leverage[i] == 1 {
			scaled = math.NaN()
		}
		for j, v := range d.solveHalf(d.half(row)) {
			out[j] += v * scaled * v * scaled
		}
	}
	for j := range out {
		out[j] = math.Sqrt(out[j])
	}
	return out
}

// Interval predicts the response of one new row x of weight 1, with limits that
// hold it with probability level, from 0 to 1, where errors are normal. x must
// have as many values as the rows of the fit; without degrees of freedom left
// the limits are infinite.
func (f *Fit) Interval(x []float64, level float64) Interval {
	row := append([]float64{1}, x...)
	value := 0.0
	for j, v := range row {
		value += f.Coef[j] * v
	}
	if f.DF == 0 {
		return Interval{value, math.Inf(-1), math.Inf(1)}
	}
	t := distuv.StudentsT{Sigma: 1, Nu: float64(f.DF)}.Quantile(0.5 + level/2)
	half := t * f.Sigma * math.Sqrt(1+f.design.quadratic(row))
	return Interval{value, value - half, value + half}
}

// Smearing is the mean of the exponentials of the residuals: what a median
// price, exp of a fitted log price, is multiplied by to give a mean price.
// N. Duan (1983), Smearing estimate, JASA 78, from memory.
func (f *Fit) Smearing() float64 {
	sum := 0.0
	for _, r := range f.Residual {
		sum += math.Exp(r)
	}
	return sum / float64(len(f.Residual))
}
