package data

// Yard is everything that was read from one dealer's folder.
type Yard struct {
	Vans      []Van                 // in the order of vans.csv
	Readings  map[string][]Reading  // by stock_id; by checkpoint, position, day
	Documents map[string][]Document // by stock_id; in the order of documents.csv
	Progress  map[string][]Progress // by stock_id; by job
	Sales     []Sale
	Team      []Technician // empty: the yard has no team.csv
	Bays      []Bay        // empty: the yard has no bays.csv
	Absences  []Absence
	Books     *Books

	Inputs   []InputFile // in the order of the contract, present files only
	Rejects  []Reject    // by file, then line
	Warnings []string    // unknown columns, missing optional files

	index map[string]int // stock_id to its place in Vans; nil in a yard made by hand
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
