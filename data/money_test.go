package data

import (
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestParseMoney(t *testing.T) {
	for _, tc := range []struct {
		name, in, want string // want blank: refused
	}{
		{"plain", "12495", "12495.00"},
		{"thousands and pence", "12,495.00", "12495.00"},
		{"pound sign", "£12,495", "12495.00"},
		{"one place", "0.5", "0.50"},
		{"nought", "0", "0.00"},
		{"below zero", "-£250.10", "-250.10"},
		{"sign after the pound", "£-250.10", "-250.10"},
		{"millions", "1,234,567.89", "1234567.89"},
		{"the largest", "100000000", "100000000.00"},
		{"spaces round it", " 12495 ", "12495.00"},
		{"too large", "100000000.01", ""},
		{"comma out of place", "12,49", ""},
		{"comma out of place in thousands", "1,2495", ""},
		{"decimal comma", "12495,50", ""},
		{"three places", "12.495", ""},
		{"point without pence", "12.", ""},
		{"pence without pounds", ".50", ""},
		{"exponent", "1e4", ""},
		{"overflowing exponent", "1e999", ""},
		{"not a number", "NaN", ""},
		{"infinite", "Inf", ""},
		{"hexadecimal", "0x1p4", ""},
		{"two signs", "-£-5", ""},
		{"other currency", "€12,495", ""},
		{"thousands as k", "12k", ""},
		{"blank", "", ""},
		{"words", "offers", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			m, err := ParseMoney(tc.in)
			got := ""
			if err == nil {
				got = FormatMoney(m)
			}
			if got != tc.want {
				t.Errorf("ParseMoney(%q) = %q, %v; want %q", tc.in, got, err, tc.want)
			}
		})
	}
}

func TestMoneySurvivesWritingAndReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pence := rapid.Int64Range(-10_000_000_000, 10_000_000_000).Draw(t, "pence")
		m := decimal.New(pence, -2)
		written := FormatMoney(m)
		if rapid.Bool().Draw(t, "thousands") {
			written = withThousands(written)
		}
		got, err := ParseMoney(written)
		if err != nil || !got.Equal(m) {
			t.Fatalf("ParseMoney(%q) = %v, %v; want %v", written, got, err, m)
		}
	})
}

func withThousands(s string) string {
	sign := ""
	if s[0] == '-' {
		sign, s = "-", s[1:]
	}
	whole, pence, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	return sign + "£" + whole + "." + pence
}

func FuzzParseMoney(f *testing.F) {
	for _, s := range []string{"12495", "12,495.00", "£12,495", "-£1", "1e9", "NaN", "12,49", "100000000.01"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := ParseMoney(s)
		if err != nil {
			return
		}
		if !m.Equal(Pence(m)) || m.Abs().GreaterThan(decimal.NewFromInt(maxMoney)) {
			t.Fatalf("ParseMoney(%q) = %v: not a whole number of pence, or too large", s, m)
		}
		again, err := ParseMoney(FormatMoney(m))
		if err != nil || !again.Equal(m) {
			t.Fatalf("ParseMoney(%q) = %v, and written and read again %v, %v", s, m, again, err)
		}
	})
}

// The short way to round agrees with shopspring/decimal's, near the middle
// between two results and far from it.
func TestRoundedIsAsTheShortestDecimalIsRounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.Int32Range(0, 4).Draw(t, "places")
		f := rapid.OneOf(
			rapid.Float64Range(-1e12, 1e12),
			rapid.Float64Range(-100, 100),
			rapid.Map(rapid.IntRange(-1_000_000, 1_000_000), func(n int) float64 { return float64(n) / 1000 }),
			rapid.Map(rapid.IntRange(-100_000, 100_000), func(n int) float64 { return math.Nextafter(float64(n)/200, 0) }),
			rapid.Map(rapid.IntRange(-100_000, 100_000), func(n int) float64 { return math.Nextafter(float64(n)/200, 1e9) }),
		).Draw(t, "f")
		if got, want := rounded(f, places), decimal.NewFromFloat(f).Round(places); !got.Equal(want) {
			t.Fatalf("%v to %d places: got %s, want %s", f, places, got, want)
		}
	})
}

// Whichever way Pence takes, it is Round.
func TestPenceIsRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coefficient := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-2000, 2000), rapid.Int64Range(-1e18, 1e18)).Draw(t, "coefficient")
		m := decimal.New(coefficient, rapid.Int32Range(-14, 4).Draw(t, "exponent"))
		if rapid.Bool().Draw(t, "long") {
			m = m.Mul(decimal.New(rapid.Int64().Draw(t, "times"), -3))
		}
		if got, want := Pence(m), m.Round(2); !got.Equal(want) || got.String() != want.String() {
			t.Fatalf("%s: got %s, want %s", m, got, want)
		}
	})
}

// Whichever way Times and Sum take, they are Mul, Round and Add.
func TestTimesAndSumAreExact(t *testing.T) {
	amounts := rapid.Custom(func(t *rapid.T) Money {
		coefficient := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-2000, 2000), rapid.Int64Range(-1e12, 1e12)).Draw(t, "coefficient")
		return decimal.New(coefficient, rapid.Int32Range(-6, 2).Draw(t, "exponent"))
	})
	rapid.Check(t, func(t *rapid.T) {
		var got Sum
		var want Money
		for _, m := range rapid.SliceOf(amounts).Draw(t, "amounts") {
			n := rapid.OneOf(rapid.Just(1), rapid.IntRange(-2000, 2000)).Draw(t, "times")
			got.AddTimes(m, n)
			want = want.Add(m.Mul(decimal.NewFromInt(int64(n))))
		}
		if !got.Money().Equal(want) {
			t.Fatalf("the sum is %s, want %s", got.Money(), want)
		}
		a, b := amounts.Draw(t, "a"), amounts.Draw(t, "b")
		if got, want := Times(a, b), a.Mul(b).Round(2); !got.Equal(want) {
			t.Fatalf("%s × %s: got %s, want %s", a, b, got, want)
		}
	})
}

func BenchmarkPence(b *testing.B) {
	m := decimal.RequireFromString("1.37").Mul(decimal.RequireFromString("32.45"))
	for b.Loop() {
		Pence(m)
	}
}
