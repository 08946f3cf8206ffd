// Package data reads a dealer's yard: a folder of plain tables that people keep
// in spreadsheets.
//
// In goes an fs.FS that holds vans.csv and its companions, or a workbook whose
// sheets are named after them, and slips, which are laid over the tables. A CSV
// file is read far faster than a sheet, which matters beyond some thousand vans.
// Out comes a Yard: typed records that remember the file and line (of a sheet,
// the row) they came from, the books of checkpoints, labour, parts and handover
// steps, and one Reject for every row that could not be used. Each row is
// accepted or rejected as a whole; nothing is repaired in silence and nothing is
// lost, and the order of rows decides nothing.
//
// The package knows what a record may contain, never what it means for a van's
// price or preparation. It also owns the two things that every later package
// must do alike: calendar days (Date) and the rounding of money (money.go).
//
//	yard, err := data.Load(ctx, os.DirFS("yard"), data.LoadOptions{AsOf: today})
package data
