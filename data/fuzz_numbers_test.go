package data

import (
	"math"
	"strconv"
	"strings"
	"testing"
)

// FuzzNumbers reads any text as a number of each kind. What is taken is what
// strconv makes of it without its commas, and nothing else that strconv knows
// (exponents, infinities, underscores) is taken.
func FuzzNumbers(f *testing.F) {
	for _, s := range []string{"0", "-0", "42,000", "4,20", "1,234,567", "4.5", ".5", "5.", "-", "1e5", "NaN", "Inf", "0x10", "1_0", "999999999", "9999999999", "١", "123456789012.123456789012", " 1"} {
		f.Add(s)
	}
	plain := func(s string) bool { return strings.Trim(s, "-.0123456789,") == "" }
	f.Fuzz(func(t *testing.T, s string) {
		if n, ok := parseWhole(s); ok {
			want, err := strconv.Atoi(strings.ReplaceAll(s, ",", ""))
			if err != nil || want != n || !plain(s) {
				t.Fatalf("%q was read as %d", s, n)
			}
		}
		if n, ok := parseDecimal(s); ok {
			want, err := strconv.ParseFloat(s, 64)
			if err != nil || want != n || !plain(s) || math.Abs(n) >= 1e12 {
				t.Fatalf("%q was read as %v", s, n)
			}
		}
		if decimalExpected(s) == "" {
			t.Fatal("nothing is expected")
		}
	})
}
