package regression

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

var (
	// ErrShape is wrapped where rows, response and weights don't fit together
	// or hold something that is not a finite number.
	ErrShape = errors.New("rows don't make a design")
	// ErrRank is wrapped where the rows don't determine the coefficients.
	ErrRank = errors.New("the design doesn't determine its coefficients")
)

// Fit is a least-squares fit. Coefficient 0 is the intercept.
type Fit struct {
	Coef     []float64
	StdErr   []float64 // of Coef, taking the variance of the errors as equal
	Residual []float64 // observed less fitted, unweighted
	Leverage []float64 // diagonal of the hat matrix, 0 to 1
	RSS      float64   // weighted residual sum of squares
	DF       int       // rows of positive weight less coefficients
	Sigma    float64   // residual standard error: sqrt(RSS / DF)
	R2       float64   // share of the weighted variance about the mean
	LogLik   float64   // normal log-likelihood at the maximum, variance RSS / n

	design *design
}

// OLS fits y on the rows of x by ordinary least squares.
func OLS(x [][]float64, y []float64) (*Fit, error) {
	w := make([]float64, len(y))
	for i := range w {
		w[i] = 1
	}
	return WLS(x, y, w)
}

// WLS fits y on the rows of x by least squares weighted by w: the variance of
// row i is Sigma² / w[i]. Rows of weight 0 get a residual and no say.
func WLS(x [][]float64, y, w []float64) (*Fit, error) {
	d, err := newDesign(x, w)
	if err != nil {
		return nil, err
	}
	if err := checkColumn("response", y, len(x)); err != nil {
		return nil, err
	}
	f := &Fit{design: d, Coef: d.solve(y), DF: d.used - d.p}
	f.finish(y)
	if !f.finite() {
		return nil, fmt.Errorf("%w: its figures are too large to be squared and summed", ErrShape)
	}
	return f, nil
}

// finite reports whether every figure but LogLik, which an exact fit makes
// infinite, is a number.
func (f *Fit) finite() bool {
	sum := f.RSS + f.Sigma + f.R2
	for _, figures := range [][]float64{f.Coef, f.StdErr, f.Residual, f.Leverage} {
		for _, v := range figures {
			sum += 0 * v // NaN for what is not finite
		}
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

func (f *Fit) finish(y []float64) {
	d := f.design
	f.Residual = d.residuals(y, f.Coef)
	mean, sum, logWeights := 0.0, 0.0, 0.0
	for i, w := range d.w {
		mean += w * y[i]
		sum += w
		if w > 0 {
			logWeights += math.Log(w)
		}
	}
	mean /= sum
	tss := 0.0
	f.Leverage = make([]float64, len(y))
	for i, w := range d.w {
		f.RSS += w * f.Residual[i] * f.Residual[i]
		tss += w * (y[i] - mean) * (y[i] - mean)
		f.Leverage[i] = min(1, w*d.quadratic(d.rows[i]))
	}
	if f.DF > 0 {
		f.Sigma = math.Sqrt(f.RSS / float64(f.DF))
	}
	if tss > 0 {
		f.R2 = 1 - f.RSS/tss
	}
	n := float64(d.used)
	f.LogLik = (logWeights - n*(math.Log(2*math.Pi)+math.Log(f.RSS/n)+1)) / 2
	f.StdErr = make([]float64, d.p)
	for j, v := range d.inverseDiagonal() {
		f.StdErr[j] = f.Sigma * math.Sqrt(v)
	}
}

// design is the weighted design in its QR form, with columns centred and scaled
// so that levels and units cost no digits.
type design struct {
	p, used int
	rows    [][]float64 // with the leading one
	w       []float64
	mean    []float64 // weighted mean of each column; 0 for the column of ones
	scale   []float64 // Euclidean length of each weighted, centred column
	qr      mat.QR
	r       *mat.TriDense // of the scaled design
}

// smallestPivot is the ratio of pivots at which a column counts as a
// combination of the others. Filip's powers, the hardest of the usual tests,
// stay well above it.
const smallestPivot = 1e-13

func newDesign(x [][]float64, w []float64) (*design, error) {
	if err := checkColumn("weights", w, len(x)); err != nil {
		return nil, err
	}
	if len(x) == 0 {
		return nil, fmt.Errorf("%w: no rows", ErrShape)
	}
	d := &design{p: len(x[0]) + 1, w: w}
	for i, row := range x {
		if err := checkColumn(fmt.Sprint("row ", i), row, d.p-1); err != nil {
			return nil, err
		}
		if w[i] < 0 {
			return nil, fmt.Errorf("%w: weight of row %d is %g", ErrShape, i, w[i])
		}
		if w[i] > 0 {
			d.used++
		}
		d.rows = append(d.rows, append([]float64{1}, row...))
	}
	if d.used < d.p {
		return nil, fmt.Errorf("%w: %d rows for %d coefficients", ErrRank, d.used, d.p)
	}
	return d, d.factorize()
}

func (d *design) factorize() error {
	d.mean, d.scale = make([]float64, d.p), make([]float64, d.p)
	for j := range d.p {
		if j > 0 {
			d.mean[j] = weightedMean(d.rows, j, d.w)
		}
		for i, row := range d.rows {
			d.scale[j] = math.Hypot(d.scale[j], math.Sqrt(d.w[i])*(row[j]-d.mean[j]))
		}
		if d.scale[j] == 0 || math.IsInf(d.scale[j], 1) {
			return fmt.Errorf("%w: column %d is constant or too large", ErrRank, j)
		}
	}
	a := mat.NewDense(len(d.rows), d.p, nil)
	for i, row := range d.rows {
		for j, v := range row {
			a.Set(i, j, math.Sqrt(d.w[i])*(v-d.mean[j])/d.scale[j])
		}
	}
	d.qr.Factorize(a)
	var r mat.Dense
	d.qr.RTo(&r)
	d.r = mat.NewTriDense(d.p, mat.Upper, nil)
	for i := range d.p {
		for j := i; j < d.p; j++ {
			d.r.SetTri(i, j, r.At(i, j))
		}
		// Columns have length 1, so a pivot is the part of its column that
		// the columns before it don't explain.
		if !(math.Abs(r.At(i, i)) > smallestPivot) {
			return fmt.Errorf("%w: column %d follows from those before it", ErrRank, i)
		}
	}
	return nil
}

// refinements is how often a solution is improved by the fit of its own
// residuals; each step wins back digits lost to a badly conditioned design.
const refinements = 3

func (d *design) solve(y []float64) []float64 {
	coef := make([]float64, d.p)
	left := y
	for range 1 + refinements {
		b := mat.NewVecDense(len(y), nil)
		for i, v := range left {
			b.SetVec(i, math.Sqrt(d.w[i])*v)
		}
		var step mat.VecDense
		// A Condition error only warns; factorize has judged the rank.
		if err := d.qr.SolveVecTo(&step, false, b); step.IsEmpty() && err != nil {
			return coef
		}
		for j, v := range d.uncentre(step.RawVector().Data) {
			coef[j] += v
		}
		left = d.residuals(y, coef)
	}
	return coef
}

// residuals adds in twice the working precision, since y and the fit may agree
// in all but their last digits.
func (d *design) residuals(y, coef []float64) []float64 {
	out := make([]float64, len(y))
	for i, row := range d.rows {
		high, low := y[i], 0.0
		for j, v := range row {
			product := -v * coef[j]
			low += math.FMA(-v, coef[j], -product)
			sum := high + product
			part := sum - high
			low += (high - (sum - part)) + (product - part)
			high = sum
		}
		out[i] = high + low
	}
	return out
}

// half solves R'z = x for a row x with the leading one.
func (d *design) half(x []float64) []float64 {
	z := make([]float64, d.p)
	for j := range d.p {
		v := (x[j] - d.mean[j]) / d.scale[j]
		for k := range j {
			v -= d.r.At(k, j) * z[k]
		}
		z[j] = v / d.r.At(j, j)
	}
	return z
}

// quadratic is x'(X'WX)^-1 x.
func (d *design) quadratic(x []float64) float64 {
	sum := 0.0
	for _, v := range d.half(x) {
		sum += v * v
	}
	return sum
}

// solveHalf solves R b = z, so that solveHalf(half(x)) is (X'WX)^-1 x.
func (d *design) solveHalf(z []float64) []float64 {
	b := make([]float64, d.p)
	for j := d.p - 1; j >= 0; j-- {
		v := z[j]
		for k := j + 1; k < d.p; k++ {
			v -= d.r.At(j, k) * b[k]
		}
		b[j] = v / d.r.At(j, j)
	}
	return d.uncentre(b)
}

// uncentre turns coefficients of the centred and scaled columns into those of
// the columns as given.
func (d *design) uncentre(b []float64) []float64 {
	out := make([]float64, d.p)
	for j, v := range b {
		out[j] = v / d.scale[j]
		if j > 0 {
			out[0] -= out[j] * d.mean[j]
		}
	}
	return out
}

func weightedMean(rows [][]float64, j int, w []float64) float64 {
	sum, total := 0.0, 0.0
	for i, row := range rows {
		sum += w[i] * row[j]
		total += w[i]
	}
	return sum / total
}

// inverseDiagonal is the diagonal of (X'WX)^-1.
func (d *design) inverseDiagonal() []float64 {
	out := make([]float64, d.p)
	unit := make([]float64, d.p)
	for k := range d.p {
		unit[k] = 1
		for j, v := range d.solveHalf(unit) {
			out[j] += v * v
		}
		unit[k] = 0
	}
	return out
}

func checkColumn(name string, v []float64, n int) error {
	if len(v) != n {
		return fmt.Errorf("%w: %s has %d values, want %d", ErrShape, name, len(v), n)
	}
	for i, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%w: %s, value %d is not finite", ErrShape, name, i)
		}
	}
	return nil
}
