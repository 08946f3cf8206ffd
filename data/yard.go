package data

import (
	"fmt"
	"strings"
)

// Yard is everything that was read from one dealer's folder.
type Yard struct {
	Vans      []Van                 // in the order of vans.csv
	Readings  map[string][]Reading  // by stock_id; by checkpoint, position, day
	Documents map[string][]Document // by stock_id; in the order of documents.csv
	Progress  map[string][]Progress // by stock_id; the last word on each job, by job
	Costs     map[string][]Cost     // by stock_id; in the order of costs.csv
	Orders    []Order               // in the order of orders.csv
	// ProgressHistory holds what was said of jobs before the last word on them,
	// by stock_id; by job, day and line.
	ProgressHistory map[string][]Progress
	Sales           []Sale
	Team            []Technician // empty: the yard has no team.csv
	Bays            []Bay        // empty: the yard has no bays.csv
	Absences        []Absence
	Books           *Books

	Inputs   []InputFile // in the order of the contract, present files only
	Rejects  []Reject    // by file, then line
	Warnings []string    // unknown columns, missing optional files

	index   map[string]int    // stock_id to its place in Vans; nil in a yard made by hand
	refused map[string]int    // stock_id to the line of vans.csv, where no row of it was accepted
	folded  map[string]string // stock_ids by themselves in lower case
}

// Find returns the van of a stock_id. The error says that there is none, and what
// became of it or what may have been meant, where that can be told.
func (y *Yard) Find(stockID string) (Van, error) {
	if v, ok := y.Van(stockID); ok {
		return v, nil
	}
	none := fmt.Errorf("no van with stock_id %q in the yard", stockID)
	if line, ok := y.refused[stockID]; ok {
		for _, r := range y.Rejects { // those of the vans come first
			if r.File == y.Inputs[0].Name && r.Line == line {
				return Van{}, fmt.Errorf("%w: its row was rejected: %s", none, r)
			}
		}
	}
	if meant := y.folded[strings.ToLower(stockID)]; meant != "" {
		return Van{}, fmt.Errorf("%w; did you mean %q?", none, meant)
	}
	return Van{}, none
}

// Van returns the van of a stock_id.
func (y *Yard) Van(stockID string) (Van, bool) {
	if y.index != nil {
		i, ok := y.index[stockID]
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
