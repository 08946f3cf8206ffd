package month

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/cmd/internal/write/workbook"
)

// Workbook is the name of the workbook; each of its sheets is a CSV file beside it.
const Workbook = "month.xlsx"

// sheet is one table, as a CSV file and as a sheet.
type sheet struct {
	workbook.Tabular
	file string
	text []byte
}

// of writes a table once, for both.
func of[R any](title string, t csvout.Table[R], rows []R) sheet {
	var text bytes.Buffer
	if _, err := t.Write(&text, slices.Values(rows)); err != nil {
		panic(err) // a buffer takes all
	}
	records, err := csvout.ReadBack(bytes.NewReader(text.Bytes()))
	if err != nil {
		panic(err) // of a table that was just written
	}
	return sheet{workbook.Tabular{Title: title, Header: t.Header(), Kinds: t.Kinds(), Rows: records}, t.Name(), text.Bytes()}
}

// Write writes the month's tables and their workbook.
func (m Month) Write(create func(name string) (io.WriteCloser, error)) error {
	var all []workbook.Tabular
	for _, s := range m.sheets() {
		f, err := create(s.file)
		if err != nil {
			return err
		}
		_, err = f.Write(s.text)
		if err = errors.Join(err, f.Close()); err != nil {
			return err
		}
		all = append(all, s.Tabular)
	}
	return workbook.WriteTables(create, Workbook, fmt.Sprintf("%s to %s", m.First.Words(), m.Last.Words()), m.Last, all)
}
