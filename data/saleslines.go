package data

import (
	"bytes"
	"cmp"
	"context"
	"slices"
)

// latestSales reads sales.csv for somebody who asks for a number of latest sales
// only: those listed last, or sold last where the day of listing is not known.
// Lines of others are passed over and counted as skipped, as far as a look at the
// line tells them. Should that leave out too many, or a sale whose sale_id is that
// of one taken, everything is read; so it is where no number is asked for.
func latestSales(ctx context.Context, f *file, o tableOptions, latest int) (table[Sale], error) {
	h, err := readHeader(f.body, columnsOf[rawSale]())
	if err != nil || latest <= 0 {
		return readTable(ctx, f, o, parseSales()) // which says an error with the file's name
	}
	look := newSaleLines(h)
	days := look.days(f.body)
	if len(days) <= latest {
		return readTable(ctx, f, o, parseSales())
	}
	slices.Sort(days)
	look.first = days[len(days)-latest]
	some := o
	some.passOver = func(header) func([]byte) bool { return look.older }
	t, err := readTable(ctx, f, some, parseSales())
	if err == nil && t.input.Skipped > 0 && !look.enough(t.records, f.body, latest) {
		return readTable(ctx, f, o, parseSales())
	}
	return t, err
}

// saleLines looks at lines of sales.csv without reading them as rows.
type saleLines struct {
	comma            byte
	columns          int
	id, listed, sold int  // where their cells stand; -1: nowhere
	first            Date // of the latest sales, the day of the earliest
}

func newSaleLines(h header) *saleLines {
	return &saleLines{
		comma: byte(h.comma), columns: len(h.names),
		id:     slices.Index(h.names, "sale_id"),
		listed: slices.Index(h.names, "listed"),
		sold:   slices.Index(h.names, "sold_on"),
	}
}

// look returns the sale_id of a line and how late the sale is. plain is false
// for a line that may be something else than a row by itself, or that has no
// such day.
func (s *saleLines) look(line []byte) (id []byte, day Date, plain bool) {
	if bytes.IndexByte(line, '"') >= 0 {
		return nil, 0, false
	}
	var listed, sold []byte
	rest, more := trimLineEnd(line), true
	column := 0
	for ; more; column++ {
		var cell []byte
		cell, rest, more = bytes.Cut(rest, []byte{s.comma})
		switch column {
		case s.id:
			id = cell
		case s.listed:
			listed = bytes.TrimSpace(cell)
		case s.sold:
			sold = bytes.TrimSpace(cell)
		}
	}
	if len(listed) == 0 {
		listed = sold
	}
	day, err := ParseDate(string(listed))
	return bytes.TrimSpace(id), day, err == nil && column == s.columns
}

// older reports whether a line is a sale that is not among the latest.
func (s *saleLines) older(line []byte) bool {
	_, day, plain := s.look(line)
	return plain && day < s.first
}

// days lists how late the sales are that a look tells.
func (s *saleLines) days(body []byte) []Date {
	days := make([]Date, 0, likelyRows(body))
	for line := range bytes.Lines(body) {
		if _, day, plain := s.look(line); plain {
			days = append(days, day)
		}
	}
	return days
}

// enough reports whether reading everything would give the same latest sales:
// what was passed over was listed before all of them, and has other sale_ids.
func (s *saleLines) enough(sales []Sale, body []byte, latest int) bool {
	ids := make(map[string]bool, len(sales))
	late := 0
	for i := range sales {
		ids[sales[i].SaleID] = true
		if cmp.Or(sales[i].Listed, sales[i].SoldOn) >= s.first {
			late++
		}
	}
	for line := range bytes.Lines(body) {
		if id, day, plain := s.look(line); plain && day < s.first && ids[string(id)] {
			return false
		}
	}
	return late >= latest
}
