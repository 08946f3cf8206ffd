package workbook

import (
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
)

// Tabular is a table as it stands in a CSV file, to be a sheet.
type Tabular struct {
	Title  string
	Header []string
	Kinds  []csvout.Kind
	Rows   []csvout.Record
}

// WriteTables writes a workbook with a sheet for each table. Amounts are summed up
// below their columns.
func WriteTables(create func(name string) (io.WriteCloser, error), name, title string, asOf data.Date, tables []Tabular) error {
	f := excelize.NewFile()
	defer f.Close()
	b := &book{file: f, whole: true}
	names := make([]string, len(tables))
	for i, t := range tables {
		names[i] = t.Title
	}
	err := b.prepare(asOf, title, names)
	for _, t := range tables {
		if err == nil {
			err = writeSheet(b, t.Title, t.columns(), t.Rows, t.sums())
		}
	}
	if err != nil {
		return err
	}
	out, err := create(name)
	if err != nil {
		return err
	}
	return errors.Join(f.Write(out), out.Close())
}

// kindOf is how a sheet shows a column of a CSV file.
var kindOf = map[csvout.Kind]kind{csvout.Words: words, csvout.Pounds: money, csvout.Number: whole, csvout.Day: day}

func (t Tabular) columns() []column[csvout.Record] {
	columns := make([]column[csvout.Record], len(t.Header))
	for i, name := range t.Header {
		k := t.Kinds[i]
		columns[i] = column[csvout.Record]{name, 14, kindOf[k], func(r csvout.Record, _ int) any {
			if inCodes[name] {
				return data.Title(r.Get(name))
			}
			return typed(k, r.Get(name))
		}}
	}
	return columns
}

// typed turns the text of a cell back into its value; a blank stays one.
func typed(k csvout.Kind, text string) any {
	switch k {
	case csvout.Pounds:
		if m, err := decimal.NewFromString(text); err == nil {
			return m
		}
	case csvout.Number:
		if n, err := strconv.ParseFloat(text, 64); err == nil {
			return n
		}
	case csvout.Day:
		if d, err := data.ParseDate(text); err == nil {
			return d
		}
	}
	return text
}

// sums are the totals of the columns of amounts.
func (t Tabular) sums() map[string]any {
	if len(t.Rows) == 0 {
		return nil
	}
	sums := map[string]any{}
	for i, name := range t.Header {
		if t.Kinds[i] != csvout.Pounds {
			continue
		}
		var sum data.Money
		for _, r := range t.Rows {
			if m, ok := typed(csvout.Pounds, r.Get(name)).(decimal.Decimal); ok {
				sum = sum.Add(m)
			}
		}
		sums[name] = formula{text: fmt.Sprintf("SUM(%[1]s2:%[1]s%[2]d)", letter(i), len(t.Rows)+1), result: sum}
	}
	if len(sums) == 0 {
		return nil
	}
	return sums
}
