// Package tables writes a run's result as CSV files and run.json.
//
// In go a night.Result and the reports that stood before; out come the files
// that README.md of the folder above lists, through a create function. Each file is one declaration of
// its columns. The package sorts what has no order yet and formats; it computes
// nothing.
package tables
