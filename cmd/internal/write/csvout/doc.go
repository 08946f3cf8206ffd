// Package csvout writes reports as CSV files and reads those of an earlier run.
//
// In go rows of any type and columns that say, each once, what it is called,
// what kind of value it holds and how it is taken from a row. Out comes UTF-8
// with commas, LF line ends and a header. The package sorts nothing, computes
// nothing and rounds nothing but the last places of a figure on its way out.
//
//	var jobs = csvout.New("jobs.csv", []string{"stock_id", "job"},
//		csvout.Text("stock_id", func(j Job) string { return j.StockID }),
//		csvout.Text("job", func(j Job) string { return j.Code }),
//		csvout.Money("parts_cost", func(j Job) data.Money { return j.Parts }),
//	)
//
//	rows, err := jobs.Write(file, slices.Values(plan.Jobs))
//
// The yard is read by struct tags; reports are not written so, because a column's
// kind then hides in a field's type, and because writing by reflection took about
// nine times as long a row as this does (measured on nine columns).
//
// # Text that a spreadsheet would run
//
// A spreadsheet takes a cell that begins with = + - or @ for a formula, from
// any hand: a note of a stranger could then send the dealer's figures
// elsewhere. A text cell that begins so is written with a single quote before
// it. The characters and the quote are those of the OWASP Application Security
// Verification Standard, requirement 1.2.10, which also names the tab and
// NUL. To these are added the line feed, the full-width forms ＝ ＋ － ＠, and all
// of them behind leading spaces, which some importers cut off, and behind quotes
// of the same sort, so that the quote added can be told from one that was there:
// ReadBack takes off exactly what Write put on.
//
// Columns of numbers, money and days are never touched: -12.50 stays a number.
//
// A field with a semicolon or a tab is put in double quotes, as one with a comma
// is: some importers split at all three, and what follows would then begin a cell.
//
// # Other text
//
// Line breaks of any sort become LF. NUL and other control characters become
// their pictures, as in ␀ for NUL (Unicode block 2400 to 2426), those without a
// picture and bytes that are not UTF-8 become U+FFFD.
package csvout
