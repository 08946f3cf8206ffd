package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
)

// priceSummary is how good predictions of rows held out were.
type priceSummary struct {
	rows     int
	mape     float64 // mean of |predicted - actual| / actual, in percent
	coverage float64 // share of actual prices inside their interval
	width    float64 // mean of (high - low) / actual
	quarters [4]float64
}

// summarisePrices needs one row or more; rows without an actual price do not
// count. quarters are the coverage by predicted price, the cheapest first.
func summarisePrices(all []heldOut) priceSummary {
	var rows []heldOut
	for _, h := range all {
		if h.actual > 0 && !math.IsInf(h.actual, 1) {
			rows = append(rows, h)
		}
	}
	slices.SortStableFunc(rows, func(a, b heldOut) int { return cmp.Compare(a.predicted, b.predicted) })
	s := priceSummary{rows: len(rows)}
	for _, h := range rows {
		s.mape += 100 * math.Abs(h.predicted-h.actual) / h.actual / float64(len(rows))
		s.width += (h.high - h.low) / h.actual / float64(len(rows))
	}
	s.coverage = covered(rows)
	for q := range s.quarters {
		s.quarters[q] = covered(rows[len(rows)*q/4 : len(rows)*(q+1)/4])
	}
	return s
}

// covered is the share of rows whose price lies in its interval.
func covered(rows []heldOut) float64 {
	in := 0
	for _, h := range rows {
		if h.low <= h.actual && h.actual <= h.high {
			in++
		}
	}
	return float64(in) / float64(max(len(rows), 1))
}

func (s priceSummary) write(w io.Writer) error {
	_, err := fmt.Fprintf(w, "%d rows: MAPE %.2f%%, coverage %.3f, width %.3f of the price; coverage by quarter of predicted price, cheapest first: %.3f %.3f %.3f %.3f\n",
		s.rows, s.mape, s.coverage, s.width, s.quarters[0], s.quarters[1], s.quarters[2], s.quarters[3])
	return err
}
