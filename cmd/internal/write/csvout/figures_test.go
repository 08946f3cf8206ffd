package csvout

import (
	"math"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
)

// What is appended digit by digit looks as package data says.
func TestFiguresLookAsTheirPackageSays(t *testing.T) {
	check := func(t rapid.TB, got []byte, want string) {
		t.Helper()
		if string(got) != "x"+want {
			t.Errorf("got %q, want %q", got, "x"+want)
		}
	}
	x := []byte("x")
	for _, n := range []int64{0, 1, -1, 5, -5, 99, -100, 1249500, math.MaxInt64, math.MinInt64, 999_999_999_999_999_999} {
		for exp := int32(-20); exp <= 4; exp++ {
			for _, places := range []int32{0, 1, 2, 18, 20} {
				d := decimal.New(n, exp)
				check(t, appendDecimal(x, d, places), data.FormatDecimal(d, places))
			}
		}
	}
	check(t, appendDecimal(x, decimal.Decimal{}, 2), "0.00")
	beyond := decimal.New(math.MaxInt64, 0).Mul(decimal.New(math.MaxInt64, -2))
	check(t, appendDecimal(x, beyond, 2), data.FormatDecimal(beyond, 2))
	for _, file := range []string{"", "readings.csv", "a,b.csv", "=x.csv", "a\x00.csv", " a.csv"} {
		s := data.Source{File: file, Line: 14}
		check(t, appendPlace(x, s), string(appendText(nil, s.String())))
	}
	rapid.Check(t, func(t *rapid.T) {
		d := decimal.New(rapid.Int64().Draw(t, "coefficient"), rapid.Int32Range(-20, 3).Draw(t, "exponent"))
		places := rapid.Int32Range(0, 4).Draw(t, "places")
		check(t, appendDecimal(x, d, places), data.FormatDecimal(d, places))
		h := rapid.OneOf(rapid.Float64Range(-1e11, 1e11), rapid.Float64Range(-40, 40),
			rapid.Map(rapid.IntRange(-9_999, 9_999), func(n int) float64 { return float64(n) / 200 })).Draw(t, "hours")
		check(t, appendHours(x, h), data.FormatHours(data.Hours(h)))
		on := data.Date(rapid.Int32().Draw(t, "day"))
		check(t, appendDate(x, on), on.String())
	})
}
