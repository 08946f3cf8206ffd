package data

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
)

// tableOptions are what differs from table to table.
type tableOptions struct {
	asOf Date
	// workers read pieces of the table side by side; 0 or less: one for each
	// processor.
	workers int
	// pieceBytes is the size of the pieces; 0: the usual.
	pieceBytes int
	// passOver, where set, gives who tells, of the lines of one piece of the body
	// in their order and by where they start and end, which nobody asked for.
	passOver func(h header, body []byte) (others func(start, end int) bool)
	// inPieces leaves the records in pieces, for those who would only take them
	// apart again.
	inPieces bool
	// settled, where set, is told of the rows that have a key; see keys.
	settled func(value string, line int, accepted bool)
	// maxRejects is above how many rejects reading stops; 0 or less: never.
	maxRejects int
	// gocsv has gocsv read the rows; see gocsvRows.
	gocsv bool
}

// rowParser turns a raw row into a record. It notes bad cells in c; the record
// is used only where there are none. Rows are parsed side by side, so a parser
// remembers nothing of other rows but what is in c.
type rowParser[R, T any] func(raw *R, c *cells, at Source) T

// readTable reads every row of a file: each becomes one record or one Reject.
//
// Pieces of the file are read side by side, and settled one after another in
// the order of the file, so that records, rejects and counts are what reading
// row by row would give.
func readTable[R, T any](ctx context.Context, f *file, o tableOptions, parse rowParser[R, T]) (table[T], error) {
	columns := columnsOf[R]()
	h, err := readHeader(f.body, columns)
	if err != nil {
		return table[T]{}, fmt.Errorf("%s %w", f.name, err)
	}
	src := lineSource{body: f.body, pos: h.start, line: h.line}
	src.advance(h.start, h.end)
	if o.pieceBytes == 0 {
		o.pieceBytes = pieceBytes
	}
	r := &tableReader[R, T]{
		file: f, o: o, parse: parse, header: h, spans: cut(f.body, src, o.pieceBytes),
		table: table[T]{header: h, input: f.input},
		next:  src.pos,
		keys:  keys{settled: o.settled},
	}
	if o.passOver == nil {
		r.keys.rows = likelyRows(f.body[src.pos:])
	}
	if !o.inPieces {
		r.table.records = make([]T, 0, r.keys.rows)
	}
	newPiece := func() *piece[T] { return &piece[T]{cells: newCells(o.asOf)} }
	take := func(i int, p *piece[T]) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return r.take(i, p)
	}
	if err := inOrder(workersOr(o.workers), len(r.spans), newPiece, r.read, take); err != nil {
		return r.table, err
	}
	if f.digest != nil {
		f.input.SHA256, f.digest = <-f.digest, nil // for whoever reads the table again
		r.table.input.SHA256 = f.input.SHA256
	}
	r.table.warn(f, h, columns, r.hollow, r.hollowLine)
	return r.table, ctx.Err()
}

// likelyRows guesses how many rows a text has, so that records are not moved
// again and again as they come in. Lines bound the rows from above where
// cells hold no line breaks; the other bounds keep a file of blank lines from
// asking for more memory than it could fill.
func likelyRows(rows []byte) int {
	return min(bytes.Count(rows, []byte{'\n'})+1, len(rows)/16+1, 1<<20)
}

// tableReader reads one table.
type tableReader[R, T any] struct {
	file   *file
	o      tableOptions
	parse  rowParser[R, T]
	header header
	spans  []span

	// What follows is settled in the order of the file.
	table              table[T]
	next               int // where the first row starts that was not read yet
	keys               keys
	hollow, hollowLine int
}

// read reads the rows that start in a span, if a row starts where it does.
func (r *tableReader[R, T]) read(i int, p *piece[T]) {
	s := r.spans[i]
	r.readFrom(&lineSource{body: r.file.body, pos: s.start, line: s.line}, s.limit, p)
}

// readFrom reads the rows from src to limit into p.
func (r *tableReader[R, T]) readFrom(src *lineSource, limit int, p *piece[T]) {
	p.clear()
	src.skipBlank()
	p.first = src.pos
	rows, err := newRowReaderAt[R](r.file.text, r.header, src, limit)
	if err != nil {
		p.err = err
		return
	}
	if r.o.passOver == nil && cap(p.records) == 0 {
		p.records = make([]T, 0, likelyRows(r.file.body[src.pos:max(limit, src.pos)]))
	}
	if r.o.passOver != nil {
		rows.others = r.o.passOver(r.header, r.file.body)
	}
	if r.o.gocsv {
		if rows.cells, p.err = newGocsvRows[R](src, r.header); p.err != nil {
			return
		}
	}
	c := p.cells
	for {
		raw, where, broken, err := rows.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			p.err = err
			return
		}
		c.bad, c.key = c.bad[:0], rowKey{}
		if broken != nil {
			c.refuse("", "", broken.rule, broken.expected)
			p.hold(where, 0)
			continue
		}
		at := Source{File: r.file.name, Line: r.file.lineOf(where.line)}
		spoilt := r.file.refuseCells(c, r.header, at.Line)
		record := r.parse(raw, c, at)
		if len(c.bad) > 0 || c.key.value != "" {
			p.hold(where, spoilt)
		}
		if len(c.bad) == 0 {
			p.records = append(p.records, record)
		}
	}
	p.end = src.pos
	p.skipped, p.hollow, p.hollowLine = rows.skipped, rows.hollow, rows.hollowLine
}

// hold keeps what is to be settled of the row that p.cells are of.
func (p *piece[T]) hold(where rowText, spoilt int) {
	p.pending = append(p.pending, openRow{
		text: where, above: len(p.records), key: p.cells.key, bad: append([]badCell(nil), p.cells.bad...), spoilt: spoilt,
	})
}

// take takes over what a piece gave, after all pieces before it.
func (r *tableReader[R, T]) take(i int, p *piece[T]) error {
	s := r.spans[i]
	if p.first != r.next && r.next > s.start {
		// A row before the span reaches into it: it is read again from where
		// its first row really starts.
		src := &lineSource{body: r.file.body, pos: s.start, line: s.line}
		src.advance(s.start, r.next)
		r.readFrom(src, s.limit, p)
	}
	if p.err != nil {
		return fmt.Errorf("read %s: %w", r.file.name, p.err)
	}
	r.next = p.end
	t := &r.table
	records := p.records[:0] // a record is moved only where one above it is not used
	taken := 0
	use := func(to int) {
		if len(records) == taken {
			records = p.records[:to]
		} else {
			records = append(records, p.records[taken:to]...)
		}
		taken = to
	}
	for _, row := range p.pending {
		line := r.file.lineOf(row.text.line)
		fits := len(row.bad) == 0
		if bad, duplicate := r.keys.settle(row.key, line, fits); duplicate {
			row.bad = append(row.bad, bad)
		}
		if len(row.bad) == 0 {
			continue
		}
		if use(row.above); fits {
			taken++
		}
		t.reject(rejectOf(withoutEchoes(row.bad, row.spoilt), Source{r.file.name, line}, r.file.row(row.text)))
	}
	use(len(p.records))
	if r.o.inPieces {
		t.pieces, p.records = append(t.pieces, records), nil
	} else {
		t.records = append(t.records, records...)
	}
	t.input.Skipped += p.skipped
	t.input.Accepted += len(records)
	t.input.Read = t.input.Accepted + t.input.Rejected + t.input.Skipped
	if r.hollow == 0 {
		r.hollowLine = p.hollowLine
	}
	r.hollow += p.hollow
	return withinLimit(t.rejects, r.o.maxRejects)
}

func (t *table[T]) reject(r Reject) {
	t.rejects = append(t.rejects, r)
	t.input.Rejected++
}

func (t *table[T]) warn(f *file, h header, columns []Column, hollow, hollowLine int) {
	if f.encoding != "" {
		t.warnings = append(t.warnings, fmt.Sprintf("%s: read as %s, as it is not UTF-8", f.name, f.encoding))
	}
	if w := h.unknownWarning(columns); w != "" {
		t.warnings = append(t.warnings, f.name+": "+w)
	}
	if f.sheet != nil && f.sheet.warning != "" {
		t.warnings = append(t.warnings, f.name+": "+f.sheet.warning)
	}
	if hollow > 0 {
		t.warnings = append(t.warnings, fmt.Sprintf(
			"%s: rows without anything in any cell were passed over: %d, the first on line %d", f.name, hollow, f.lineOf(hollowLine)))
	}
}
