package data

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"sync"

	"github.com/xuri/excelize/v2"
)

// Bounds of a workbook. A sheet takes some twenty times its size in memory
// while it is read; larger yards are better kept as CSV files.
const (
	maxUnpackedBytes = 128 << 20
	maxParts         = 10_000 // files within the archive
)

// workbook is one .xlsx file of the yard. Its sheets are read one at a time.
type workbook struct {
	name   string // base name, as in yard.xlsx
	sheets []string
	input  InputFile

	mu   sync.Mutex
	file *excelize.File
	// formats remembers how cells of a style show their numbers.
	formats  map[int]numberFormat
	date1904 bool
}

// openWorkbook opens a workbook of the yard, which is read into memory once.
// What is wrong with it as a whole is said in one sentence.
func openWorkbook(fsys fs.FS, name string, digest bool) (*workbook, error) {
	raw, err := readRaw(fsys, name)
	if err != nil {
		return nil, err
	}
	b := &workbook{name: name, input: InputFile{Size: int64(len(raw))}, formats: map[int]numberFormat{}}
	if digest {
		sum := sha256.Sum256(raw)
		b.input.SHA256 = hex.EncodeToString(sum[:])
	}
	if err := checkArchive(raw, maxUnpackedBytes); err != nil {
		return nil, fmt.Errorf("%s %w", name, err)
	}
	if err := b.open(raw); err != nil {
		return nil, err
	}
	if len(b.sheets) == 0 {
		return nil, fmt.Errorf("%s is a zip archive that holds no sheets, not a workbook", name)
	}
	return b, nil
}

func (b *workbook) open(raw []byte) (err error) {
	defer b.damaged(&err)
	b.file, err = excelize.OpenReader(bytes.NewReader(raw), excelize.Options{
		// Equal limits keep the library from unpacking to temporary files.
		UnzipSizeLimit: maxUnpackedBytes, UnzipXMLSizeLimit: maxUnpackedBytes,
	})
	if err != nil {
		return err
	}
	b.sheets = b.file.GetSheetList()
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
func (b *workbook) damaged(err *error) {
	cause := *err
	if p := recover(); p != nil {
		cause = fmt.Errorf("%v", p)
	}
	switch {
	case errors.Is(cause, errWide):
		*err = cause
	case cause != nil:
		*err = fmt.Errorf("%s is damaged and cannot be read; open it in a spreadsheet, save it again, or take it from a backup (%w)", b.name, cause)
	}
}

// encrypted is the name of the stream that holds a workbook under a password,
// as an old compound file spells it.
var encrypted = []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")

// checkArchive unpacks every part of a workbook once and throws it away, so
// that an archive that is cut short, fails its checksums or unpacks to more
// than most bytes is turned away before it is taken to heart. The error goes on
// from the name of the file.
func checkArchive(raw []byte, most int64) error {
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
	left := most
	for _, part := range z.File {
		n, err := unpack(part, left+1)
		if err != nil {
			return fmt.Errorf("is damaged in its part %q; take it from a backup (%w)", shorten(part.Name), err)
		}
		if left -= n; left < 0 {
			return fmt.Errorf("unpacks to more than %d MiB, the most that is read of a workbook; keep large tables as CSV", most>>20)
		}
	}
	return nil
}

// unpack counts the bytes of a part up to most.
func unpack(part *zip.File, most int64) (int64, error) {
	r, err := part.Open()
	if err != nil {
		return 0, err
	}
	n, err := io.Copy(io.Discard, io.LimitReader(r, most))
	return n, errors.Join(err, r.Close())
}
