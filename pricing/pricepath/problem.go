package pricepath

import (
	"errors"
	"fmt"
	"math"
)

// ErrBadProblem says that a problem has no meaning: an empty grid, a chance
// outside [0, 1], a number that is not finite.
var ErrBadProblem = errors.New("unusable pricing problem")

// MaxDays bounds the horizon, and MaxCells the days times the prices, so that a
// slip in a setting is an error and not an hour's work.
const (
	MaxDays  = 10_000
	MaxCells = 20_000_000
)

// Problem is one item to price. The slices are read, never kept or changed.
type Problem struct {
	// Prices is the grid, in pounds, strictly ascending.
	Prices []float64
	// Proceeds is what a sale at each price leaves, in pounds, after taxes and
	// whatever else the caller takes off; one for each price.
	Proceeds []float64
	// Chance gives the chances in [0, 1] that an item unsold at the start of a day
	// is sold on that day, at each price. Day 0 is the first.
	Chance Chance
	// Days is the horizon: prices are asked on days 0 to Days−1. From 1.
	Days int
	// RepriceDays is how long each price must stand before the next; 0 and 1
	// both let the price move daily. The last price may be cut by the horizon.
	RepriceDays int
	// HoldingPerDay is paid for each day begun unsold, in pounds, the day of the
	// sale included. Not negative.
	HoldingPerDay float64
	// Salvage is what the item is worth after the last day, in pounds.
	Salvage float64
	// Standing, where not nil, is the price already asked, which may be too young
	// to move.
	Standing *Standing
}

// Standing is a price asked before day 0.
type Standing struct {
	Price int // index into Problem.Prices
	// FreeIn is the first day on which it may change, from 0.
	FreeIn int
}

// Chance fills in, for a day, the chance of a sale at each price of the grid. It
// is asked for a day at a time since plans for thousands of items spend most of
// their time here.
type Chance func(day int, chances []float64)

// Proportional is the chance under proportional hazards: 1 − exp(−base·ratio),
// with base[day] the cumulative hazard that the day adds at a reference price and
// ratio[price] the hazard at a price relative to it.
func Proportional(base, ratio []float64) Chance {
	return func(day int, chances []float64) {
		today, ratio := base[day], ratio[:len(chances)]
		for q := range chances {
			chances[q] = chanceOf(today * ratio[q])
		}
	}
}

// chanceOf is 1 − e^−h. A day's hazard is small, and there six terms of the
// series give eleven digits at a fifth of the cost of math.Expm1.
func chanceOf(h float64) float64 {
	if h >= 0 && h < 1.0/16 {
		square := h * h
		return h * ((1 - h*(1.0/2)) + square*((1.0/6-h*(1.0/24))+square*(1.0/120-h*(1.0/720))))
	}
	return -math.Expm1(-h)
}

func (p *Problem) check() error {
	n := len(p.Prices)
	switch {
	case n == 0:
		return fmt.Errorf("%w: no prices", ErrBadProblem)
	case len(p.Proceeds) != n:
		return fmt.Errorf("%w: %d prices and %d proceeds", ErrBadProblem, n, len(p.Proceeds))
	case p.Chance == nil:
		return fmt.Errorf("%w: no chance of sale given", ErrBadProblem)
	case p.Days < 1 || p.Days > MaxDays || p.Days*n > MaxCells:
		return fmt.Errorf("%w: horizon of %d days with %d prices", ErrBadProblem, p.Days, n)
	case p.RepriceDays < 0:
		return fmt.Errorf("%w: a price must stand for %d days", ErrBadProblem, p.RepriceDays)
	case !(p.HoldingPerDay >= 0) || !isMoney(p.HoldingPerDay):
		return fmt.Errorf("%w: holding of %v a day", ErrBadProblem, p.HoldingPerDay)
	case !isMoney(p.Salvage):
		return fmt.Errorf("%w: salvage of %v", ErrBadProblem, p.Salvage)
	}
	for i, price := range p.Prices {
		if !isMoney(price) || i > 0 && price <= p.Prices[i-1] {
			return fmt.Errorf("%w: price %v at place %d does not ascend", ErrBadProblem, price, i)
		}
		if !isMoney(p.Proceeds[i]) {
			return fmt.Errorf("%w: proceeds of %v at price %v", ErrBadProblem, p.Proceeds[i], price)
		}
	}
	if s := p.Standing; s != nil && (s.Price < 0 || s.Price >= n || s.FreeIn < 0) {
		return fmt.Errorf("%w: standing price %d, free in %d days", ErrBadProblem, s.Price, s.FreeIn)
	}
	return nil
}

// isMoney keeps sums of products far from the edge of float64.
func isMoney(v float64) bool { return math.Abs(v) <= 1e12 }

// chances asks for a day's chances and checks them.
func (p *Problem) chances(day int, into []float64) error {
	p.Chance(day, into)
	for q, c := range into {
		if !(c >= 0 && c <= 1) {
			return fmt.Errorf("%w: chance %v on day %d at price %v", ErrBadProblem, c, day, p.Prices[q])
		}
	}
	return nil
}
