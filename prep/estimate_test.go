package prep

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

func drawEstimate(t *rapid.T) Estimate {
	low := rapid.Float64Range(0, 20).Draw(t, "low")
	likely := low + rapid.Float64Range(0, 10).Draw(t, "to likely")
	return Estimate{low, likely, likely + rapid.Float64Range(0, 40).Draw(t, "to high")}
}

// The PERT mean is (low + 4 likely + high) / 6: from memory.
func TestEstimateMoments(t *testing.T) {
	if testing.Short() {
		t.Skip("a long comparison with simulation")
	}
	mean, variance, third := Estimate{1, 2, 6}.Moments()
	if math.Abs(mean-15.0/6) > 1e-12 {
		t.Errorf("got mean %v, want 2.5", mean)
	}
	// Against gonum's beta distribution on [1, 6] with the same shape.
	b := distuv.Beta{Alpha: 1 + 4*(2.0-1)/5, Beta: 1 + 4*(6.0-2)/5}
	if want := b.Variance() * 25; math.Abs(variance-want) > 1e-12 {
		t.Errorf("got variance %v, want %v", variance, want)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	sum, n := 0.0, 400_000
	e := Estimate{1, 2, 6}
	for range n {
		sum += math.Pow(e.Quantile(rng.Float64())-mean, 3)
	}
	if got := sum / float64(n); math.Abs(got-third) > 0.02 {
		t.Errorf("third moment %v, simulated %v", third, got)
	}
}

func TestEstimateQuantilesStayInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := drawEstimate(t)
		p50, p80 := e.Quantile(0.5), e.Quantile(0.8)
		if p50 < e.Low-1e-9 || p80 > e.High+1e-9 || p50 > p80+1e-9 {
			t.Fatalf("%+v: p50 %v, p80 %v", e, p50, p80)
		}
	})
}

func TestHoursLeft(t *testing.T) {
	tests := []struct {
		name  string
		spent float64
		want  func(left float64) bool
	}{
		{"nothing spent leaves the estimate", 0, func(l float64) bool { return math.Abs(l-Estimate{2, 3, 6}.Quantile(0.5)) < 1e-9 }},
		{"an hour spent leaves an hour less", 1, func(l float64) bool { return math.Abs(l-(Estimate{2, 3, 6}.Quantile(0.5)-1)) < 1e-9 }},
		{"past the likely hours some remain", 4, func(l float64) bool { return l > 0.1 && l < 2 }},
		{"past the highest a tenth of it remains", 8, func(l float64) bool { return math.Abs(l-0.6) < 1e-9 }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if left := (Estimate{2, 3, 6}).Left(tt.spent, 0.5); !tt.want(left) {
				t.Errorf("got %v hours left", left)
			}
		})
	}
}
