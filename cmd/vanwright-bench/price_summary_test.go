package main

import (
	"math"
	"strings"
	"testing"
)

// Worked by hand: errors of 10, 0, 50 and 25 percent; the third lies outside.
func TestPriceSummaryIsThatOfTheHand(t *testing.T) {
	rows := []heldOut{
		{actual: 400, predicted: 500, low: 300, high: 700},
		{actual: 100, predicted: 110, low: 90, high: 130},
		{actual: 200, predicted: 300, low: 250, high: 350},
		{actual: 200, predicted: 200, low: 150, high: 250},
		{actual: math.NaN(), predicted: 1, low: 0, high: 2},
	}
	s := summarisePrices(rows)
	if got, want := s.mape, (25+10+50+0)/4.0; math.Abs(got-want) > 1e-9 {
		t.Errorf("MAPE is %g, want %g", got, want)
	}
	if got, want := s.width, (1+0.4+0.5+0.5)/4; math.Abs(got-want) > 1e-9 {
		t.Errorf("width is %g, want %g", got, want)
	}
	if want := [4]float64{1, 1, 0, 1}; s.quarters != want || s.coverage != 0.75 || s.rows != 4 {
		t.Errorf("coverage is %g of %d rows, by quarter %v, want 0.75 of 4, %v", s.coverage, s.rows, s.quarters, want)
	}
	var out strings.Builder
	if err := s.write(&out); err != nil || !strings.Contains(out.String(), "1.000 1.000 0.000 1.000") {
		t.Errorf("printed %q, %v", out.String(), err)
	}
}
