package hedonic

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

// rampSales is a table whose log price is 10 - 0.1 age + maker, with a small
// fixed ripple in place of noise.
func rampSales(n int) ([]Row, Spec) {
	spec := Spec{
		Numerics:   []Numeric{{Name: "age", Curve: true}},
		Categories: []Category{{Name: "maker"}, {Name: "model", Within: "maker"}},
	}
	var rows []Row
	for i := range n {
		age := float64(i*7%20) / 2
		maker := i % 3
		rows = append(rows, Row{
			Numerics:   []float64{age},
			Categories: []string{fmt.Sprint("maker", maker), fmt.Sprint("model", i%2)},
			Target:     math.Exp(10 - 0.1*age + 0.2*float64(maker) + 0.03*math.Sin(float64(i*i))),
			Weight:     1,
		})
	}
	return rows, spec
}

func TestFitFindsAdditiveEffects(t *testing.T) {
	rows, spec := rampSales(120)
	m, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range rows {
		p, err := m.Predict(r)
		if err != nil {
			t.Fatal(err)
		}
		if !(p.Low < p.Value && p.Value < p.High) {
			t.Fatalf("row %d: interval %g, %g, %g out of order", i, p.Low, p.Value, p.High)
		}
		if got := math.Abs(math.Log(p.Value / r.Target)); got > 0.08 {
			t.Errorf("row %d: error in log %.3f, want below 0.08", i, got)
		}
		terms, err := m.Explain(r)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, term := range terms {
			sum += term.LogEffect
		}
		if math.Abs(sum-math.Log(p.Value)) > 1e-9 {
			t.Errorf("row %d: effects sum to %g, want %g", i, sum, math.Log(p.Value))
		}
	}
}

func TestUnknownLevelWidensTheInterval(t *testing.T) {
	rows, spec := rampSales(60)
	m, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	seen := rows[0]
	known, _ := m.Predict(seen)
	newModel := seen
	newModel.Categories = []string{seen.Categories[0], "never sold"}
	newMaker := seen
	newMaker.Categories = []string{"never heard of", "never sold"}
	model, _ := m.Predict(newModel)
	maker, _ := m.Predict(newMaker)
	if !(known.LogSD < model.LogSD && model.LogSD < maker.LogSD) {
		t.Errorf("log sd %.4f known, %.4f new model, %.4f new maker: want rising", known.LogSD, model.LogSD, maker.LogSD)
	}
	if !known.Seen[1] || model.Seen[1] || !model.Seen[0] || maker.Seen[0] {
		t.Errorf("seen: %v, %v, %v", known.Seen, model.Seen, maker.Seen)
	}
}

func TestTooFewRowsIsDeclined(t *testing.T) {
	rows, spec := rampSales(MinRows)
	if _, err := Fit(rows, spec, Options{}); err != nil {
		t.Errorf("%d rows: %v", len(rows), err)
	}
	rows[3].Weight = 0
	if _, err := Fit(rows, spec, Options{}); !errors.Is(err, ErrTooFewRows) {
		t.Errorf("%d usable rows: got %v, want ErrTooFewRows", len(rows)-1, err)
	}
}

func TestNearestAdjustsComparables(t *testing.T) {
	rows, spec := rampSales(60)
	m, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	near, err := m.Nearest(rows[5], 4)
	if err != nil || len(near) != 4 {
		t.Fatalf("got %d neighbours, %v", len(near), err)
	}
	if near[0].Distance > 1e-9 || math.Abs(near[0].AdjustmentLog) > 1e-9 {
		t.Errorf("nearest to a row of the fit: %+v, want itself or its like", near[0])
	}
	mine, _ := m.Predict(rows[5])
	for _, n := range near {
		other, _ := m.Predict(rows[n.Index])
		if got, want := n.AdjustmentLog, math.Log(mine.Value/other.Value); math.Abs(got-want) > 1e-9 {
			t.Errorf("row %d: adjustment %g, want %g", n.Index, got, want)
		}
	}
}

func TestGrossErrorsAreDoubted(t *testing.T) {
	rows, spec := rampSales(80)
	clean, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := 3; i < len(rows); i += 20 {
		rows[i].Target *= 10
	}
	dirty, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		a, _ := clean.Predict(r)
		b, _ := dirty.Predict(r)
		if d := math.Abs(math.Log(a.Value / b.Value)); d > 0.03 {
			t.Errorf("price moved by %.3f in log", d)
		}
	}
}
