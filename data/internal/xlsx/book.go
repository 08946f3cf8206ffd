package xlsx

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"sync"

	"github.com/vanwright/vanwright/data/internal/csvtable"
	"github.com/xuri/excelize/v2"
)

// Bounds of the workbooks of a yard together, with which the library stays within
// 512 MiB while it reads them. Larger yards are better kept as CSV files.
const (
	maxUnpackedBytes = 64 << 20
	maxParts         = 10_000  // files within one archive
	maxCells         = 600_000 // of all sheets, counting the gaps before the last of each row, and twice with a formula or a text of their own
	maxElements      = 400_000 // of XML beside the cells: styles, shared texts and the like
	MaxColumns       = 300     // of a header; the widest table of a yard has some fifty
)

// Book is one .xlsx file. Its sheets are read one at a time.
type Book struct {
	Name   string // base name, as in yard.xlsx
	Sheets []string

	mu   sync.Mutex
	file *excelize.File
	// formats remembers how cells of a style show their numbers.
	formats  map[int]numberFormat
	date1904 bool
}

// Shelf opens the workbooks of a yard, within their bounds. The zero Shelf is ready.
type Shelf struct {
	bytes    int64 // unpacked
	elements int   // of XML, in all parts, beside the cells of sheets
	cells    int
}

// Open opens a workbook. What is wrong with it as a whole is said in one
// sentence that names it.
func (s *Shelf) Open(name string, raw []byte) (*Book, error) {
	b := &Book{Name: name, formats: map[int]numberFormat{}}
	if err := s.check(raw, maxUnpackedBytes); err != nil {
		return nil, fmt.Errorf("%s %w", name, err)
	}
	if err := b.open(raw); err != nil {
		return nil, err
	}
	if len(b.Sheets) == 0 {
		return nil, fmt.Errorf("%s is a zip archive that holds no sheets, not a workbook", name)
	}
	return b, nil
}

func (b *Book) open(raw []byte) (err error) {
	defer b.damaged(&err)
	b.file, err = excelize.OpenReader(bytes.NewReader(raw), excelize.Options{
		// Equal limits keep the library from unpacking to temporary files.
		UnzipSizeLimit: maxUnpackedBytes, UnzipXMLSizeLimit: maxUnpackedBytes,
	})
	if err != nil {
		return err
	}
	b.Sheets = b.file.GetSheetList()
	props, err := b.file.GetWorkbookProps()
	if err != nil {
		return err
	}
	b.date1904 = props.Date1904 != nil && *props.Date1904
	return nil
}

// damaged makes one sentence of what the library says about a workbook that it
// cannot follow. That includes its panics: files come from anywhere, and a bad
// one must not take the run down with a stack trace.
func (b *Book) damaged(err *error) {
	cause := *err
	if p := recover(); p != nil {
		cause = fmt.Errorf("%v", p)
	}
	switch {
	case errors.Is(cause, errWide):
		*err = cause
	case cause != nil:
		*err = fmt.Errorf("%s is damaged and cannot be read; open it in a spreadsheet, save it again, or take it from a backup (%w)", b.Name, cause)
	}
}

// encrypted is the name of the stream that holds a workbook under a password,
// as an old compound file spells it.
var encrypted = []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")

// check unpacks every part of a workbook once and throws it away, so that an
// archive that is cut short, fails its checksums, or with which those of the yard
// unpack to more than most bytes or hold too many cells, is turned away before the
// library builds anything from it. The error goes on from the name of the file.
func (s *Shelf) check(raw []byte, most int64) error {
	switch {
	case len(raw) == 0:
		return errors.New("is empty, not a workbook")
	case bytes.HasPrefix(raw, []byte("\xD0\xCF\x11\xE0")) && bytes.Contains(raw, encrypted):
		return errors.New("is locked with a password; save it without one")
	case bytes.HasPrefix(raw, []byte("\xD0\xCF\x11\xE0")):
		return errors.New("is an old spreadsheet workbook under a new ending; save it as .xlsx")
	case !bytes.HasPrefix(raw, []byte("PK")):
		return errors.New("is not a workbook, whatever its ending says; save the table as .xlsx or .csv")
	}
	z, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		return fmt.Errorf("is cut short or damaged; take it from a backup (%w)", err)
	}
	switch {
	case len(z.File) == 0:
		return errors.New("is an empty zip archive, not a workbook")
	case len(z.File) > maxParts:
		return fmt.Errorf("holds %d parts, more than any workbook of tables", len(z.File))
	}
	for _, part := range z.File {
		n, err := s.part(part, most-s.bytes+1)
		if errors.Is(err, errTooMuch) {
			return err
		}
		if err != nil {
			return fmt.Errorf("is damaged in its part %q; take it from a backup (%w)", csvtable.Shorten(part.Name), err)
		}
		if s.bytes += n; s.bytes > most {
			return fmt.Errorf("unpacks to more than %d MiB, with the workbooks before it, the most that is read of those of a yard; keep large tables as CSV", most>>20)
		}
	}
	return nil
}
