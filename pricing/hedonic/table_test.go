package hedonic

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rows, spec := rampSales(90)
	first, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		shuffled := rapid.Permutation(rows).Draw(t, "rows")
		m, err := Fit(shuffled, spec, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows[:10] {
			a, _ := first.Predict(r)
			b, _ := m.Predict(r)
			if diff := cmp.Diff(a, b); diff != "" {
				t.Fatalf("another order, another price (-first +shuffled):\n%s", diff)
			}
		}
	})
}

// Pounds or pence: prices in another unit are the same prices.
func TestUnitOfPriceDoesNotMatter(t *testing.T) {
	rows, spec := rampSales(70)
	pence := slices.Clone(rows)
	for i := range pence {
		pence[i].Target *= 100
	}
	a, errA := Fit(rows, spec, Options{})
	b, errB := Fit(pence, spec, Options{})
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	// The rows hash to another order, so folds and with them the width may differ.
	for _, r := range rows[:10] {
		x, _ := a.Predict(r)
		y, _ := b.Predict(r)
		if d := math.Abs(math.Log(y.Value / x.Value / 100)); d > 1e-6 {
			t.Errorf("price in pence is off by %g in log", d)
		}
	}
}

func TestWeakEvidenceMovesThePriceLess(t *testing.T) {
	rows, spec := rampSales(60)
	extra := func(weight float64) float64 {
		more := slices.Clone(rows)
		for range 6 {
			r := rows[0]
			r.Target *= 1.2
			r.Weight = weight
			more = append(more, r)
		}
		m, err := Fit(more, spec, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, _ := m.Predict(rows[0])
		return p.Value
	}
	none, weak, full := extra(0), extra(0.1), extra(1)
	if !(none < weak && weak < full) {
		t.Errorf("price %.0f without, %.0f with weak, %.0f with full evidence: want rising", none, weak, full)
	}
}

func TestProductsOfFeaturesAreFound(t *testing.T) {
	spec := Spec{Categories: []Category{{Name: "body"}, {Name: "gearbox"}}}
	rng := rand.New(rand.NewPCG(3, 3))
	var rows []Row
	for i := range 240 {
		body, gearbox := i%4, i/4%2
		log := 10 + 0.05*rng.NormFloat64()
		if body >= 2 && gearbox == 1 {
			log += 0.3
		}
		rows = append(rows, Row{
			Categories: []string{string(rune('a' + body)), string(rune('x' + gearbox))},
			Target:     math.Exp(log), Weight: 1,
		})
	}
	m, err := Fit(rows, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	terms, err := m.Explain(rows[0])
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(terms, func(t Term) bool { return t.Name == "body × gearbox" }) {
		t.Errorf("no term for the product in %v", terms)
	}
	price := func(body, gearbox string) float64 {
		p, _ := m.Predict(Row{Categories: []string{body, gearbox}})
		return math.Log(p.Value)
	}
	if got := price("c", "y") - price("c", "x"); math.Abs(got-0.3) > 0.06 {
		t.Errorf("gearbox adds %.3f in body c, want 0.3", got)
	}
	if got := price("a", "y") - price("a", "x"); math.Abs(got) > 0.06 {
		t.Errorf("gearbox adds %.3f in body a, want 0", got)
	}
}

func TestLargeTableGoesThroughTheSample(t *testing.T) {
	rows, spec := market(sampleRows + 9000)
	train, test := rows[:sampleRows+4000], rows[sampleRows+4000:]
	m, err := Fit(train, spec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var h heldOut
	for i, r := range test {
		if (i+len(train))%500 != 77 { // the made-up gross errors
			h.add(t, m, r)
		}
	}
	t.Log(&h)
	if got := h.coverage(); got < 0.87 || got > 0.93 {
		t.Errorf("coverage %.4f, want 0.87 to 0.93", got)
	}
	// The noise of 12 % alone gives a mean absolute error of 9.6 %.
	if got := h.mape(); got > 11.5 {
		t.Errorf("MAPE %.2f %%, want at most 11.5", got)
	}
}

// FuzzFit makes a small table of the bytes: it is fitted or declined, and a
// fitted model gives ordered, finite prices with effects that add up.
func FuzzFit(f *testing.F) {
	seed := rand.New(rand.NewPCG(5, 5))
	for _, n := range []int{0, 40, 200, 600} {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(seed.Uint32())
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		rows, spec := fuzzTable(b)
		m, err := Fit(rows, spec, Options{})
		if err != nil {
			return
		}
		for _, r := range rows {
			p, err := m.Predict(r)
			if err != nil {
				t.Fatal(err)
			}
			if !(0 < p.Low && p.Low <= p.Value && p.Value <= p.High && p.High <= math.MaxFloat64 && p.LogSD > 0) {
				t.Fatalf("prediction %+v", p)
			}
			terms, _ := m.Explain(r)
			sum := 0.0
			for _, term := range terms {
				sum += term.LogEffect
			}
			if d := math.Abs(sum - math.Log(p.Value)); !(d < 1e-6*(1+math.Abs(sum))) && math.Abs(sum) < 700 {
				t.Fatalf("effects sum to %g, log price is %g", sum, math.Log(p.Value))
			}
		}
		if near, err := m.Nearest(rows[0], 3); err != nil || slices.ContainsFunc(near, func(n Neighbour) bool { return math.IsNaN(n.Distance) }) {
			t.Fatalf("nearest: %v, %v", near, err)
		}
	})
}

// fuzzTable reads ten bytes a row: two numerics, of which the first keeps its
// full range, two levels, a price from tiny to huge and a weight.
func fuzzTable(b []byte) ([]Row, Spec) {
	spec := Spec{
		Numerics:   []Numeric{{"x", true}, {"steps", false}},
		Categories: []Category{{Name: "a"}, {Name: "b", Within: "a"}},
	}
	var rows []Row
	for ; len(b) >= 10 && len(rows) < 60; b = b[10:] {
		x := float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
		if math.IsInf(x, 0) {
			x = 0
		}
		level := ""
		if v := b[6] % 6; v > 0 {
			level = string(rune('a' + v))
		}
		price := math.Exp(float64(int8(b[7]))*5 + float64(b[8])/256)
		rows = append(rows, Row{
			Numerics:   []float64{x, float64(b[4] % 5)},
			Categories: []string{string(rune('a' + b[5]%4)), level},
			Target:     price,
			Weight:     float64(b[9]%4) / 2,
		})
	}
	return rows, spec
}
