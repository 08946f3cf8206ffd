package data

import (
	"errors"
	"math"
	"strings"

	"github.com/shopspring/decimal"
)

// Money is pounds sterling, exact. Whether VAT is inside is said by the field
// that holds it. Every rounding of money in the program is in this file.
type Money = decimal.Decimal

// Pence rounds to the penny, halves away from zero: the one rule by which an
// amount becomes a column of a report.
func Pence(m Money) Money {
	over := -m.Exponent() - 2 // places too many
	if over <= 0 || over > 9 || m.NumDigits() > Int64Digits {
		return m.Round(2)
	}
	return penceOf(m.CoefficientInt64(), over)
}

// Times returns a × b, such as hours and a rate, to the penny.
func Times(a, b Money) Money {
	places := -a.Exponent() - b.Exponent()
	if places < 2 || places > 11 || a.NumDigits()+b.NumDigits() > Int64Digits {
		return Pence(a.Mul(b))
	}
	return penceOf(a.CoefficientInt64()*b.CoefficientInt64(), places-2)
}

// Int64Digits is the most digits that fit into an int64 whatever they are. Nearly all
// amounts have fewer, and a large yard's half a million sums, products and
// roundings take half the time in one.
const Int64Digits = 18

// penceOf rounds n units to the penny, of which a unit is the 10^over-th part.
func penceOf(n int64, over int32) Money {
	unit := int64(1)
	for range over {
		unit *= 10
	}
	pence, rest := n/unit, n%unit
	switch {
	case 2*rest >= unit:
		pence++
	case 2*rest <= -unit:
		pence--
	}
	return decimal.New(pence, -2)
}

// FormatMoney writes an amount with two places, as in 12495.00.
func FormatMoney(m Money) string { return m.StringFixed(2) }

// OptPence rounds a known amount to the penny.
func OptPence(m Opt[Money]) Opt[Money] {
	if m.Known {
		m.Value = Pence(m.Value)
	}
	return m
}

// Pounds turns a statistic, such as a market value, into money to the penny.
// It and Estimate are the only ways from float64 to Money. Infinities and NaN
// are a caller's mistake and panic.
func Pounds(f float64) Money {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		panic("data.Pounds: not a finite amount")
	}
	return rounded(f, 2)
}

// rounded is f to a number of places, halves away from zero, as its shortest
// decimal is rounded. That decimal is worked out only where f lies so near the
// middle between two results that it decides.
func rounded(f float64, places int32) decimal.Decimal {
	if n, ok := inUnits(f, places); ok {
		return decimal.New(n, -places)
	}
	return decimal.NewFromFloat(f).Round(places)
}

// inUnits is f in units of its last place, where it is sure.
func inUnits(f float64, places int32) (units int64, ok bool) {
	const surely = 0.4999
	scaled := f * math.Pow10(int(places))
	near := math.Round(scaled)
	return int64(near), math.Abs(scaled) < 1e10 && math.Abs(scaled-near) < surely
}

// Estimate turns a statistic into money to the pound, halves away from zero:
// no value that a model gives is known to the penny. Infinities and NaN are a
// caller's mistake and panic.
func Estimate(f float64) Money {
	if !(math.Abs(f) < 1e15) {
		panic("data.Estimate: not an amount")
	}
	return decimal.NewFromInt(int64(math.Round(f)))
}

// WholePounds rounds an estimate to the pound, halves away from zero.
func WholePounds(m Money) Money { return m.Round(0) }

// Steps returns how many whole steps fit into m; step must be above zero.
func Steps(m, step Money) int64 { return m.Div(step).Floor().IntPart() }

// VATWithin returns the VAT inside a gross amount: gross × rate / (1 + rate),
// which is gross × 1/6 at 20 %. Unrounded.
func VATWithin(gross, rate Money) Money {
	return gross.Mul(rate).DivRound(decimal.NewFromInt(1).Add(rate), 16)
}

// NetOfVAT returns gross / (1 + rate), unrounded.
func NetOfVAT(gross, rate Money) Money {
	return gross.DivRound(decimal.NewFromInt(1).Add(rate), 16)
}

// Percent returns 100 × part / whole to the given number of places; unknown
// where whole is zero.
func Percent(part, whole Money, places int32) Opt[decimal.Decimal] {
	if whole.IsZero() {
		return Opt[decimal.Decimal]{}
	}
	return Some(part.Mul(decimal.NewFromInt(100)).DivRound(whole, places))
}

// PercentOf turns a chance or share into percent with the given places.
func PercentOf(share float64, places int32) decimal.Decimal {
	return rounded(100*share, places)
}

// Days returns amountPerYear × days / 365, unrounded: simple interest on the
// actual days over 365.
func Days(amountPerYear Money, days int) Money {
	return amountPerYear.Mul(decimal.NewFromInt(int64(days))).DivRound(decimal.NewFromInt(365), 16)
}

// Share returns amount / n, unrounded; n must not be zero.
func Share(amount Money, n int) Money { return amount.DivRound(decimal.NewFromInt(int64(n)), 16) }

// Hours turns labour hours into a decimal of two places, so that hours × rate
// can be followed on paper from the figures in a report.
func Hours(h float64) decimal.Decimal { return rounded(h, 2) }

// Hundredths returns Hours(h) in hundredths, where the short way finds it.
func Hundredths(h float64) (n int64, ok bool) { return inUnits(h, 2) }

// FormatHours writes hours with two places.
func FormatHours(h decimal.Decimal) string { return h.StringFixed(2) }

// FormatDecimal writes a quantity with the given number of places.
func FormatDecimal(d decimal.Decimal, places int32) string { return d.StringFixed(places) }

// maxMoney is far above any van and far below what would make a sum of a
// million of them awkward to print.
const maxMoney = 100_000_000

var (
	errMoneyForm = errors.New("an amount in pounds such as 12495, 12,495.00 or £12,495")
	errMoneySize = errors.New("an amount of at most 100,000,000 pounds")
)

// ParseMoney reads 12495, 12,495.00 or £12,495. Commas must stand where
// thousands are; more than two decimal places, exponents and amounts above a
// hundred million are errors. A minus may stand before or after the pound sign.
func ParseMoney(s string) (Money, error) {
	s = trim(s)
	s, before := strings.CutPrefix(s, "-")
	s, _ = strings.CutPrefix(s, "£")
	s, after := strings.CutPrefix(s, "-")
	pounds, fraction, point := strings.Cut(s, ".")
	if before && after || point && (len(fraction) < 1 || len(fraction) > 2) || !allDigits(fraction) {
		return Money{}, errMoneyForm
	}
	if strings.IndexByte(pounds, ',') >= 0 {
		var ok bool
		if pounds, ok = dropThousands(pounds); !ok {
			return Money{}, errMoneyForm
		}
	}
	if pounds == "" || !allDigits(pounds) {
		return Money{}, errMoneyForm
	}
	// The digits without the point are the amount in pence or tenths, or in
	// pounds; digits beyond maxMoney need not be held.
	units, one := int64(0), int64(1)
	for _, part := range [...]string{pounds, fraction} {
		for i := range len(part) {
			if units = 10*units + int64(part[i]-'0'); units > 100*maxMoney {
				return Money{}, errMoneySize
			}
		}
	}
	for range fraction {
		one *= 10
	}
	if units > maxMoney*one {
		return Money{}, errMoneySize
	}
	if before || after {
		units = -units
	}
	return decimal.New(units, -int32(len(fraction))), nil
}

// Grouped writes whole pounds with a comma at each thousand, for people.
func Grouped(m Money) string {
	digits := Thousands(m.Abs().StringFixed(0))
	if m.IsNegative() && digits != "0" {
		return "-" + digits
	}
	return digits
}

// Thousands puts a comma at each thousand of a row of digits.
func Thousands(digits string) string {
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return digits
}

// InPounds writes an amount to the pound for people: £12,495, or -£3 for a loss.
func InPounds(m Money) string {
	grouped := Grouped(WholePounds(m))
	if rest, negative := strings.CutPrefix(grouped, "-"); negative {
		return "-£" + rest
	}
	return "£" + grouped
}

// Sum adds amounts up. Its zero value is nothing; it is exact, whatever comes.
type Sum struct {
	pence int64
	rest  Money // of amounts that are not whole pence in an int64
}

// Add adds an amount.
func (s *Sum) Add(m Money) { s.AddTimes(m, 1) }

// AddTimes adds n times an amount.
func (s *Sum) AddTimes(m Money, n int) {
	const mostDigits, mostTimes, full = 12, 1000, 1 << 60
	pence := int64(1)
	switch m.Exponent() {
	case 0:
		pence = 100
	case -1:
		pence = 10
	case -2:
	default:
		pence = 0
	}
	if pence == 0 || n < -mostTimes || n > mostTimes || m.NumDigits() > mostDigits {
		s.rest = s.rest.Add(m.Mul(decimal.NewFromInt(int64(n))))
		return
	}
	s.pence += m.CoefficientInt64() * pence * int64(n)
	if s.pence > full || s.pence < -full {
		s.rest, s.pence = s.rest.Add(decimal.New(s.pence, -2)), 0
	}
}

// Money returns the sum.
func (s *Sum) Money() Money {
	sum := decimal.New(s.pence, -2)
	if s.rest.IsZero() {
		return sum
	}
	return sum.Add(s.rest)
}
