package hedonic

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// checkerboard makes prices that hang on whether two numerics are on the same
// side, which no line, curve or product of lines says.
func checkerboard(n int, depth float64) []Row {
	draw := rand.New(rand.NewPCG(7, 7))
	rows := make([]Row, n)
	for i := range rows {
		x, y := draw.Float64()*4, draw.Float64()*4
		log := 10 + 0.1*draw.NormFloat64()
		if (int(x)+int(y))%2 == 0 {
			log += depth
		}
		rows[i] = Row{Numerics: []float64{x, y}, Target: math.Exp(log), Weight: 1}
	}
	return rows
}

var twoNumerics = Spec{Numerics: []Numeric{{Name: "x", Curve: true}, {Name: "y", Curve: true}}}

func meanError(t *testing.T, m *Model, rows []Row) float64 {
	t.Helper()
	sum := 0.0
	for _, r := range rows {
		p, err := m.Predict(r)
		if err != nil {
			t.Fatal(err)
		}
		sum += math.Abs(math.Log(p.Value / r.Target))
	}
	return sum / float64(len(rows))
}

func TestTreesFindWhatNoTermSays(t *testing.T) {
	rows := checkerboard(1200, 0.5)
	m, err := Fit(rows[:800], twoNumerics, Options{RefitRows: 100})
	if err != nil {
		t.Fatal(err)
	}
	// The noise alone gives a mean error of 0.08; without trees it is 0.25.
	if got := meanError(t, m, rows[800:]); got > 0.14 {
		t.Errorf("mean error in log of rows not seen is %.3f, want at most 0.14", got)
	}
	terms, err := m.Explain(rows[900])
	if err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for _, term := range terms {
		sum += term.LogEffect
	}
	p, err := m.Predict(rows[900])
	if err != nil || math.Abs(sum-math.Log(p.Value)) > 1e-9 {
		t.Errorf("effects add up to %g, want the log price %g (%v)", sum, math.Log(p.Value), err)
	}
}

func TestTreesLeavePlainTablesAlone(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	rows := make([]Row, 600)
	for i := range rows {
		x, y := draw.NormFloat64(), draw.NormFloat64()
		rows[i] = Row{Numerics: []float64{x, y}, Target: math.Exp(9 + 0.3*x - 0.2*y + 0.1*draw.NormFloat64()), Weight: 1}
	}
	m, err := Fit(rows, twoNumerics, Options{RefitRows: 100})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.rest.grown) != 0 {
		t.Error("a table that follows from lines has trees")
	}
}

func TestEachRowIsJudgedByTreesThatDidNotSeeIt(t *testing.T) {
	for row := range 200 {
		unseen := 0
		for ensemble := range restGrown {
			if !sees(ensemble, row) {
				unseen++
			}
		}
		if unseen != restUnseen {
			t.Fatalf("row %d is unseen by %d ensembles, want %d", row, unseen, restUnseen)
		}
	}
}

func TestTreeAsksTheQuestionThatPartsBest(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name    string
		x       []float64
		err     []float64
		ask     float64
		unknown float64 // sign of the answer for an unknown
	}{
		{"a step", []float64{1, 1, 1, 1, 1, 2, 2, 2, 2, 2}, []float64{-1, -1, -1, -1, -1, 1, 1, 1, 1, 1}, 1.5, 1},
		{"the unknown go with the dear", []float64{1, 1, 1, 1, 1, 2, 2, 2, nan, nan}, []float64{-1, -1, -1, -1, -1, 1, 1, 1, 1, 1}, 1.5, 1},
		{"the unknown go with the cheap", []float64{1, 1, 1, nan, nan, 2, 2, 2, 2, 2}, []float64{-1, -1, -1, -1, -1, 1, 1, 1, 1, 1}, 1.5, -1},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			var rows []restRow
			for range 8 { // of which five in eight see each
				for i := range test.x {
					rows = append(rows, restRow{x: []float64{test.x[i]}, err: test.err[i], weight: 1})
				}
			}
			g := newBinned(rows).grower(rows, 1, 0)
			g.grow()
			root := g.trees[0][0]
			if root.at != test.ask || root.left == 0 {
				t.Fatalf("first question is at %g (%+v), want %g", root.at, root, test.ask)
			}
			if got := g.trees[0].of([]float64{nan}); got*test.unknown <= 0 {
				t.Errorf("answer for the unknown is %g, want the sign of %g", got, test.unknown)
			}
		})
	}
}

func TestIntervalsAreWiderWherePricesScatterMore(t *testing.T) {
	var scores []scored
	for i := range 400 {
		score := float64(i%20) / 10
		middle := float64(i)
		if i < 100 {
			score *= 3
		}
		scores = append(scores, scored{score, 1, middle})
	}
	v := intervalsOf(scores, 0.9)
	if low, high := v.factor(20), v.factor(350); low < 1.8*high {
		t.Errorf("multiple is %.2f where scores are threefold and %.2f elsewhere", low, high)
	}
	if !slices.IsSorted(v.middles) {
		t.Error("groups are out of order")
	}
	for _, at := range []float64{-1e9, 49, 1e9} {
		if f := v.factor(at); !(f > 0) || math.IsInf(f, 0) {
			t.Error(fmt.Sprint("multiple at ", at, " is ", f))
		}
	}
}
