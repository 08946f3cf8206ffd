package survival

import (
	"encoding/binary"
	"errors"
	"math"
	"testing"
)

// FuzzFits feeds any bits as times and covariates. A fit is finite in
// every figure or a named error; nothing panics.
func FuzzFits(f *testing.F) {
	f.Add([]byte{}, byte(0))
	f.Add([]byte("12345678abcdefgh87654321hgfedcba"), byte(7))
	seed := []byte{}
	for i, t := range []float64{1, 3, 2, 9, 4, 4, 1e-300, 1e300, 5, 0} {
		seed = binary.LittleEndian.AppendUint64(seed, math.Float64bits(t))
		seed = binary.LittleEndian.AppendUint64(seed, math.Float64bits(float64(i*i%5)))
		seed = binary.LittleEndian.AppendUint64(seed, math.Float64bits(1e8*float64(i)))
	}
	for mode := range byte(32) {
		f.Add(seed[:8*3*8], mode)
		f.Add(seed, mode)
	}
	f.Fuzz(func(t *testing.T, raw []byte, mode byte) {
		next := func() float64 {
			if len(raw) < 8 {
				return 1
			}
			v := math.Float64frombits(binary.LittleEndian.Uint64(raw))
			raw = raw[8:]
			return v
		}
		var times []float64
		var events []bool
		var x [][]float64
		for len(raw) >= 8 && len(times) < 60 {
			at := next()
			if mode&1 != 0 { // mostly usable times
				at = math.Abs(math.Mod(at, 100)) + 0.5
			}
			a, b := next(), next()
			times, x = append(times, at), append(x, []float64{a, b})
			events = append(events, math.Float64bits(at)&3 != 0)
		}
		var priors []Prior
		if mode&4 != 0 {
			priors = append(priors, Prior{"a", 0, 1}, Prior{"b", 1, 0.1})
		}
		fit, err := FitWeibull(times, events, x, []string{"a", "b"}, priors...)
		if named(t, err) {
			finite(t, fit.Coef...)
			finite(t, fit.StdErr...)
			finite(t, fit.Scale, fit.LogLik)
		}
	})
}

// named fails on an error of no declared kind, and says whether there was none.
func named(t *testing.T, err error) bool {
	t.Helper()
	if err == nil {
		return true
	}
	for _, kind := range []error{ErrBadInput, ErrNoEvents, ErrCollinear, ErrNoEstimate} {
		if errors.Is(err, kind) {
			return false
		}
	}
	t.Fatalf("unnamed error %v", err)
	return false
}

func finite(t *testing.T, figures ...float64) {
	t.Helper()
	for _, v := range figures {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("a figure is %v in %v", v, figures)
		}
	}
}
