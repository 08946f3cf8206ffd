package lifetime

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/pricing/survival/survivaltest"
)

func curveOf(t *testing.T, r survivaltest.Table, event string) *Curve {
	t.Helper()
	c, err := KaplanMeier(r.Numbers(t, "time"), r.Events(t, event))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestKaplanMeierAgreesWithPublishedCurves(t *testing.T) {
	g := survivaltest.Read(t, tables, "gehan.csv")
	treated := curveOf(t, g.Where("treated", "1"), "event")
	survivaltest.NearAll(t, "times", treated.Times, []float64{6, 7, 10, 13, 16, 22, 23}, 0)
	survivaltest.NearAll(t, "survival", treated.Survival, []float64{0.857142857143, 0.806722689076, 0.752941176471, 0.690196078431,
		0.627450980392, 0.537815126050, 0.448179271709}, 1e-12)
	survivaltest.NearAll(t, "greenwood", treated.StdErr, []float64{0.0763603548321, 0.0869352851801, 0.0963496529943, 0.1068147077750,
		0.1140538652568, 0.1282337516930, 0.1345914567558}, 1e-12)

	maintained := curveOf(t, survivaltest.Read(t, tables, "aml.csv").Where("x", "Maintained"), "status")
	for i, at := range []float64{13, 23, 31, 48} {
		survivaltest.Near(t, "survival", maintained.At(at), []float64{0.818181818, 0.613636364, 0.490909091, 0.184090909}[i], 1e-8)
		k := slices.Index(maintained.Times, at)
		survivaltest.Near(t, "greenwood", maintained.StdErr[k], []float64{0.116291300, 0.152632331, 0.164193267, 0.153492746}[i], 1e-8)
	}
}

func TestQuantilesAgreeWithPublishedOnes(t *testing.T) {
	g, aml := survivaltest.Read(t, tables, "gehan.csv"), survivaltest.Read(t, tables, "aml.csv")
	never := math.Inf(1)
	tests := []struct {
		name      string
		curve     *Curve
		quartiles [3]float64
	}{
		{"gehan treated", curveOf(t, g.Where("treated", "1"), "event"), [3]float64{13, 23, never}},
		{"aml maintained", curveOf(t, aml.Where("x", "Maintained"), "status"), [3]float64{18, 31, 48}},
		{"aml nonmaintained", curveOf(t, aml.Where("x", "Nonmaintained"), "status"), [3]float64{8, 23, 33}},
	}
	for _, tt := range tests {
		for i, p := range []float64{0.25, 0.5, 0.75} {
			got, ok := tt.curve.Quantile(p)
			if !ok {
				got = never
			}
			if got != tt.quartiles[i] {
				t.Errorf("%s, quantile %v: got %v, want %v", tt.name, p, got, tt.quartiles[i])
			}
		}
	}
	if m, ok := curveOf(t, g.Where("treated", "0"), "event").Median(); !ok || m != 8 {
		t.Errorf("gehan control: median %v, want 8", m)
	}
	vet := curveOf(t, survivaltest.Read(t, tables, "veteran.csv"), "status")
	low, high := vet.QuantileLimits(0.5, 0.95)
	if m, _ := vet.Median(); m != 80 || low != 52 || high != 105 {
		t.Errorf("veteran: median %v (%v, %v), want 80 (52, 105)", m, low, high)
	}
}

func TestCurveShapes(t *testing.T) {
	yes := []bool{true, true, true, true}
	times := []float64{4, 1, 3, 2}
	c, err := KaplanMeier(times, yes)
	if err != nil {
		t.Fatal(err)
	}
	t.Run("without censoring it is the share left", func(t *testing.T) {
		survivaltest.NearAll(t, "survival", c.Survival, []float64{0.75, 0.5, 0.25, 0}, 1e-15)
		survivaltest.Near(t, "before the first", c.At(0.5), 1, 0)
		survivaltest.Near(t, "between", c.At(2.5), 0.5, 1e-15)
		// Greenwood is then the binomial error, √(s(1−s)/n).
		survivaltest.Near(t, "error", c.StdErr[1], 0.25, 1e-15)
	})
	t.Run("the median of an even number is between the two", func(t *testing.T) {
		if m, ok := c.Median(); !ok || m != 2.5 {
			t.Errorf("median %v, %v", m, ok)
		}
	})
	t.Run("a level end at the quantile runs to the last time watched", func(t *testing.T) {
		c, err := KaplanMeier([]float64{1, 2, 6, 8}, []bool{true, true, false, false})
		if err != nil {
			t.Fatal(err)
		}
		if m, ok := c.Median(); !ok || m != 5 {
			t.Errorf("median %v, %v", m, ok)
		}
	})
	t.Run("no events leave a flat curve", func(t *testing.T) {
		c, err := KaplanMeier(times, make([]bool, 4))
		if err != nil {
			t.Fatal(err)
		}
		if _, ok := c.Median(); ok || c.At(100) != 1 {
			t.Error("something ended")
		}
		low, high := c.QuantileLimits(0.5, 0.95)
		if !math.IsInf(low, 1) || !math.IsInf(high, 1) {
			t.Errorf("limits %v, %v", low, high)
		}
	})
	t.Run("a time of zero is refused", func(t *testing.T) {
		if _, err := KaplanMeier([]float64{0, 1}, []bool{true, true}); !errors.Is(err, ErrBadInput) {
			t.Errorf("got %v", err)
		}
	})
}

func TestCurvesFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(t, "n")
		times, events := make([]float64, n), make([]bool, n)
		for i := range n {
			times[i] = float64(rapid.IntRange(1, 20).Draw(t, "time"))
			events[i] = rapid.Bool().Draw(t, "event")
		}
		c, err := KaplanMeier(times, events)
		if err != nil {
			t.Fatal(err)
		}
		last := 1.0
		for i, s := range c.Survival {
			if s >= last || s < 0 || math.IsNaN(c.StdErr[i]) {
				t.Fatalf("survival %v after %v", s, last)
			}
			last = s
		}
		low, high := c.QuantileLimits(0.5, 0.9)
		if m, ok := c.Median(); ok && (low > m || high < m) {
			t.Fatalf("median %v outside (%v, %v)", m, low, high)
		}
	})
}
