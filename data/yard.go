package data

import (
	"fmt"
	"strings"
)

// Yard is everything that was read from one dealer's folder.
type Yard struct {
	Vans      []Van                 // by stock_id
	Readings  map[string][]Reading  // by stock_id; by checkpoint, position, day
	Documents map[string][]Document // by stock_id; by day, kind and what else they say
	Progress  map[string][]Progress // by stock_id; the last word on each job, by job
	Costs     map[string][]Cost     // by stock_id; by day, kind and what else they say
	Orders    []Order               // by part, stock_id and day
	// ProgressHistory holds what was said of jobs before the last word on them,
	// by stock_id; by job, day and line.
	ProgressHistory map[string][]Progress
	Sales           []Sale       // by sale_id; those of sales.csv, and of sold vans that it lacks
	Team            []Technician // by name; empty: the yard has no team.csv
	Bays            []Bay        // by name; empty: the yard has no bays.csv
	Absences        []Absence    // by day and technician
	Photos          []Photo      // by van, point and day
	Slips           []Slip       // those that were read, in the order in which they count
	Books           *Books

	Inputs   []InputFile // in the order of Tables, present files only
	Rejects  []Reject    // by file, then line
	Warnings []string    // unknown columns, missing optional files

	places map[string]int // stock_id to its place in Vans; nil in a yard made by hand
	vans   *vanIndex      // likewise
}

// Find returns the van of a stock_id. The error says that there is none, and what
// became of it or what may have been meant, where that can be told.
func (y *Yard) Find(stockID string) (Van, error) {
	if v, ok := y.Van(stockID); ok {
		return v, nil
	}
	none := fmt.Errorf("no van with stock_id %q in the yard", stockID)
	if y.Refused(stockID) {
		at := y.vans.rejected[stockID]
		for _, r := range y.Rejects {
			if r.File == at.File && r.Line == at.Line {
				return Van{}, fmt.Errorf("%w: its row was rejected: %s", none, r)
			}
		}
	}
	if y.vans != nil {
		if meant := y.vans.anyCase[strings.ToLower(stockID)]; meant != "" {
			return Van{}, fmt.Errorf("%w; did you mean %q?", none, meant)
		}
	}
	return Van{}, none
}

// Van returns the van of a stock_id.
func (y *Yard) Van(stockID string) (Van, bool) {
	if y.places != nil {
		i, ok := y.places[stockID]
		if !ok {
			return Van{}, false
		}
		return y.Vans[i], true
	}
	for _, v := range y.Vans {
		if v.StockID == stockID {
			return v, true
		}
	}
	return Van{}, false
}

// Refused reports whether a row of vans.csv has this stock_id and none that has it
// was accepted.
func (y *Yard) Refused(stockID string) bool {
	if y.vans == nil {
		return false
	}
	_, refused := y.vans.rejected[stockID]
	return refused
}
