// Package workbook writes the money of a run as one spreadsheet workbook, for
// people who want to sort, filter and ask "what if".
//
// In goes a night.Result; out comes margin/margin.xlsx with the sheets Margin,
// Totals, Prices, Bids and Stock. Numbers are numbers, days are days, and what
// follows from other cells is a live formula with its result beside it: profit
// is price − vat − cost − prep − warranty − holding − selling in every row, and
// a column compares it with what was reported. Text is written as text and
// never becomes a formula. The same result gives the same bytes.
//
// Rows are streamed, so every van is in the workbook however large the yard:
// nothing is cut, and Margin holds the rows of margin.csv one for one.
package workbook
