package regression

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestUndeterminedDesignsAreErrors(t *testing.T) {
	tests := map[string]struct {
		x    [][]float64
		y    []float64
		want error
	}{
		"no rows":            {nil, nil, ErrShape},
		"ragged":             {[][]float64{{1}, {2, 3}, {4}}, []float64{1, 2, 3}, ErrShape},
		"response too short": {[][]float64{{1}, {2}, {3}}, []float64{1, 2}, ErrShape},
		"not a number":       {[][]float64{{1}, {math.NaN()}, {3}}, []float64{1, 2, 3}, ErrShape},
		"constant column":    {[][]float64{{5}, {5}, {5}}, []float64{1, 2, 3}, ErrRank},
		"column twice":       {[][]float64{{1, 2}, {2, 4}, {3, 6}, {7, 14}}, []float64{1, 2, 3, 4}, ErrRank},
		"fewer rows":         {[][]float64{{1, 2, 3}, {3, 1, 2}}, []float64{1, 2}, ErrRank},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			if _, err := OLS(test.x, test.y); !errors.Is(err, test.want) {
				t.Errorf("got %v, want %v", err, test.want)
			}
		})
	}
}

// A weight of three is worth three equal rows: an identity of least squares.
func TestWeightsActAsRepeatedRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 12).Draw(t, "n")
		var x, xx [][]float64
		var y, yy, w []float64
		for i := range n {
			row := []float64{float64(i), rapid.Float64Range(-5, 5).Draw(t, "x")}
			v, times := rapid.Float64Range(-5, 5).Draw(t, "y"), rapid.IntRange(1, 3).Draw(t, "w")
			x, y, w = append(x, row), append(y, v), append(w, float64(times))
			for range times {
				xx, yy = append(xx, row), append(yy, v)
			}
		}
		a, errA := WLS(x, y, w)
		b, errB := OLS(xx, yy)
		if errA != nil || errB != nil {
			t.Skip("undetermined")
		}
		for j := range a.Coef {
			if math.Abs(a.Coef[j]-b.Coef[j]) > 1e-6*(1+math.Abs(b.Coef[j])) {
				t.Errorf("coefficient %d: %g weighted, %g repeated", j, a.Coef[j], b.Coef[j])
			}
		}
	})
}

// Leverages sum to the number of coefficients: the trace of the hat matrix.
func TestLeveragesSumToTheCoefficients(t *testing.T) {
	x, y, _ := carDesign(t)
	fit, err := OLS(x, y)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, h := range fit.Leverage {
		sum += h
	}
	wantNear(t, "trace", sum, 15, 10)
}

func TestHuberHoldsAgainstWrongRows(t *testing.T) {
	x, y, _ := carDesign(t)
	clean, err := Huber(x, y, HuberK)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(y); i += 20 {
		y[i] += math.Log(10)
	}
	dirty, err := Huber(x, y, HuberK)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := OLS(x, y)
	if err != nil {
		t.Fatal(err)
	}
	if got := dirty.Scale / clean.Scale; got > 1.15 {
		t.Errorf("scale grew by %.3f, want at most 1.15", got)
	}
	if plain.Sigma < 3*clean.Scale {
		t.Errorf("least squares kept a residual error of %.3f: the wrong rows are not wrong enough to tell", plain.Sigma)
	}
}
