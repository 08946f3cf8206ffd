package data

import (
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
	name   string // base name, as in records and rejects
	input  InputFile
	digest <-chan string // of the file's bytes, for input; nil where none is wanted or it is known
	sheet  *sheetPlaces  // nil for a CSV file
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
	f := &file{text: t, name: name, input: InputFile{Name: name, Size: int64(len(raw))}}
	if digest {
		f.digest = digestOf(raw)
	}
	return f, nil
}

// digestOf works out the digest of a file while the file is read, and returns
// where to get it.
func digestOf(raw []byte) <-chan string {
	out := make(chan string, 1)
	go func() {
		sum := sha256.Sum256(raw)
		out <- hex.EncodeToString(sum[:])
	}()
	return out
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
	pieces   [][]T // the records as they were read, in place of records; see tableOptions
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

// row returns a row as it stands in the file, without its line end. A line
// that is too long to be a row is cut.
func (f *file) row(at rowText) string {
	row := trimLineEnd(f.body[at.start:at.end])
	if len(row) > maxLineBytes {
		return strings.ToValidUTF8(string(row[:200]), "") + "…"
	}
	return string(row)
}
