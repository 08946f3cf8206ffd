package data

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"github.com/vanwright/vanwright/data/internal/csvtable"
	"github.com/vanwright/vanwright/data/internal/xlsx"
)

// maxFileBytes bounds one input file. A yard of a hundred thousand vans stays
// well below it.
const maxFileBytes = 1 << 30

// file is one table in memory: a CSV file, or a sheet of a workbook.
type file struct {
	csvtable.Text
	name  string // as records and rejects call it
	input InputFile
	raw   []byte      // of which the digest is still to be taken; nil where none is wanted
	sheet *xlsx.Sheet // nil for a CSV file
}

// readFile reads and decodes a file of the yard once, so that its digest, its
// counts and its records are of the same bytes even if somebody saves it
// meanwhile. A missing file is fs.ErrNotExist.
func readFile(fsys fs.FS, path, name string, columns []Column) (*file, error) {
	raw, err := readRaw(fsys, path, name, func(head []byte) error {
		t, err := csvtable.Decode(head)
		if err == nil {
			_, err = csvtable.ReadHeader(t, columns)
		}
		if err != nil {
			return fmt.Errorf("%s %w", name, err)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	t, err := csvtable.Decode(raw)
	if err != nil {
		return nil, fmt.Errorf("%s %w", name, err)
	}
	return &file{Text: t, name: name, raw: raw, input: InputFile{Name: name, Size: int64(len(raw))}}, nil
}

// digest works out the digest of the file's bytes, where one is wanted.
func (f *file) digest() {
	if f.raw != nil {
		f.input.SHA256, f.raw = digestOf(f.raw), nil
	}
}

func digestOf(raw []byte) string {
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

// headBytes is how much of a large file is looked at before the rest is read
// into memory: more than any header.
const headBytes = 4 << 20

// readRaw reads the bytes of a file of the yard, if it is not too large. name is
// what errors call it. Of a large file check sees the start and may refuse it.
func readRaw(fsys fs.FS, path, name string, check func(head []byte) error) ([]byte, error) {
	// Opening a named pipe would wait for somebody to write to it.
	if info, err := fs.Stat(fsys, path); err == nil && !info.Mode().IsRegular() && !info.IsDir() {
		return nil, fmt.Errorf("%s is not a plain file", name)
	}
	f, err := fsys.Open(path)
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
	raw := make([]byte, 0, info.Size()+512)
	if raw, err = appendUpTo(raw, f, headBytes); err == nil && len(raw) >= headBytes {
		if err := check(raw); err != nil {
			return nil, err
		}
		raw, err = appendUpTo(raw, f, maxFileBytes+1)
	}
	switch {
	case err != nil:
		return nil, fmt.Errorf("read %s: %w", name, err)
	case len(raw) > maxFileBytes:
		return nil, tooLarge
	}
	return raw, nil
}

// appendUpTo reads until buf holds as many bytes as most, or all that there are.
func appendUpTo(buf []byte, r io.Reader, most int) ([]byte, error) {
	for len(buf) < most {
		if len(buf) == cap(buf) {
			buf = append(buf, 0)[:len(buf)]
		}
		n, err := r.Read(buf[len(buf):min(cap(buf), most)])
		buf = buf[:len(buf)+n]
		if errors.Is(err, io.EOF) {
			return buf, nil
		}
		if err != nil {
			return buf, err
		}
	}
	return buf, nil
}

// lineOf returns the number by which a person finds a line of the text: the
// line of a CSV file, or the row of a sheet.
func (f *file) lineOf(line int) int {
	if f.sheet == nil || len(f.sheet.Rows) == 0 {
		return line
	}
	return f.sheet.Rows[min(line, len(f.sheet.Rows))-1]
}

// refuseCells refuses the cells of a row that the sheet itself spoils, and
// says how many.
func (f *file) refuseCells(c *cells, h csvtable.Header, row int) int {
	if f.sheet == nil {
		return 0
	}
	for _, bad := range f.sheet.Refused[row] {
		if column := h.Names[bad.Column]; column != "" { // other columns are left out anyway
			c.refuse(column, bad.Value, column+".cell", bad.Expected)
		}
	}
	return len(c.bad)
}
