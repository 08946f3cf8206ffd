package data

// tableColumns are the columns of each table of a yard, as its parser takes
// them.
var tableColumns = map[string][]Column{
	"vans.csv":        columnsOf[rawVan](),
	"readings.csv":    columnsOf[rawReading](),
	"documents.csv":   columnsOf[rawDocument](),
	"sales.csv":       columnsOf[rawSale](),
	"team.csv":        columnsOf[rawTechnician](),
	"bays.csv":        columnsOf[rawBay](),
	"absence.csv":     columnsOf[rawAbsence](),
	"progress.csv":    columnsOf[rawProgress](),
	"orders.csv":      columnsOf[rawOrder](),
	"costs.csv":       columnsOf[rawCost](),
	"labour.csv":      columnsOf[rawLabourJob](),
	"parts.csv":       columnsOf[rawPart](),
	"checkpoints.csv": columnsOf[rawCheckpoint](),
	"handover.csv":    columnsOf[rawHandoverStep](),
}

// Tables returns the names of a yard's tables, such as vans.csv, in the order in
// which they are reported.
func Tables() []string {
	out := make([]string, len(yardFiles))
	for i, f := range yardFiles {
		out[i] = f.name
	}
	return out
}

// Columns returns the columns of a table of the yard in the order in which they
// are written; nil for a name that is not of Tables.
func Columns(table string) []Column { return tableColumns[table] }
