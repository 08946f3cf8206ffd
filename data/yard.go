package data

// Yard is everything that was read from one dealer's folder.
type Yard struct {
	Vans      []Van // in the order of vans.csv
	Readings  map[string][]Reading
	Documents map[string][]Document
	Progress  map[string][]Progress
	Sales     []Sale
	Team      []Technician // empty: the yard has no team.csv
	Bays      []Bay        // empty: the yard has no bays.csv
	Absences  []Absence
	Books     *Books

	Inputs   []InputFile // in the order of the contract, present files only
	Rejects  []Reject    // by file, then line
	Warnings []string    // unknown columns, missing optional files
}

// Van returns the van of a stock_id.
func (y *Yard) Van(stockID string) (Van, bool) {
	for _, v := range y.Vans {
		if v.StockID == stockID {
			return v, true
		}
	}
	return Van{}, false
}
