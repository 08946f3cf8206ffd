// Package xlsxtest builds workbooks for tests.
package xlsxtest

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// Sheet is one sheet to be: a cell is any Go value, or one of the cells
// below.
type Sheet struct {
	Name string
	Rows [][]any
}

// Styled is a value under a number format.
type Styled struct {
	Value any
	Code  string
}

// Saved is a cell as a spreadsheet program saves it, from its attributes on,
// for what the library does not write itself.
type Saved string

// ErrorCell is a cell whose formula ended in an error.
func ErrorCell(text string) Saved { return Saved(` t="e"><f>A1</f><v>` + text + `</v>`) }

// Formula is a formula with its saved result, a number; blank: none is saved.
func Formula(text, result string) Saved {
	if result == "" {
		return Saved(`><f>` + text + `</f>`)
	}
	return Saved(`><f>` + text + `</f><v>` + result + `</v>`)
}

// WorkbookOf builds a workbook in memory.
func WorkbookOf(t testing.TB, sheets ...Sheet) []byte {
	t.Helper()
	f := excelize.NewFile()
	var asSaved []Saved
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, s := range sheets {
		_, err := f.NewSheet(s.Name)
		must(err)
		for i, row := range s.Rows {
			for j, cell := range row {
				at, err := excelize.CoordinatesToCellName(j+1, i+1)
				must(err)
				switch c := cell.(type) {
				case nil:
				case string:
					must(f.SetCellStr(s.Name, at, c))
				case Styled:
					must(f.SetCellValue(s.Name, at, c.Value))
					style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &c.Code})
					must(err)
					must(f.SetCellStyle(s.Name, at, at, style))
				case Saved:
					must(f.SetCellDefault(s.Name, at, fmt.Sprintf("<%d>", len(asSaved))))
					asSaved = append(asSaved, c)
				default:
					must(f.SetCellValue(s.Name, at, c))
				}
			}
		}
	}
	must(f.DeleteSheet("Sheet1"))
	var out bytes.Buffer
	must(f.Write(&out))
	return Rewrite(t, out.Bytes(), func(name string, part []byte) []byte {
		if strings.HasPrefix(name, "xl/worksheets/") {
			for i, c := range asSaved {
				mark := fmt.Sprintf(` t="inlineStr"><is><t>&lt;%d&gt;</t></is>`, i)
				part = bytes.Replace(part, []byte(mark), []byte(c), 1)
			}
		}
		return part
	})
}

// Rewrite changes the parts of an archive; a part of nil is left out.
func Rewrite(t testing.TB, archive []byte, change func(name string, part []byte) []byte) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, p := range z.File {
		part, err := fs.ReadFile(z, p.Name)
		if err != nil {
			t.Fatal(err)
		}
		if part = change(p.Name, part); part == nil {
			continue
		}
		to, err := w.Create(p.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.Write(part); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
