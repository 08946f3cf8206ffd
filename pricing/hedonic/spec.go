package hedonic

import (
	"errors"
	"fmt"
	"math"
)

// MinRows is the smallest number of usable rows that Fit accepts.
const MinRows = 12

// ErrTooFewRows is wrapped by Fit's error when fewer than MinRows rows have a
// weight above zero.
var ErrTooFewRows = errors.New("too few rows to fit a price model")

// Spec names the features of a table, in the order in which rows carry them.
type Spec struct {
	Numerics   []Numeric
	Categories []Category
}

// Numeric is a feature measured by a number. It always has a straight-line
// effect on the log price; Curve lets the data bend it.
type Numeric struct {
	Name  string
	Curve bool
}

// Category is a feature that takes one of a set of levels. With Within set to
// the name of an earlier category, its levels are told apart inside each level
// of that parent and lean on the parent's effect.
type Category struct {
	Name   string
	Within string
}

// Row is one sale, or one thing to be priced.
type Row struct {
	Numerics   []float64 // one for each Spec.Numerics; NaN is unknown
	Categories []string  // one for each Spec.Categories; "" is unknown
	Target     float64   // the price, above zero; ignored by Predict
	Weight     float64   // 1 for a sale, less for weaker evidence, 0 to leave out; ignored by Predict
}

// Options changes how Fit works. The zero value is the recommended setting.
type Options struct {
	// Level is the share of future sales that an interval should hold,
	// above 0.5 and below 1. Zero means 0.90.
	Level float64
	// RefitRows is the number of rows up to which the width of an interval is
	// found by repeating the whole fit without each fold of the table, the
	// surest way and the slowest. Zero means 1,000.
	RefitRows int
}

// maxNumeric bounds what a numeric feature may hold, so that squares and sums
// of a million of them stay finite.
const maxNumeric = 1e100

func (s Spec) validate() error {
	seen := map[string]bool{}
	for _, n := range s.Numerics {
		if n.Name == "" || seen[n.Name] {
			return fmt.Errorf("numeric feature %q: name is empty or repeated", n.Name)
		}
		seen[n.Name] = true
	}
	earlier := map[string]bool{}
	for _, c := range s.Categories {
		if c.Name == "" || seen[c.Name] {
			return fmt.Errorf("category %q: name is empty or repeated", c.Name)
		}
		if c.Within != "" && !earlier[c.Within] {
			return fmt.Errorf("category %q: parent %q is not an earlier category", c.Name, c.Within)
		}
		seen[c.Name], earlier[c.Name] = true, true
	}
	return nil
}

func (s Spec) validateShape(r Row) error {
	if len(r.Numerics) != len(s.Numerics) || len(r.Categories) != len(s.Categories) {
		return fmt.Errorf("has %d numerics and %d categories, want %d and %d",
			len(r.Numerics), len(r.Categories), len(s.Numerics), len(s.Categories))
	}
	for j, v := range r.Numerics {
		if math.Abs(v) > maxNumeric { // false for NaN, which means unknown
			return fmt.Errorf("%s is %g, out of range", s.Numerics[j].Name, v)
		}
	}
	return nil
}

func (s Spec) validateSale(r Row) error {
	if err := s.validateShape(r); err != nil {
		return err
	}
	if !(r.Weight >= 0 && r.Weight <= maxWeight) {
		return fmt.Errorf("weight is %g, want 0 to %g", r.Weight, float64(maxWeight))
	}
	if r.Weight > 0 && !(r.Target > 0 && !math.IsInf(r.Target, 1)) {
		return fmt.Errorf("target is %g, want above zero and finite", r.Target)
	}
	return nil
}

// maxWeight bounds a row's weight: a row worth a thousand sales is a mistake.
const maxWeight = 1000
