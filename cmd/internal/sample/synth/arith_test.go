package synth

import (
	"math"
	"testing"
)

// The standard library is the reference; only the last digits may differ.
func TestExpAndLnAgreeWithTheStandardLibrary(t *testing.T) {
	d := NewDraws(1, 0, 0)
	for range 20_000 {
		x := d.span(-20, 20)
		if got, want := exp(x), math.Exp(x); math.Abs(got-want) > 1e-14*want {
			t.Fatalf("exp(%v) = %v, want %v", x, got, want)
		}
		y := math.Exp(d.span(-12, 12))
		if got, want := ln(y), math.Log(y); math.Abs(got-want) > 1e-14*max(1, math.Abs(want)) {
			t.Fatalf("ln(%v) = %v, want %v", y, got, want)
		}
	}
	if ln(1) != 0 || exp(0) != 1 {
		t.Errorf("ln(1) = %v and exp(0) = %v, want 0 and 1", ln(1), exp(0))
	}
}

func TestNormalHasTheMomentsOfANormal(t *testing.T) {
	d := NewDraws(2, 0, 0)
	const n = 200_000
	var sum, squares float64
	within := 0
	for range n {
		x := d.normal()
		sum += x
		squares += x * x
		if math.Abs(x) < 1.6449 {
			within++
		}
	}
	// Four standard errors: 1/√n for the mean, √(2/n) for the variance.
	if mean := sum / n; math.Abs(mean) > 4/math.Sqrt(n) {
		t.Errorf("mean %v, want 0", mean)
	}
	if variance := squares / n; math.Abs(variance-1) > 4*math.Sqrt(2.0/n) {
		t.Errorf("variance %v, want 1", variance)
	}
	if share := float64(within) / n; math.Abs(share-0.90) > 0.004 {
		t.Errorf("%v within ±1.645, want 0.90", share)
	}
}

func TestPlacesKeepsZeros(t *testing.T) {
	for x, want := range map[float64]string{0: "0.0", 0.04: "0.0", 3.05: "3.1", 12: "12.0", -0.26: "-0.3"} {
		if got := tenths(x); got != want {
			t.Errorf("tenths(%v) = %q, want %q", x, got, want)
		}
	}
	if got := hundredths(12.049); got != "12.05" {
		t.Errorf("hundredths(12.049) = %q, want 12.05", got)
	}
}
