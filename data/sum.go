package data

import "github.com/shopspring/decimal"

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
