package survival

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
)

// LogRankTest asks whether groups share one survival curve.
type LogRankTest struct {
	Groups    []string  // in order of the alphabet
	Rows      []int     // in each group
	Observed  []float64 // events in each group
	Expected  []float64 // events, had the groups shared one curve
	ChiSquare float64
	Degrees   int     // groups less one
	P         float64 // chance of so large a ChiSquare under one curve
}

// LogRank compares the survival of the rows in each group, with the
// hypergeometric variance for ties. It needs two groups or more, an event, and a
// time when more than one group was at risk; it takes no weights.
func LogRank(times []float64, events []bool, group []string) (*LogRankTest, error) {
	s, err := newSample(times, events, nil, nil, nil)
	switch {
	case err != nil:
		return nil, fmt.Errorf("log-rank: %w", err)
	case len(group) != len(times):
		return nil, fmt.Errorf("log-rank: %w: %d times and %d groups", ErrBadInput, len(times), len(group))
	case s.events == 0:
		return nil, fmt.Errorf("log-rank: %w", ErrNoEvents)
	}
	t := &LogRankTest{Groups: slices.Compact(slices.Sorted(slices.Values(group)))}
	g := len(t.Groups)
	if g < 2 {
		return nil, fmt.Errorf("log-rank: %w: only one group", ErrBadInput)
	}
	t.Rows, t.Observed, t.Expected, t.Degrees = make([]int, g), make([]float64, g), make([]float64, g), g-1
	atRisk, died := make([]float64, g), make([]float64, g)
	variance := mat.NewSymDense(g-1, nil)
	of := make([]int, len(group))
	for i, name := range group {
		of[i], _ = slices.BinarySearch(t.Groups, name)
	}
	sweep := newCoxHill(s, Breslow) // for its order and ties alone
	for _, ties := range sweep.groups {
		clear(died)
		for _, i := range sweep.order[ties.from:ties.to] {
			atRisk[of[i]]++
			t.Rows[of[i]]++
		}
		for _, i := range ties.deaths {
			died[of[i]]++
			t.Observed[of[i]]++
		}
		n, d := float64(ties.to), float64(len(ties.deaths))
		if d == 0 {
			continue
		}
		for k := range g {
			t.Expected[k] += d * atRisk[k] / n
		}
		if n == 1 {
			continue
		}
		factor := d * (n - d) / (n - 1)
		for j := range g - 1 {
			for k := range j + 1 {
				v := -factor * (atRisk[j] / n) * (atRisk[k] / n)
				if j == k {
					v += factor * atRisk[j] / n
				}
				variance.SetSym(j, k, variance.At(j, k)+v)
			}
		}
	}
	gap := mat.NewVecDense(g-1, nil)
	for k := range g - 1 {
		gap.SetVec(k, t.Observed[k]-t.Expected[k])
	}
	var factor mat.Cholesky
	var solved mat.VecDense
	if !factor.Factorize(variance) || factor.SolveVecTo(&solved, gap) != nil {
		return nil, fmt.Errorf("log-rank: %w: some group was never at risk beside the others", ErrNoEstimate)
	}
	t.ChiSquare = max(0, mat.Dot(gap, &solved))
	t.P = mathext.GammaIncRegComp(float64(t.Degrees)/2, t.ChiSquare/2)
	if math.IsNaN(t.P) || math.IsInf(t.ChiSquare, 0) {
		return nil, fmt.Errorf("log-rank: %w: the test is out of range", ErrNoEstimate)
	}
	return t, nil
}
