package regression

import (
	"encoding/binary"
	"errors"
	"math"
	"testing"
)

// FuzzLeastSquares feeds any bits as rows, response and weights. A fit is finite in its
// coefficients and residuals, or a named error; nothing panics.
func FuzzLeastSquares(f *testing.F) {
	bits := func(figures ...float64) (b []byte) {
		for _, v := range figures {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		return b
	}
	f.Add([]byte{}, byte(1), false)
	f.Add(bits(1, 2, 3, 4, 5, 6, 7, 8, 10, 1, 2, 3), byte(1), true)
	f.Add(bits(1, 9, 2, 5, 4, 1, 3, 3, 8, 4, 2, 9, 5, 1, 7, 6, 6, 6), byte(2), false)
	f.Add(bits(0, 0, 0, 0, 1e308, -1e308, 1e-308, 5, 5), byte(1), false)
	f.Add(bits(1e154, 1, 1, -1e154, 1, 1, 1e154, 3, 1, 2, 3, 1), byte(1), true)
	f.Add(bits(math.NaN(), 1, 1, math.Inf(1), 1, 1), byte(0), true)
	f.Fuzz(func(t *testing.T, raw []byte, columns byte, scaled bool) {
		next := func() float64 {
			v := math.Float64frombits(binary.LittleEndian.Uint64(raw))
			raw = raw[8:]
			if scaled { // to what a trade's figures are
				v = math.Mod(v, 1e6)
			}
			return v
		}
		k := int(columns % 4)
		var x [][]float64
		var y, w []float64
		for len(raw) >= 8*(k+2) && len(y) < 60 {
			row := make([]float64, k)
			for j := range row {
				row[j] = next()
			}
			x, y, w = append(x, row), append(y, next()), append(w, math.Abs(next()))
		}
		if fit, err := OLS(x, y); known(t, err) {
			finiteFit(t, fit, len(y), k)
		}
		if fit, err := WLS(x, y, w); known(t, err) {
			finiteFit(t, fit, len(y), k)
		}
		if len(y) > 20 {
			return // two thousand steps take too long to be tried often
		}
		if fit, err := Huber(x, y, HuberK); known(t, err) {
			finite(t, fit.Coef...)
			finite(t, fit.Residual...)
			finite(t, fit.Weight...)
			finite(t, fit.Scale)
		}
	})
}

// known fails on an error of no declared kind, and says whether there was none.
func known(t *testing.T, err error) bool {
	t.Helper()
	if err != nil && !errors.Is(err, ErrShape) && !errors.Is(err, ErrRank) && !errors.Is(err, ErrNotSettled) {
		t.Fatalf("unnamed error %v", err)
	}
	return err == nil
}

func finiteFit(t *testing.T, f *Fit, rows, columns int) {
	t.Helper()
	if len(f.Coef) != columns+1 || len(f.StdErr) != columns+1 || len(f.Residual) != rows || len(f.Leverage) != rows || f.DF < 0 || f.DF > rows {
		t.Fatalf("%d coefficients and %d residuals, with %d degrees of freedom, for %d rows of %d", len(f.Coef), len(f.Residual), f.DF, rows, columns)
	}
	finite(t, f.Coef...)
	finite(t, f.StdErr...)
	finite(t, f.Residual...)
	finite(t, f.RSS, f.Sigma, f.R2)
	for _, h := range f.Leverage {
		if !(h >= 0 && h <= 1) {
			t.Fatalf("leverage %v", h)
		}
	}
	if f.RSS < 0 || math.IsNaN(f.LogLik) { // an exact fit has an infinite likelihood
		t.Fatalf("residual sum of squares %v, log-likelihood %v", f.RSS, f.LogLik)
	}
}

func finite(t *testing.T, figures ...float64) {
	t.Helper()
	for _, v := range figures {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("a figure is %v in %v", v, figures)
		}
	}
}
