package data

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
)

// maxFileBytes bounds one input file. A yard of a hundred thousand vans stays
// well below it.
const maxFileBytes = 1 << 30

// file is one input file in memory.
type file struct {
	text
	name  string // base name, as in records and rejects
	input InputFile
	sheet *sheetPlaces // nil for a CSV file
}

// readFile reads and decodes a file of the yard once, so that its digest, its
// counts and its records are of the same bytes even if somebody saves it
// meanwhile. A missing file is fs.ErrNotExist.
func readFile(fsys fs.FS, name string, digest bool) (*file, error) {
	raw, err := readRaw(fsys, name)
	if err != nil {
		return nil, err
	}
	t, err := decodeText(raw)
	if err != nil {
		return nil, fmt.Errorf("%s %w", name, err)
	}
	in := InputFile{Name: name, Size: int64(len(raw))}
	if digest {
		sum := sha256.Sum256(raw)
		in.SHA256 = hex.EncodeToString(sum[:])
	}
	return &file{text: t, name: name, input: in}, nil
}

// readRaw reads the bytes of a file of the yard, if it is not too large.
func readRaw(fsys fs.FS, name string) ([]byte, error) {
	// Opening a named pipe would wait for somebody to write to it.
	if info, err := fs.Stat(fsys, name); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return nil, fmt.Errorf("%s is not a plain file", name)
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	tooLarge := fmt.Errorf("%s is larger than %d MiB, the most that is read", name, maxFileBytes>>20)
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder; expected a file", name)
	case info.Size() > maxFileBytes:
		return nil, tooLarge
	}
	raw, err := readUpTo(f, int(info.Size()), maxFileBytes)
	switch {
	case err != nil:
		return nil, fmt.Errorf("read %s: %w", name, err)
	case len(raw) > maxFileBytes:
		return nil, tooLarge
	}
	return raw, nil
}

// readUpTo reads at most one byte more than most; size is what to expect.
func readUpTo(r io.Reader, size, most int) ([]byte, error) {
	buf := make([]byte, 0, size+512)
	for len(buf) <= most {
		if len(buf) == cap(buf) {
			buf = append(buf, 0)[:len(buf)]
		}
		n, err := r.Read(buf[len(buf):cap(buf)])
		buf = buf[:len(buf)+n]
		if errors.Is(err, io.EOF) {
			return buf, nil
		}
		if err != nil {
			return nil, err
		}
	}
	return buf, nil
}

// table is what was read from one file.
type table[T any] struct {
	header   header
	records  []T
	rejects  []Reject
	warnings []string
	input    InputFile
	source   *file
}

// rejectTwice moves readings that stand twice from the accepted to the rejected
// rows. They are in the order of their lines.
func (t *table[T]) rejectTwice(twice []twiceRead) error {
	src := &lineSource{body: t.source.body, pos: t.header.start, line: t.header.line}
	for _, r := range twice {
		for t.source.lineOf(src.line) < r.Source.Line {
			src.advance(src.pos, src.lineEnd(src.pos))
		}
		start := src.pos
		c := csv.NewReader(src)
		c.Comma = t.header.comma
		if _, err := c.Read(); err != nil {
			return fmt.Errorf("read %s again: %w", r.Source, err)
		}
		where := rowText{start, src.pos, r.Source.Line}
		src.advance(start, src.pos)
		t.rejects = append(t.rejects, Reject{
			File: r.Source.File, Line: r.Source.Line, Row: t.source.row(where), Rule: "reading.duplicate",
			Expected: fmt.Sprintf("one reading of a point of a van on a day; line %d holds %s of %s on %s already",
				r.firstLine, pointName(r.Reading), r.StockID, r.TakenOn),
		})
		t.input.Accepted--
		t.input.Rejected++
	}
	return nil
}

func pointName(r Reading) string {
	if r.Position == "" {
		return r.Checkpoint
	}
	return r.Checkpoint + " at " + r.Position
}

// tableOptions are what differs from table to table.
type tableOptions struct {
	asOf Date
	// skip passes over unwanted lines; see rowReader.
	skip func(line []byte) bool
}

// rowParser turns a raw row into a record. It notes bad cells in c; the record
// is used only where there are none.
type rowParser[R, T any] func(raw *R, c *cells, at Source) T

// readTable reads every row of a file: each becomes one record or one Reject.
func readTable[R, T any](ctx context.Context, f *file, o tableOptions, parse rowParser[R, T]) (table[T], error) {
	columns := columnsOf[R]()
	h, err := readHeader(f.body, columns)
	if err != nil {
		return table[T]{}, fmt.Errorf("%s %w", f.name, err)
	}
	rows, err := newRowReader[R](f.text, h)
	if err != nil {
		return table[T]{}, fmt.Errorf("%s: %w", f.name, err)
	}
	rows.skip = o.skip
	t := table[T]{header: h, input: f.input}
	if o.skip == nil {
		t.records = make([]T, 0, likelyRows(rows.src))
	}
	c := newCells(o.asOf)
	for {
		if t.input.Read%4096 == 0 && ctx.Err() != nil {
			return t, ctx.Err()
		}
		raw, where, broken, err := rows.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return t, fmt.Errorf("read %s: %w", f.name, err)
		}
		t.input.Read++
		at := Source{File: f.name, Line: f.lineOf(where.line)}
		if broken != nil {
			c.refuse("", "", broken.rule, broken.expected)
			t.reject(c.reject(at, f.row(where)))
			continue
		}
		spoilt := f.refuseCells(c, h, at.Line)
		record := parse(raw, c, at)
		if len(c.bad) > 0 {
			c.forget(spoilt)
			t.reject(c.reject(at, f.row(where)))
			continue
		}
		t.records = append(t.records, record)
		t.input.Accepted++
	}
	t.input.Skipped = rows.skipped
	t.input.Read += rows.skipped
	t.warn(f, h, columns, rows.hollow, rows.hollowLine)
	return t, nil
}

// likelyRows guesses how many rows are left, so that a million records are not
// moved twenty times as they come in. Lines bound the rows from above where
// cells hold no line breaks; the other bounds keep a file of blank lines from
// asking for more memory than it could fill.
func likelyRows(src *lineSource) int {
	rest := src.body[src.pos:]
	return min(bytes.Count(rest, []byte{'\n'})+1, len(rest)/16+1, 1<<20)
}

func (t *table[T]) reject(r Reject) {
	t.rejects = append(t.rejects, r)
	t.input.Rejected++
}

func (t *table[T]) warn(f *file, h header, columns []column, hollow, hollowLine int) {
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

// row returns a row as it stands in the file, without its line end. A line
// that is too long to be a row is cut.
func (f *file) row(at rowText) string {
	row := trimLineEnd(f.body[at.start:at.end])
	if len(row) > maxLineBytes {
		return strings.ToValidUTF8(string(row[:200]), "") + "…"
	}
	return string(row)
}
