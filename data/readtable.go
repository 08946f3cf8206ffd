package data

import (
	"bytes"
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync/atomic"

	"github.com/vanwright/vanwright/data/internal/csvtable"
	"github.com/vanwright/vanwright/data/parallel"
)

// Column is one column of a table of the yard.
type Column = csvtable.Column

// tableOptions are what differs from table to table.
type tableOptions struct {
	asOf Date
	// workers read spans of the table side by side; 0 or less: one for each
	// processor.
	workers int
	// spanBytes is the size of the spans; 0: the usual.
	spanBytes int
	// unwanted, where set, makes of a header what csvtable.Reader.Unwanted asks.
	unwanted func(h csvtable.Header) func(line []byte) bool
	// maxRejects is above how many rejects reading stops; 0 or less: never.
	maxRejects int
	// held, where set, counts the rejects of all tables together.
	held *atomic.Int64
	// refused, where set, is why no row of the file may be used.
	refused string
}

// rowParser turns a raw row into a record. It notes bad cells in c; the record
// is used only where there are none. Rows are parsed side by side, so a parser
// remembers nothing of other rows but what is in c.
type rowParser[R, T any] func(raw *R, c *cells, at Source) T

// columnsOf reads the columns of a table from the tags of its raw struct:
// `csv:"stock_id" need:"yes" also:"id"`.
func columnsOf[R any]() []Column {
	t := reflect.TypeFor[R]()
	out := make([]Column, 0, t.NumField())
	for f := range t.Fields() {
		c := Column{Name: f.Tag.Get("csv"), Required: f.Tag.Get("need") == "yes"}
		if also := f.Tag.Get("also"); also != "" {
			c.Also = strings.Split(also, ",")
		}
		out = append(out, c)
	}
	return out
}

// fieldsOf returns the fields of a raw struct in the order of columnsOf. All are
// strings.
func fieldsOf[R any](raw *R) []*string {
	v := reflect.ValueOf(raw).Elem()
	out := make([]*string, v.NumField())
	for i := range out {
		out[i] = v.Field(i).Addr().Interface().(*string)
	}
	return out
}

// table is what was read from one file.
type table[T any] struct {
	file     *file
	header   csvtable.Header
	records  [][]T // in the order of the file, in as many pieces as it was read
	rejects  []Reject
	input    InputFile
	warnings []string

	// untested are of rejected rows, which still say that something was looked
	// at; see Reading.Refused.
	untested []T
	// rejectedVans are of vans.csv.
	rejectedVans []rejectedVan
	// replaced are the records of which a later source said more. They are
	// accepted, and history.
	replaced []Source

	blank, blankLine int
}

// spanBytes is how much of a table one worker reads at a time: small enough
// that two cores share even a table of some megabytes, large enough that the
// handing over costs nothing.
const spanBytes = 256 << 10

// spansAtATime is how many spans of a file are read, for each worker, before
// what they gave is taken over.
const spansAtATime = 3

// readTable reads every row of a file: each becomes one record or one Reject.
//
// Spans of the file are read side by side, and taken over in the order of the
// file, so that records, rejects and counts are what reading row by row would
// give.
func readTable[R, T any](ctx context.Context, f *file, columns []Column, o tableOptions, parse rowParser[R, T]) (*table[T], error) {
	h, err := csvtable.ReadHeader(f.Text, columns)
	if err != nil {
		return nil, fmt.Errorf("%s %w", f.name, err)
	}
	if o.spanBytes == 0 {
		o.spanBytes = spanBytes
	}
	if o.refused != "" {
		parse = refuseAll[R, T](o.refused)
	}
	t := &table[T]{file: f, header: h, input: f.input}
	_, err = readSpans(ctx, f, h, f.Spans(h, o.spanBytes), h.End, o, parse, func(p *piece[T]) error {
		t.take(p)
		if o.held == nil || o.maxRejects <= 0 {
			return withinLimit(t.rejects, o.maxRejects)
		}
		if o.held.Add(int64(len(p.rejects))) > int64(o.maxRejects) {
			return errTooManyInAll
		}
		return nil
	})
	if err != nil {
		return t, err
	}
	t.warn()
	return t, ctx.Err()
}

// readSpans reads the rows of spans that follow each other, of which the first row
// starts at next, and gives what each held to take, in their order. It returns where
// the first row after them starts.
//
// No more rejects are held than may be: a span with which there would be too many is
// left in the middle, and take must then fail.
func readSpans[R, T any](ctx context.Context, f *file, h csvtable.Header, spans []csvtable.Span, next int, o tableOptions, parse rowParser[R, T], take func(*piece[T]) error) (end int, err error) {
	for batch := range slices.Chunk(spans, spansAtATime*parallel.Workers(o.workers)) {
		pieces := make([]*piece[T], len(batch))
		var left *atomic.Int64
		if o.maxRejects > 0 {
			left = new(atomic.Int64)
			left.Store(int64(o.maxRejects))
		}
		err := parallel.Each(ctx, o.workers, len(batch), func(i int) error {
			pieces[i] = readPiece(f, h, batch[i], 0, o, left, parse)
			return nil
		})
		if err != nil {
			return next, err
		}
		for i, p := range pieces {
			if p.first != next && next > batch[i].Start || p.stopped {
				// A row before the span reaches into it: it is read again from
				// where its first row really starts. So is one that was left, since
				// what was counted against it may have been none of the file's rows.
				if o.maxRejects > 0 {
					left = new(atomic.Int64)
					left.Store(int64(o.maxRejects))
				}
				p = readPiece(f, h, batch[i], next, o, left, parse)
			}
			next = p.end
			if err := take(p); err != nil {
				return next, err
			}
			pieces[i] = nil
		}
	}
	return next, ctx.Err()
}

// refuseAll is a parser that uses no row.
func refuseAll[R, T any](why string) rowParser[R, T] {
	return func(_ *R, c *cells, _ Source) (none T) {
		c.refuse("", "", "slip.refused", why)
		return none
	}
}

// piece is what the rows of one span gave.
type piece[T any] struct {
	first int // where its first row starts
	end   int // where the first row after it starts

	records      []T
	rejects      []Reject
	untested     []T
	rejectedVans []rejectedVan

	skipped, blank, blankLine int

	stopped bool // it has rejects, and with others too many of them
}

// readPiece reads the rows that start in a span; the first starts at from where
// that is past the start of the span. left, where set, is how many more rejects may be
// held: with more, reading stops after the first one of the span.
func readPiece[R, T any](f *file, h csvtable.Header, s csvtable.Span, from int, o tableOptions, left *atomic.Int64, parse rowParser[R, T]) *piece[T] {
	rows := f.Rows(h, s, from)
	p := &piece[T]{first: rows.Pos()}
	if o.unwanted != nil {
		rows.Unwanted = o.unwanted(h)
	} else {
		p.records = make([]T, 0, likelyRows(f.Body[s.Start:s.End]))
	}
	var raw R
	fields := fieldsOf(&raw)
	c := newCells(o.asOf)
	rejected := 0
	for {
		if n := len(p.rejects); n > rejected && left != nil {
			rejected = n
			if p.stopped = left.Add(-1) < 0; p.stopped {
				break
			}
		}
		row, ok := rows.Next()
		if !ok {
			break
		}
		c.begin()
		at := Source{File: f.name, Line: f.lineOf(row.Line)}
		if row.Fault != nil {
			c.refuse("", "", row.Fault.Rule, row.Fault.Expected)
			p.rejects = append(p.rejects, rejectOf(c.bad, at, f.Row(row)))
			continue
		}
		for i, cell := range row.Cells {
			*fields[i] = cell
		}
		spoilt := f.refuseCells(c, h, at.Line)
		record := parse(&raw, c, at)
		if len(c.bad) == 0 {
			p.records = append(p.records, record)
			continue
		}
		p.rejects = append(p.rejects, rejectOf(withoutEchoes(c.bad, spoilt), at, f.Row(row)))
		if c.untested && len(c.bad) == 1 {
			p.untested = append(p.untested, record)
		}
		if c.id != "" {
			p.rejectedVans = append(p.rejectedVans, rejectedVan{c.id, at})
		}
	}
	p.end, p.skipped, p.blank, p.blankLine = rows.Pos(), rows.Skipped, rows.Blank, rows.BlankLine
	return p
}

// likelyRows guesses how many rows a text has, so that records are not moved
// again and again as they come in. Lines bound the rows from above where
// cells hold no line breaks; the other bounds keep a text of blank lines from
// asking for more memory than it could fill.
func likelyRows(rows []byte) int {
	return min(bytes.Count(rows, []byte{'\n'})+1, len(rows)/16+1)
}

// take takes over what a span gave, after all spans before it.
func (t *table[T]) take(p *piece[T]) {
	t.records = append(t.records, p.records)
	t.rejects = append(t.rejects, p.rejects...)
	t.untested = append(t.untested, p.untested...)
	t.rejectedVans = append(t.rejectedVans, p.rejectedVans...)
	t.input.Accepted += len(p.records)
	t.input.Rejected += len(p.rejects)
	t.input.Skipped += p.skipped
	t.input.Read += len(p.records) + len(p.rejects) + p.skipped
	if t.blank == 0 {
		t.blankLine = p.blankLine
	}
	t.blank += p.blank
}

// withdraw makes rejects of rows that were accepted, by the lines on which they
// start.
func (t *table[T]) withdraw(rejects []Reject) {
	if len(rejects) == 0 {
		return
	}
	slices.SortFunc(rejects, func(a, b Reject) int { return a.Line - b.Line })
	lines := make([]int, len(rejects))
	for i, r := range rejects {
		lines[i] = r.Line
	}
	for i, row := range t.file.rowsAt(t.header, lines) {
		rejects[i].Row = row
	}
	t.rejects = append(t.rejects, rejects...)
	t.input.Accepted -= len(rejects)
	t.input.Rejected += len(rejects)
}

// rowTexts puts the text of each row that became a record into rows.
func (t *table[T]) rowTexts(source func(*T) Source, rows map[Source]string) {
	var at []Source
	var lines []int
	for _, records := range t.records {
		for i := range records {
			at = append(at, source(&records[i]))
			lines = append(lines, at[len(at)-1].Line)
		}
	}
	for i, text := range t.file.rowsAt(t.header, lines) {
		rows[at[i]] = text
	}
}

// rowsAt returns the text of the rows on given lines, which rise, as a person
// counts them.
func (f *file) rowsAt(h csvtable.Header, lines []int) []string {
	if f.sheet != nil {
		inText := make([]int, 0, len(lines))
		for _, row := range lines {
			inText = append(inText, 1+slices.Index(f.sheet.Rows, row))
		}
		lines = inText
	}
	return f.RowsAt(h, lines)
}

func (t *table[T]) warn() {
	say := func(what string) {
		if what != "" {
			t.warnings = append(t.warnings, t.file.name+what)
		}
	}
	if t.file.Remark != "" {
		say(": " + t.file.Remark)
	}
	if unknown := t.header.Unknown(); unknown != "" {
		say(": " + unknown)
	}
	if t.file.sheet != nil && t.file.sheet.Remark != "" {
		say(": " + t.file.sheet.Remark)
	}
	if t.blank > 0 {
		say(fmt.Sprintf(": rows without anything in any cell were left out: %d, the first on line %d", t.blank, t.file.lineOf(t.blankLine)))
	}
}

// withoutEchoes drops what was refused after the first n cells about the
// columns of those n: a cell that says #N/A need not be told that it is no
// number.
func withoutEchoes(bad []badCell, n int) []badCell {
	kept := bad[:n:n]
	for _, b := range bad[n:] {
		about := func(first badCell) bool { return first.column == b.column }
		if !slices.ContainsFunc(bad[:n], about) {
			kept = append(kept, b)
		}
	}
	return kept
}
