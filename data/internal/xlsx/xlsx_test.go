package xlsx

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/vanwright/vanwright/data/internal/xlsx/xlsxtest"
	"github.com/xuri/excelize/v2"
)

// Workbooks of the tests; see xlsxtest.
type (
	sheetRows = xlsxtest.Sheet
	styled    = xlsxtest.Styled
	saved     = xlsxtest.Saved
)

var (
	formula    = xlsxtest.Formula
	workbookOf = xlsxtest.WorkbookOf
	rewrite    = xlsxtest.Rewrite
)

// sheetText reads a sheet as the CSV reader is given it.
func sheetText(t testing.TB, raw []byte, sheet string) *Sheet {
	t.Helper()
	b, err := new(Shelf).Open("w.xlsx", raw)
	if err != nil {
		t.Fatal(err)
	}
	f, err := b.Read(sheet, func(header string) bool { return strings.EqualFold(header, "imported") || header == "held" })
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// The expected texts are what a person sees in the cell, or types into a CSV
// file for it. 46090 is 9 March 2026: 20 March 2026 less 11 days; the day count
// of 1 January 2008 is 39448 in ECMA-376 part 1, 18.17.4.1.
func TestCellsOfASheet(t *testing.T) {
	day := time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		name   string
		column string
		cell   any
		want   string
	}{
		{"text", "note", "a plain text", "a plain text"},
		{"text that a CSV file must quote", "note", "a \"b\", c\nd", "\"a \"\"b\"\", c\nd\""},
		{"text keeps its leading zeros", "reg", "00123", "00123"},
		{"text that looks like an exponent", "stock_id", "1E5", "1E5"},
		{"text that looks like a number with noise", "note", "0.30000000000000004", "0.30000000000000004"},
		{"a whole number", "mileage", 42000, "42000"},
		{"a whole number saved as a fraction", "mileage", 42000.0, "42000"},
		{"pence", "cost", 12495.5, "12495.5"},
		{"the noise of binary fractions", "cost", 0.1 + 0.2, "0.3"},
		{"more noise", "cost", saved(`><v>12495.499999999998</v>`), "12495.5"},
		{"a number below zero", "cost", -3.25, "-3.25"},
		{"a small number has no exponent", "value", 0.00001, "0.00001"},
		{"a large number has no exponent", "value", 123456789012.0, "123456789012"},
		{"a number shown as money is the number", "cost", styled{Value: 12495.5, Code: `"£"#,##0.00`}, "12495.5"},
		{"a number shown as red money is the number", "cost", styled{Value: -12.5, Code: `#,##0.00;[Red]-#,##0.00`}, "-12.5"},
		{"a day", "listed", day, "2026-03-09"},
		{"a day, day first", "listed", styled{Value: 46090, Code: "dd/mm/yyyy"}, "2026-03-09"},
		{"a day of another language", "listed", styled{Value: 46090, Code: "[$-809]dd mmmm yyyy;@"}, "2026-03-09"},
		{"a day by month and year", "listed", styled{Value: 46090, Code: "mmm-yy"}, "2026-03-09"},
		{"a day and a time", "listed", styled{Value: 46090.75, Code: "yyyy-mm-dd hh:mm"}, "2026-03-09"},
		{"a day a hair short of itself", "listed", styled{Value: 46089.9999999999, Code: "dd/mm/yyyy"}, "2026-03-09"},
		{"the day of the standard's example", "listed", styled{Value: 39448, Code: "dd/mm/yyyy"}, "2008-01-01"},
		{"a serial number that is no day", "listed", styled{Value: -1, Code: "dd/mm/yyyy"}, "-1"},
		{"the day that never was", "listed", styled{Value: 60, Code: "dd/mm/yyyy"}, "1900-02-29"},
		{"the first days", "listed", styled{Value: 1, Code: "dd/mm/yyyy"}, "1900-01-01"},
		{"a time of day is no day", "value", styled{Value: 0.5, Code: "hh:mm"}, "0.5"},
		{"a unit in the format is no day", "value", styled{Value: 12.5, Code: `0.0" days"`}, "12.5"},
		{"zeros of a format", "value", styled{Value: 319, Code: "0000"}, "0319"},
		{"a percent stays one", "risk_new_pct", styled{Value: 0.05, Code: "0%"}, "5%"},
		{"a tick in a column of yes and no", "imported", true, "yes"},
		{"no tick in a column of yes and no", "Imported", false, "no"},
		{"a tick elsewhere", "mileage", true, "TRUE"},
		{"no tick elsewhere", "mileage", false, "FALSE"},
		{"a formula by its saved result", "cost", formula("A1*2", "24991"), "24991"},
		{"a formula that ends in nothing", "note", saved(` t="str"><f>A1</f><v></v>`), ""},
		{"a formula that ends in truth", "imported", saved(` t="b"><f>A1</f><v>1</v>`), "yes"},
		{"a day written out", "listed", saved(` t="d"><v>2026-03-09T00:00:00</v>`), "2026-03-09"},
		{"text of several fonts", "note", saved(` t="inlineStr"><is><r><t>two </t></r><r><t>fonts</t></r></is>`), "two fonts"},
		{"a formula that ends in text", "note", saved(` t="str"><f>A1</f><v>ab</v>`), "ab"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := sheetText(t, workbookOf(t, sheetRows{Name: "s", Rows: [][]any{{tc.column, "x"}, {tc.cell, "."}}}), "s")
			_, got, _ := strings.Cut(string(f.Body), "\n")
			if want := tc.want + ",.\n"; got != want {
				t.Errorf("got %q; want %q", got, want)
			}
			if len(f.Refused) > 0 {
				t.Errorf("refused: %v", f.Refused)
			}
		})
	}
}

func TestDaysFrom1904(t *testing.T) {
	f := excelize.NewFile()
	on := true
	if err := errors.Join(f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &on}),
		f.SetSheetRow("Sheet1", "A1", &[]any{"listed", "x"}), f.SetSheetRow("Sheet1", "A2", &[]any{46090 - 1462, "."})); err != nil {
		t.Fatal(err)
	}
	style, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := errors.Join(f.SetCellStyle("Sheet1", "A2", "A2", style), f.Write(&out)); err != nil {
		t.Fatal(err)
	}
	if got := string(sheetText(t, out.Bytes(), "Sheet1").Body); got != "listed,x\n2026-03-09,.\n" {
		t.Errorf("got %q", got)
	}
}

func TestRowsOfASheet(t *testing.T) {
	head := []any{"stock_id", "note"}
	t.Run("empty rows are left out and the others keep their numbers", func(t *testing.T) {
		f := sheetText(t, workbookOf(t, sheetRows{Name: "s", Rows: [][]any{{}, head, {}, {"V1", "two\nlines"}, {" ", nil}, {"V2"}}}), "s")
		if got, want := string(f.Body), "stock_id,note\nV1,\"two\nlines\"\nV2,\n"; got != want {
			t.Errorf("got %q; want %q", got, want)
		}
		if want := []int{2, 4, 4, 6}; !slices.Equal(f.Rows, want) {
			t.Errorf("got rows %v; want %v", f.Rows, want)
		}
	})
	t.Run("cells beyond the header are left out and said", func(t *testing.T) {
		f := sheetText(t, workbookOf(t, sheetRows{Name: "s", Rows: [][]any{head, {"V1", "a", "b", "c"}}}), "s")
		if got, want := string(f.Body), "stock_id,note\nV1,a\n"; got != want {
			t.Errorf("got %q; want %q", got, want)
		}
		if want := "cells to the right of the last header were left out: 2, the first in row 2"; f.Remark != want {
			t.Errorf("got %q; want %q", f.Remark, want)
		}
	})
	t.Run("hidden rows and merged cells are read as they are", func(t *testing.T) {
		raw := workbookOf(t, sheetRows{Name: "s", Rows: [][]any{head, {"V1", "a"}, {"V2", "b"}}})
		f, err := excelize.OpenReader(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := errors.Join(f.SetRowVisible("s", 2, false), f.MergeCell("s", "A3", "B3"), f.Write(&out)); err != nil {
			t.Fatal(err)
		}
		if got, want := string(sheetText(t, out.Bytes(), "s").Body), "stock_id,note\nV1,a\nV2,\n"; got != want {
			t.Errorf("got %q; want %q", got, want)
		}
	})
	t.Run("an empty sheet is an empty table", func(t *testing.T) {
		if f := sheetText(t, workbookOf(t, sheetRows{Name: "s"}), "s"); len(f.Body) != 0 {
			t.Errorf("got %q", f.Body)
		}
	})
}

// A bomb of 200 MiB in some 200 KiB is turned away while it is unpacked, and a
// part that says it is smaller than it is does not get past.
func TestBombsAreTurnedAway(t *testing.T) {
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	w.RegisterCompressor(zip.Deflate, func(to io.Writer) (io.WriteCloser, error) { return flate.NewWriter(to, flate.BestSpeed) })
	part, err := w.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	zeros := make([]byte, 1<<20)
	const most = 3 << 20
	for range 5 {
		if _, err := part.Write(zeros); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	err = new(Shelf).check(out.Bytes(), most)
	if err == nil || !strings.HasPrefix(err.Error(), "unpacks to more than 3 MiB") {
		t.Errorf("got %v", err)
	}
	if err := new(Shelf).check(out.Bytes(), maxUnpackedBytes); err != nil {
		t.Errorf("within the limit: %v", err)
	}
	// The size in the central directory, 4 bytes at offset 24 of its entry.
	lying := bytes.Clone(out.Bytes())
	at := bytes.Index(lying, []byte("PK\x01\x02"))
	copy(lying[at+24:], []byte{100, 0, 0, 0})
	if err := new(Shelf).check(lying, maxUnpackedBytes); err == nil || !strings.HasPrefix(err.Error(), "is damaged in its part") {
		t.Errorf("a part that lies about its size: got %v", err)
	}
}

// sheetOf replaces the sheet of a workbook with rows of XML.
func sheetOf(t *testing.T, rows string) []byte {
	t.Helper()
	return rewrite(t, workbookOf(t, sheetRows{Name: "vans", Rows: [][]any{{"stock_id"}}}), func(name string, part []byte) []byte {
		if strings.HasPrefix(name, "xl/worksheets/") {
			return []byte(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + rows + `</sheetData></worksheet>`)
		}
		return part
	})
}

// Of two rows with one number the library would keep one.
func TestTwoRowsOfOneNumberAreTurnedAway(t *testing.T) {
	cell := func(at, text string) string {
		return `<c r="` + at + `" t="inlineStr"><is><t>` + text + `</t></is></c>`
	}
	head := `<row r="1">` + cell("A1", "stock_id") + `</row>`
	for name, rows := range map[string]string{
		"side by side": `<row r="2">` + cell("A2", "V1") + `</row><row r="2">` + cell("A2", "V2") + `</row>`,
		"out of order": `<row r="3">` + cell("A3", "V1") + `</row><row r="2">` + cell("A2", "V2") + `</row>`,
		"other quotes": `<row r='2'>` + cell("A2", "V1") + `</row><row  spans="1:1"  r='2' >` + cell("A2", "V2") + `</row>`,
	} {
		if _, err := new(Shelf).Open("w.xlsx", sheetOf(t, head+rows)); err == nil || !strings.Contains(err.Error(), "so that one of them would be lost") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := new(Shelf).Open("w.xlsx", sheetOf(t, head+`<row r="2">`+cell("A2", "V1")+`</row><row>`+cell("A3", "V2")+`</row>`)); err != nil {
		t.Errorf("rows in order: %v", err)
	}
}

// Of two cells in one place the library would keep one, and what follows the sheet's
// end it would not look at.
func TestCellsOutOfPlaceAreTurnedAway(t *testing.T) {
	cell := func(at, text string) string {
		return `<c r="` + at + `" t="inlineStr"><is><t>` + text + `</t></is></c>`
	}
	head := `<row r="1">` + cell("A1", "stock_id") + cell("B1", "note") + `</row>`
	for _, tc := range []struct{ name, rows, want string }{
		{"one place twice", `<row r="2">` + cell("A2", "V1") + cell("A2", "V2") + `</row>`, "has the cell A2 where a cell to the right of it was expected"},
		{"right to left", `<row r="2">` + cell("B2", "x") + cell("A2", "V2") + `</row>`, "has the cell A2 where a cell to the right of it was expected"},
		{"in another row", `<row r="2">` + cell("A1", "V1") + `</row>`, "has the cell A1 in row 2 of"},
		{"no number", `<row r="2">` + cell("A", "V1") + `</row>`, `has a cell without a place, "A"`},
		{"after the end", `</sheetData></worksheet><row r="2">` + cell("A2", "V1") + `</row>`, "goes on after the end of its sheet"},
	} {
		if _, err := new(Shelf).Open("w.xlsx", sheetOf(t, head+tc.rows)); err == nil || !strings.Contains(err.Error(), tc.want) {
			t.Errorf("%s: %v; want %s", tc.name, err, tc.want)
		}
	}
}

// Small workbooks that would take gigabytes are turned away before the library
// builds anything: at most 64 MiB are allocated for any of them.
func TestMonstersAreTurnedAwayForLittle(t *testing.T) {
	var wide, deep strings.Builder
	for i := range 30_000 {
		fmt.Fprintf(&wide, `<row r="%d"><c r="XFD%d"><v>1</v></c></row>`, i+1, i+1)
	}
	deep.WriteString(`<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>`)
	shared := rewrite(t, workbookOf(t, sheetRows{Name: "vans", Rows: [][]any{{"stock_id"}}}), func(name string, part []byte) []byte {
		if name == "xl/sharedStrings.xml" {
			return []byte(`<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">` + strings.Repeat("<si/>", 5_000_000) + "</sst>")
		}
		return part
	})
	for name, raw := range map[string][]byte{
		"one value in the last column of 30,000 rows": sheetOf(t, wide.String()), "the last cell of the last row": sheetOf(t, deep.String()), "five million shared texts": shared,
		"300,000 texts within their cells":         sheetOf(t, "<row>"+strings.Repeat(`<c t="inlineStr"><is><t>x</t></is></c>`, 301_000)+"</row>"),
		"a million and more cells without a place": sheetOf(t, "<row>"+strings.Repeat("<c/>", 1_100_000)+"</row>"),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := new(Shelf).Open("w.xlsx", raw)
		runtime.ReadMemStats(&after)
		took := (after.TotalAlloc - before.TotalAlloc) >> 20
		t.Logf("%s: %d KiB packed, %d MiB allocated, %v", name, len(raw)>>10, took, err)
		if err == nil || !strings.Contains(err.Error(), "keep large tables as CSV") || took > 64 {
			t.Errorf("%s: %d MiB allocated, %v", name, took, err)
		}
	}
}

// The bounds are those of all workbooks of a yard together.
func TestManyWorkbooksAreHeldToTheBoundsOfOne(t *testing.T) {
	raw := sheetOf(t, strings.Repeat("<row><c/><c/><c/><c/><c/></row>", 50_000))
	var shelf Shelf
	for i := range 2 {
		if _, err := shelf.Open("w.xlsx", raw); err != nil {
			t.Fatalf("workbook %d: %v", i+1, err)
		}
	}
	if _, err := shelf.Open("third.xlsx", raw); err == nil || !strings.HasPrefix(err.Error(), "third.xlsx holds, with the workbooks before it, more than 600000 cells") {
		t.Errorf("the third: %v", err)
	}
}
