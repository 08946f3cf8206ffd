package csvtable

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// MaxRowBytes bounds one row of a table, on however many lines it stands. A
// longer one is refused without being read into cells.
const MaxRowBytes = 1 << 20

// Span is a stretch of whole lines of a text.
type Span struct {
	Start, End int // offsets
	Line       int // of Start
}

// Spans cuts the rows of a text into spans of about the given size. Lines are
// not always rows: a span may begin within a cell that holds line breaks. Who
// reads the span before it finds out; see Reader.Pos.
func (t Text) Spans(h Header, size int) []Span {
	var out []Span
	src := t.source(h)
	for src.pos < len(t.Body) {
		s := Span{Start: src.pos, End: src.lineEnd(min(src.pos+size, len(t.Body)-1)), Line: src.line}
		src.advance(s.Start, s.End)
		out = append(out, s)
	}
	return out
}

// source stands before the first row.
func (t Text) source(h Header) lineSource {
	src := lineSource{body: t.Body, pos: h.Start, line: h.Line}
	src.advance(h.Start, h.End)
	return src
}

// Reader reads the rows that start in a span. What a row is depends on nothing
// but where it starts, so that a reader may begin at any row.
type Reader struct {
	// Unwanted, where set, says of the first line of each row whether it
	// is not asked for; such rows are passed over and counted in Skipped.
	Unwanted func(line []byte) bool
	Skipped  int
	// Blank counts rows in which every cell is blank, such as ",,,,", which
	// spreadsheets leave behind; BlankLine is the line of the first.
	Blank, BlankLine int

	src      lineSource
	limit    int // rows that start here or later are not this reader's
	header   Header
	comma    byte // 0 for a separator of more than one byte
	controls bool
	cells    []string
	quoted   *csv.Reader // of src
	text     string      // of the span, of which plain rows have their cells
	start    int         // of text

	nextQuote int // the first quote at or after the last row asked about; limit where there is none
}

// Row is one row of a table.
type Row struct {
	Cells      []string // by the columns that the header was read with; good until the next row
	Line       int      // 1-based, on which the row starts
	Start, End int      // offsets in the text, with the line end
	Fault      *Fault   // why it could not be split into cells; nil for a good row
}

// Fault is why a row cannot be read.
type Fault struct {
	Rule     string // stable code such as row.columns
	Expected string // what would have been accepted
}

// Rows reads the rows that start in a span. from is the offset of the first, for
// a span of which a row before it takes some lines; at most the span's start,
// it is ignored.
func (t Text) Rows(h Header, s Span, from int) *Reader {
	src := lineSource{body: t.Body, pos: s.Start, line: s.Line}
	if from > s.Start {
		src.advance(s.Start, min(from, len(t.Body)))
	}
	r := &Reader{
		src: src, limit: s.End, header: h, controls: t.controls, cells: make([]string, len(h.columns)), nextQuote: -1,
		start: src.pos, text: string(t.Body[src.pos:max(s.End, src.pos)]),
	}
	if h.Comma < utf8.RuneSelf {
		r.comma = byte(h.Comma)
	}
	r.src.skipBlankTo(r.limit)
	return r
}

// Pos returns the offset of the next row, which after the last of a span may be
// within the spans that follow it, or of blank lines before it there.
func (r *Reader) Pos() int { return r.src.pos }

// Next returns the next row; false after the last.
func (r *Reader) Next() (Row, bool) {
	for {
		r.src.skipBlankTo(r.limit)
		row := Row{Start: r.src.pos, Line: r.src.line}
		if row.Start >= r.limit {
			return Row{}, false
		}
		lineEnd := r.src.lineEnd(row.Start)
		if r.Unwanted != nil && r.Unwanted(r.src.body[row.Start:lineEnd]) {
			r.src.advance(row.Start, lineEnd)
			r.Skipped++
			continue
		}
		r.read(&row, lineEnd)
		r.src.end = 0
		r.src.advance(row.Start, row.End)
		body := r.src.body[row.Start:row.End]
		switch {
		case isBlank(body, r.header.Comma):
			if r.Blank++; r.Blank == 1 {
				r.BlankLine = row.Line
			}
			continue
		case row.Fault == nil && r.controls && hasControls(body):
			row.Fault = controlFault(body)
		}
		row.Cells = r.cells
		return row, true
	}
}

// read splits the row at row.Start, whose first line ends at lineEnd, and says
// where it ends.
func (r *Reader) read(row *Row, lineEnd int) {
	if lineEnd-row.Start > MaxRowBytes {
		row.End = lineEnd
		row.Fault = &Fault{"row.length", fmt.Sprintf("a line of at most %d bytes", MaxRowBytes)}
		return
	}
	if r.comma != 0 && r.quoteFrom(row.Start) >= lineEnd && lineEnd <= r.start+len(r.text) {
		if row.End = lineEnd; !r.plain(r.text[row.Start-r.start : lineEnd-r.start]) {
			row.Fault = r.wrongColumns()
		}
		return
	}
	// A row goes on while a quote is open. One that is never closed, or only
	// far below, takes no other line with it.
	end, closed := r.closing(row.Start, lineEnd)
	if !closed {
		row.End = lineEnd
		row.Fault = r.openQuote(row.Start, lineEnd)
		return
	}
	r.readQuoted(row, lineEnd, end)
}

// quoteFrom returns the place of the first quote at or after offset from.
func (r *Reader) quoteFrom(from int) int {
	if r.nextQuote < from {
		r.nextQuote = r.limit
		if i := bytes.IndexByte(r.src.body[from:max(r.limit, from)], '"'); i >= 0 {
			r.nextQuote = from + i
		}
	}
	return r.nextQuote
}

// plain splits a line without quotes; false where it has not as many columns as
// the header.
func (r *Reader) plain(line string) bool {
	line = strings.TrimSuffix(strings.TrimSuffix(line, "\n"), "\r")
	last := len(r.header.places) - 1
	for i, place := range r.header.places {
		end := strings.IndexByte(line, r.comma)
		if (end < 0) != (i == last) {
			return false
		}
		if i == last {
			end = len(line)
		}
		if place >= 0 {
			r.cells[place] = line[:end]
		}
		line = line[min(end+1, len(line)):]
	}
	return true
}

// closing returns the end of the line on which the quotes of a row have become
// even; false where that is not within MaxRowBytes.
func (r *Reader) closing(start, lineEnd int) (end int, closed bool) {
	body := r.src.body[:min(len(r.src.body), start+MaxRowBytes)]
	odd := func(part []byte) bool { return bytes.Count(part, []byte{'"'})%2 == 1 }
	for open := odd(body[start:lineEnd]); open; {
		next := bytes.IndexByte(body[lineEnd:], '"')
		if next < 0 {
			return 0, false
		}
		next += lineEnd
		if lineEnd = r.src.lineEnd(next); lineEnd > len(body) {
			return 0, false
		}
		open = !odd(body[next:lineEnd])
	}
	return lineEnd, true
}

// readQuoted splits the row from row.Start to end, whose quotes are even, with
// encoding/csv, so that no rule about quotes is written here a second time.
func (r *Reader) readQuoted(row *Row, lineEnd, end int) {
	if r.quoted == nil {
		r.quoted = csv.NewReader(&r.src)
		r.quoted.Comma = r.header.Comma
		r.quoted.ReuseRecord = true
		r.quoted.FieldsPerRecord = -1
	}
	r.src.end = end
	cells, err := r.quoted.Read()
	row.End = end
	manyLines := end > lineEnd
	switch {
	case err != nil: // the reader may be anywhere in the row
		r.quoted = nil
		row.End, row.Fault = lineEnd, r.quoteFault(err, row.Start, lineEnd)
	case manyLines && r.holdsRow(lineEnd, end):
		row.End = lineEnd
		row.Fault = &Fault{"row.quote", "a closing quote on the same row; the lines after this one are rows of their own"}
	case len(cells) != len(r.header.places):
		row.Fault = r.wrongColumns()
	default:
		for i, place := range r.header.places {
			if place >= 0 {
				r.cells[place] = cells[i]
			}
		}
	}
}

func (r *Reader) wrongColumns() *Fault {
	return &Fault{"row.columns", fmt.Sprintf("%d columns, as in the header", len(r.header.Names))}
}

// quoteFault says what a CSV reader's error means for a row.
func (r *Reader) quoteFault(err error, start, lineEnd int) *Fault {
	if errors.Is(err, csv.ErrBareQuote) {
		return &Fault{"row.quote", `a quote only at both ends of a cell; write "" for a quote inside one`}
	}
	return r.openQuote(start, lineEnd)
}

func (r *Reader) openQuote(start, lineEnd int) *Fault {
	if bytes.Count(r.src.body[start:lineEnd], []byte{'"'})%2 == 1 {
		return &Fault{"row.quote", "a closing quote; the one that opens on this line is never closed"}
	}
	return &Fault{"row.quote", `a separator after a closing quote; write "" for a quote inside a cell`}
}

// holdsRow reports whether one of the lines from start to end is, taken by
// itself, a row with the right number of columns: then a quote was left open
// before it.
func (r *Reader) holdsRow(start, end int) bool {
	columns := len(r.header.Names)
	if columns < 2 {
		return false
	}
	for line := range bytes.Lines(r.src.body[start:end]) {
		if bytes.IndexByte(line, '"') < 0 {
			if bytes.Count(line, []byte(string(r.header.Comma))) == columns-1 {
				return true
			}
			continue
		}
		c := csv.NewReader(bytes.NewReader(line))
		c.Comma = r.header.Comma
		if cells, err := c.Read(); err == nil && len(cells) == columns {
			return true
		}
	}
	return false
}

// isBlank reports whether a row holds nothing but separators, spaces and empty
// quotes.
func isBlank(row []byte, comma rune) bool {
	for i := 0; i < len(row); i++ {
		switch row[i] {
		case byte(comma), ' ', '\t', '\n', '\r':
		case '"': // a third quote in a row would be a quote in a cell
			if i++; i == len(row) || row[i] != '"' || i+1 < len(row) && row[i+1] == '"' {
				return false
			}
		default:
			return false
		}
	}
	return true
}

func controlFault(row []byte) *Fault {
	if bytes.IndexByte(row, 0) >= 0 {
		return &Fault{"row.nul", "text without NUL bytes"}
	}
	return &Fault{"row.control", "text without control characters"}
}

// Row returns a row as it stands in the table, without its line end. One that
// is too long to be a row is cut.
func (t Text) Row(row Row) string {
	text := trimLineEnd(t.Body[row.Start:row.End])
	if len(text) > MaxRowBytes {
		return strings.ToValidUTF8(string(text[:200]), "") + "…"
	}
	return string(text)
}

// RowsAt returns the text of the rows that start on given lines, which rise.
func (t Text) RowsAt(h Header, lines []int) []string {
	out := make([]string, 0, len(lines))
	src := t.source(h)
	for _, line := range lines {
		for src.line < line && src.pos < len(t.Body) {
			src.advance(src.pos, src.lineEnd(src.pos))
		}
		row, ok := t.Rows(h, Span{Start: src.pos, End: min(src.pos+1, len(t.Body)), Line: src.line}, 0).Next()
		if !ok {
			break
		}
		out = append(out, t.Row(row))
		src.advance(src.pos, row.End)
	}
	return out
}

// Shorten cuts a value to 60 characters, for a message.
func Shorten(s string) string {
	n := 0
	for i := range s {
		if n == 59 && utf8.RuneCountInString(s[i:]) > 1 {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
