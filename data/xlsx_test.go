package data

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
)

// sheetRows is one sheet to be: a cell is any Go value, or one of the cells
// below.
type sheetRows struct {
	name string
	rows [][]any
}

// styled is a value under a number format.
type styled struct {
	value any
	code  string
}

// saved is a cell as a spreadsheet program saves it, from its attributes on,
// for what the library does not write itself.
type saved string

func errorCell(text string) saved { return saved(` t="e"><f>A1</f><v>` + text + `</v>`) }

// formula is a formula with its saved result, a number; blank: none is saved.
func formula(text, result string) saved {
	if result == "" {
		return saved(`><f>` + text + `</f>`)
	}
	return saved(`><f>` + text + `</f><v>` + result + `</v>`)
}

// workbookOf builds a workbook in memory.
func workbookOf(t testing.TB, sheets ...sheetRows) []byte {
	t.Helper()
	f := excelize.NewFile()
	var asSaved []saved
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	for _, s := range sheets {
		_, err := f.NewSheet(s.name)
		must(err)
		for i, row := range s.rows {
			for j, cell := range row {
				at, err := excelize.CoordinatesToCellName(j+1, i+1)
				must(err)
				switch c := cell.(type) {
				case nil:
				case string:
					must(f.SetCellStr(s.name, at, c))
				case styled:
					must(f.SetCellValue(s.name, at, c.value))
					style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &c.code})
					must(err)
					must(f.SetCellStyle(s.name, at, at, style))
				case saved:
					must(f.SetCellDefault(s.name, at, fmt.Sprintf("<%d>", len(asSaved))))
					asSaved = append(asSaved, c)
				default:
					must(f.SetCellValue(s.name, at, c))
				}
			}
		}
	}
	must(f.DeleteSheet("Sheet1"))
	var out bytes.Buffer
	must(f.Write(&out))
	return rewrite(t, out.Bytes(), func(name string, part []byte) []byte {
		if strings.HasPrefix(name, "xl/worksheets/") {
			for i, c := range asSaved {
				mark := fmt.Sprintf(` t="inlineStr"><is><t>&lt;%d&gt;</t></is>`, i)
				part = bytes.Replace(part, []byte(mark), []byte(c), 1)
			}
		}
		return part
	})
}

// rewrite changes the parts of an archive; a part of nil is left out.
func rewrite(t testing.TB, archive []byte, change func(name string, part []byte) []byte) []byte {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, p := range z.File {
		r, err := p.Open()
		if err != nil {
			t.Fatal(err)
		}
		part, err := io.ReadAll(r)
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

// sheetText reads a sheet as the CSV reader is given it.
func sheetText(t testing.TB, raw []byte, sheet string) *file {
	t.Helper()
	b, err := openWorkbook(fstest.MapFS{"w.xlsx": {Data: raw}}, "w.xlsx", true)
	if err != nil {
		t.Fatal(err)
	}
	f, err := b.read(sheet)
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
		{"a number shown as money is the number", "cost", styled{12495.5, `"£"#,##0.00`}, "12495.5"},
		{"a number shown as red money is the number", "cost", styled{-12.5, `#,##0.00;[Red]-#,##0.00`}, "-12.5"},
		{"a day", "listed", day, "2026-03-09"},
		{"a day, day first", "listed", styled{46090, "dd/mm/yyyy"}, "2026-03-09"},
		{"a day of another language", "listed", styled{46090, "[$-809]dd mmmm yyyy;@"}, "2026-03-09"},
		{"a day by month and year", "listed", styled{46090, "mmm-yy"}, "2026-03-09"},
		{"a day and a time", "listed", styled{46090.75, "yyyy-mm-dd hh:mm"}, "2026-03-09"},
		{"a day a hair short of itself", "listed", styled{46089.9999999999, "dd/mm/yyyy"}, "2026-03-09"},
		{"the day of the standard's example", "listed", styled{39448, "dd/mm/yyyy"}, "2008-01-01"},
		{"a serial number that is no day", "listed", styled{-1, "dd/mm/yyyy"}, "-1"},
		{"the day that never was", "listed", styled{60, "dd/mm/yyyy"}, "1900-02-29"},
		{"the first days", "listed", styled{1, "dd/mm/yyyy"}, "1900-01-01"},
		{"a time of day is no day", "value", styled{0.5, "hh:mm"}, "0.5"},
		{"a unit in the format is no day", "value", styled{12.5, `0.0" days"`}, "12.5"},
		{"zeros of a format", "value", styled{319, "0000"}, "0319"},
		{"a percent stays one", "risk_new_pct", styled{0.05, "0%"}, "5%"},
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
			f := sheetText(t, workbookOf(t, sheetRows{"s", [][]any{{tc.column, "x"}, {tc.cell, "."}}}), "s")
			_, got, _ := strings.Cut(string(f.body), "\n")
			if want := tc.want + ",.\n"; got != want {
				t.Errorf("got %q; want %q", got, want)
			}
			if len(f.sheet.refused) > 0 {
				t.Errorf("refused: %v", f.sheet.refused)
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
	if got := string(sheetText(t, out.Bytes(), "Sheet1").body); got != "listed,x\n2026-03-09,.\n" {
		t.Errorf("got %q", got)
	}
}

func TestRowsOfASheet(t *testing.T) {
	head := []any{"stock_id", "note"}
	t.Run("empty rows are left out and the others keep their numbers", func(t *testing.T) {
		f := sheetText(t, workbookOf(t, sheetRows{"s", [][]any{{}, head, {}, {"V1", "two\nlines"}, {" ", nil}, {"V2"}}}), "s")
		if got, want := string(f.body), "stock_id,note\nV1,\"two\nlines\"\nV2,\n"; got != want {
			t.Errorf("got %q; want %q", got, want)
		}
		if want := []int{2, 4, 4, 6}; !slices.Equal(f.sheet.rows, want) {
			t.Errorf("got rows %v; want %v", f.sheet.rows, want)
		}
	})
	t.Run("cells beyond the header are left out and said", func(t *testing.T) {
		f := sheetText(t, workbookOf(t, sheetRows{"s", [][]any{head, {"V1", "a", "b", "c"}}}), "s")
		if got, want := string(f.body), "stock_id,note\nV1,a\n"; got != want {
			t.Errorf("got %q; want %q", got, want)
		}
		if want := "cells to the right of the last header were left out: 2, the first in row 2"; f.sheet.warning != want {
			t.Errorf("got %q; want %q", f.sheet.warning, want)
		}
	})
	t.Run("hidden rows and merged cells are read as they are", func(t *testing.T) {
		raw := workbookOf(t, sheetRows{"s", [][]any{head, {"V1", "a"}, {"V2", "b"}}})
		f, err := excelize.OpenReader(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := errors.Join(f.SetRowVisible("s", 2, false), f.MergeCell("s", "A3", "B3"), f.Write(&out)); err != nil {
			t.Fatal(err)
		}
		if got, want := string(sheetText(t, out.Bytes(), "s").body), "stock_id,note\nV1,a\nV2,\n"; got != want {
			t.Errorf("got %q; want %q", got, want)
		}
	})
	t.Run("an empty sheet is an empty table", func(t *testing.T) {
		if f := sheetText(t, workbookOf(t, sheetRows{name: "s"}), "s"); len(f.body) != 0 {
			t.Errorf("got %q", f.body)
		}
	})
}

// cellsOf turns CSV text into the rows of a sheet, all text.
func cellsOf(t testing.TB, text string) [][]any {
	t.Helper()
	r := csv.NewReader(strings.NewReader(text))
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := make([][]any, len(all))
	for i, cells := range all {
		for _, c := range cells {
			rows[i] = append(rows[i], c)
		}
	}
	return rows
}

// A yard with an error of each kind, in CSV and as the sheets of one workbook:
// the same records, the same rejects.
func TestSheetsAreReadAsCSV(t *testing.T) {
	content := map[string]string{
		"vans.csv": vansHeader + ",asking,sold_on,keepers,imported,equipment\n" +
			"V1,Aldmoor,Heron,overcab,2018-05-01,42000,ready,,,2,no,hob;oven\n" +
			"V2,Aldmoor,Heron,barge,2018-05-01,42000,owned,,,,,\n" + // not a word of the list
			"V3,,Heron,overcab,2018-05-01,42000,owned,,,,,\n" + // missing
			"V4,Aldmoor,Heron,overcab,2018-02-30,12k,owned,-5,,,,jacuzzi\n" + // four bad cells
			"V1,Aldmoor,Heron,overcab,2018-05-01,42000,ready,,,,,\n" + // twice
			"V5,Aldmoor,Heron,overcab,2030-05-01,42000,ready,,,,,\n" + // in the future
			"V6,Aldmoor,Heron,overcab,2018-05-01,99999999,ready,,,900,perhaps,\n", // out of range
		"readings.csv": "stock_id,taken_on,checkpoint,position,value,unit,verdict,note\n" +
			"V1,2026-02-01,tyre-tread,nearside-front,5.5,mm,,\n" +
			"V1,2026-02-01,tyre-tread,nearside-front,4,mm,,again\n" + // twice
			"V9,2026-02-01,tyre-tread,nearside-front,4,mm,,no such van\n" +
			"V2,2026-02-01,tyre-tread,nearside-front,4,mm,,a van that was refused\n" +
			"V1,2026-02-01,tyre-tred,nearside-front,4,mm,,\n" +
			"V1,2026-02-01,damp,offside-rear-low,17,mm,,wrong unit\n" +
			"V1,2026-02-01,awning,,,,,neither value nor verdict\n",
		"sales.csv": "sale_id,maker,model,body,first_registered,mileage,sold_on,sold_price\n" +
			"S1,Aldmoor,Heron,overcab,2016-05-01,42000,2025-05-01,30000\nS2,Aldmoor,Heron,overcab,2016-05-01,42000,2025-05-01,\n",
		"parts.csv": "part,title,unit_cost\nbulb,A bulb,2.50\n",
	}
	plain, work := fstest.MapFS{}, []sheetRows{}
	for _, name := range slices.Sorted(maps.Keys(content)) {
		plain[name] = &fstest.MapFile{Data: []byte(content[name])}
		work = append(work, sheetRows{strings.ToUpper(name[:1]) + strings.TrimSuffix(name[1:], ".csv"), cellsOf(t, content[name])})
	}
	delete(plain, "parts.csv") // a labour book goes with its parts; see TestBooksAsSheets
	work = slices.DeleteFunc(work, func(s sheetRows) bool { return s.name == "Parts" })
	yard := fstest.MapFS{"yard.xlsx": {Data: workbookOf(t, work...)}}

	want, got := mustLoad(t, plain), mustLoad(t, yard)
	if len(want.Rejects) < 12 {
		t.Fatalf("only %d rejects: the check says little", len(want.Rejects))
	}
	for i := range got.Rejects {
		table := strings.ToLower(strings.TrimPrefix(got.Rejects[i].File, "yard.xlsx/")) + ".csv"
		got.Rejects[i].File = table
	}
	if diff := cmp.Diff(want.Rejects, got.Rejects); diff != "" {
		t.Errorf("rejects (-CSV +sheet):\n%s", diff)
	}
	if len(got.Vans) != len(want.Vans) || len(got.Readings["V1"]) != len(want.Readings["V1"]) || len(got.Sales) != len(want.Sales) {
		t.Errorf("got %d vans, %d readings, %d sales; want %d, %d, %d", len(got.Vans), len(got.Readings["V1"]), len(got.Sales),
			len(want.Vans), len(want.Readings["V1"]), len(want.Sales))
	}
	sum := got.Inputs[0].SHA256
	for i, in := range got.Inputs {
		w := want.Inputs[i]
		if in.SHA256 != sum || in.Size != int64(len(yard["yard.xlsx"].Data)) {
			t.Errorf("%s: size or digest is not the workbook's", in.Name)
		}
		if in.Read != w.Read || in.Accepted != w.Accepted || in.Rejected != w.Rejected || in.Read != in.Accepted+in.Rejected {
			t.Errorf("%s: got %+v; want the counts of %+v", in.Name, in, w)
		}
	}
	if names := []string{got.Inputs[0].Name, got.Inputs[1].Name}; !slices.Equal(names, []string{"yard.xlsx/Vans", "yard.xlsx/Readings"}) {
		t.Errorf("got inputs %v", names)
	}
	if got.Vans[0].Source != (Source{File: "yard.xlsx/Vans", Line: 2}) {
		t.Errorf("got source %v", got.Vans[0].Source)
	}
	if _, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf, Unsold: true}); err != nil {
		t.Errorf("unsold vans alone: %v", err)
	}
}

func TestCellsThatHoldNoValueAreRefused(t *testing.T) {
	head := cellsOf(t, vansHeader+",site\n")[0]
	van := func(id string, mileage, site any) []any {
		return []any{id, "Aldmoor", "Heron", "overcab", "2018-05-01", mileage, "ready", site, errorCell("#REF!")}
	}
	head = append(head, "my sums") // not a column of the contract: its errors are nobody's business
	y := mustLoad(t, fstest.MapFS{"vans.xlsx": {Data: workbookOf(t, sheetRows{"March", [][]any{
		head, van("V1", 42000, "North"), {},
		van("V2", errorCell("#N/A"), errorCell("#DIV/0!")),
		van("V3", formula("1+1", ""), "North"),
		van("V4", true, "#N/A"), // text, if odd
	}})}})
	var got []string
	for _, r := range y.Rejects {
		got = append(got, r.String()+" ["+r.Rule+"]")
	}
	want := []string{
		`vans.xlsx/March:4: column "mileage": "#N/A": expected ` + wantNoError + `; also site: #DIV/0!: ` + wantNoError + ` [mileage.cell]`,
		`vans.xlsx/March:5: column "mileage": "=1+1": expected ` + wantResult + ` [mileage.cell]`,
		`vans.xlsx/March:6: column "mileage": "TRUE": expected a whole number from 0 to 999999 [mileage.number]`,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("rejects (-want +got):\n%s", diff)
	}
	if len(y.Vans) != 1 || y.Inputs[0].Name != "vans.xlsx/March" || y.Inputs[0].Rejected != 3 {
		t.Errorf("got %d vans and %+v", len(y.Vans), y.Inputs[0])
	}
}

func TestBooksAsSheets(t *testing.T) {
	parts, err := builtIn.ReadFile("books/parts.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows := cellsOf(t, string(parts))
	if _, err := LoadBooks(fstest.MapFS{"books.xlsx": {Data: workbookOf(t, sheetRows{"parts", rows})}}); err != nil {
		t.Fatal(err)
	}
	rows[3][2] = "a lot"
	_, err = LoadBooks(fstest.MapFS{"books.xlsx": {Data: workbookOf(t, sheetRows{"parts", rows})}})
	if err == nil || !strings.HasPrefix(err.Error(), `books.xlsx/parts:4: column "unit_cost": "a lot"`) {
		t.Errorf("got %v", err)
	}
}

func TestWorkbooksThatCannotBeRead(t *testing.T) {
	vans := cellsOf(t, vansHeader+"\n")
	good := workbookOf(t, sheetRows{"vans", vans})
	long := []any{"stock_id"}
	for range maxSheetColumns {
		long = append(long, "x")
	}
	for _, tc := range []struct {
		name string
		yard fstest.MapFS
		want string // how the error begins
	}{
		{"nothing at all", yardOf("yard.xlsx", ""), "yard.xlsx is empty, not a workbook"},
		{"a text", yardOf("yard.xlsx", "stock_id,maker\n"), "yard.xlsx is not a workbook, whatever its ending says; save the table as .xlsx or .csv"},
		{"an archive of nothing", yardOf("yard.xlsx", "PK\x05\x06"+strings.Repeat("\x00", 18)), "yard.xlsx is an empty zip archive, not a workbook"},
		{"another archive", yardOf("yard.xlsx", string(rewrite(t, good, func(name string, part []byte) []byte {
			if strings.HasPrefix(name, "xl/") {
				return nil
			}
			return part
		}))), "yard.xlsx "},
		{"a password", yardOf("yard.xlsx", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1........"+string(encrypted)), "yard.xlsx is locked with a password; save it without one"},
		{"an old workbook", yardOf("yard.xlsx", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1........"), "yard.xlsx is an old spreadsheet workbook under a new ending; save it as .xlsx"},
		{"half a workbook", yardOf("yard.xlsx", string(good[:len(good)/2])), "yard.xlsx is cut short or damaged; take it from a backup"},
		{"a sheet of half an element", yardOf("yard.xlsx", string(rewrite(t, good, func(name string, part []byte) []byte {
			if strings.HasPrefix(name, "xl/worksheets/") {
				return part[:len(part)/2]
			}
			return part
		}))), "yard.xlsx is damaged and cannot be read; open it in a spreadsheet, save it again, or take it from a backup"},
		{"text that the workbook lacks", yardOf("yard.xlsx", string(rewrite(t, workbookOf(t, sheetRows{"vans", [][]any{{"stock_id", "maker"}}}),
			func(_ string, part []byte) []byte {
				return bytes.ReplaceAll(part, []byte(`<v>1</v>`), []byte(`<v>9</v>`))
			}))),
			"yard.xlsx is damaged and cannot be read;"},
		{"a header without end", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{"vans", [][]any{long}}))),
			"yard.xlsx/vans has a header of 301 columns; a table of the yard has at most 300"},
		{"a sheet that lacks a column", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{"vans", [][]any{vans[0][1:]}}))),
			`yard.xlsx/vans lacks the required column "stock_id"`},
		{"an empty sheet", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{name: "vans"}))), "yard.xlsx/vans is empty; expected a header line"},
		{"a file and a sheet", yardOf("vans.csv", vansHeader+"\n", "yard.xlsx", string(good)),
			"the table vans stands twice, in vans.csv and in yard.xlsx/vans; keep one of them"},
		{"two workbooks", yardOf("a.xlsx", string(good), "b.xlsx", string(good)),
			"the table vans stands twice, in a.xlsx/vans and in b.xlsx/vans; keep one of them"},
		{"two sheets", yardOf("a.xlsx", string(workbookOf(t, sheetRows{"vans", vans}, sheetRows{"Vans ", vans}))),
			"the table vans stands twice, in a.xlsx/vans and in a.xlsx/Vans ; keep one of them"},
		{"a table among other sheets", yardOf("vans.xlsx", string(workbookOf(t, sheetRows{"a", vans}, sheetRows{"b", vans}))),
			"vans.xlsx has 2 sheets and none is named vans; name the one that holds the table vans"},
		{"no table of vans", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{"van", vans}))),
			`the yard has no vans.csv, the one file that is required; yard.xlsx: the sheet "van" is not named as a table and was left out; did you mean "vans"?`},
		{"a folder", fstest.MapFS{"yard.xlsx/x": {}}, "the yard has no vans.csv, the one file that is required"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if !strings.HasPrefix(tc.want, "the table vans stands twice, in vans.csv") {
				delete(tc.yard, "vans.csv") // which yardOf puts in
			}
			y, err := Load(context.Background(), tc.yard, LoadOptions{})
			if err == nil || !strings.HasPrefix(err.Error(), tc.want) || strings.Contains(err.Error(), "\n") || y != nil {
				t.Errorf("got %v, %v; want %q", y, err, tc.want)
			}
		})
	}
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
	err = checkArchive(out.Bytes(), most)
	if err == nil || !strings.HasPrefix(err.Error(), "unpacks to more than 3 MiB") {
		t.Errorf("got %v", err)
	}
	if err := checkArchive(out.Bytes(), maxUnpackedBytes); err != nil {
		t.Errorf("within the limit: %v", err)
	}
	// The size in the central directory, 4 bytes at offset 24 of its entry.
	lying := bytes.Clone(out.Bytes())
	at := bytes.Index(lying, []byte("PK\x01\x02"))
	copy(lying[at+24:], []byte{100, 0, 0, 0})
	if err := checkArchive(lying, maxUnpackedBytes); err == nil || !strings.HasPrefix(err.Error(), "is damaged in its part") {
		t.Errorf("a part that lies about its size: got %v", err)
	}
}

func TestSheetsThatAreNoTablesAreSaid(t *testing.T) {
	y := mustLoad(t, yardOf("vans.csv", vansHeader+"\n", "more.xlsx", string(workbookOf(t,
		sheetRows{"sale", nil}, sheetRows{"my notes", nil})), "~$more.xlsx", "the mark of an open workbook"))
	for _, want := range []string{
		`more.xlsx: the sheet "sale" is not named as a table and was left out; did you mean "sales"?`,
		`more.xlsx: the sheet "my notes" is not named as a table and was left out`,
	} {
		if !slices.Contains(y.Warnings, want) {
			t.Errorf("no warning %q among\n%s", want, strings.Join(y.Warnings, "\n"))
		}
	}
}

// loadWorkbook reads bytes as the one workbook of a yard.
func loadWorkbook(t *testing.T, raw []byte) *Yard {
	t.Helper()
	fsys := smallBooks() // the built-in ones take most of the time
	fsys["vans.xlsx"] = &fstest.MapFile{Data: raw}
	y, err := Load(context.Background(), fsys, LoadOptions{AsOf: asOf})
	switch {
	case err != nil && (strings.Contains(err.Error(), "do not add up") || !strings.HasPrefix(err.Error(), "vans.xlsx")):
		t.Fatal(err)
	case err != nil:
		return nil
	}
	last := 0
	for _, r := range y.Rejects {
		if r.Line <= last || r.Rule == "" || r.Expected == "" {
			t.Fatalf("after row %d: %+v", last, r)
		}
		last = r.Line
	}
	return y
}

// Any bytes as the parts of a workbook: no panic, and one sentence where it
// cannot be read.
func FuzzReadWorkbook(f *testing.F) {
	head := cellsOf(f, vansHeader+"\n")[0]
	good := workbookOf(f, sheetRows{"vans", [][]any{head, {"V1", "Aldmoor", "Heron", "overcab", styled{43221, "dd/mm/yyyy"}, 42000, "ready"},
		{"V2", true, errorCell("#N/A"), formula("1+1", "2"), formula("1+1", "")}}})
	const sheet, shared, looks = "xl/worksheets/sheet2.xml", "xl/sharedStrings.xml", "xl/styles.xml"
	parts := map[string][]byte{}
	rewrite(f, good, func(name string, part []byte) []byte { parts[name] = part; return part })
	if parts[sheet] == nil || parts[shared] == nil || parts[looks] == nil {
		f.Fatalf("no such parts among %v", slices.Sorted(maps.Keys(parts)))
	}
	f.Add(parts[sheet], parts[shared], parts[looks])
	for _, old := range []string{`t="s"`, `<v>1</v>`, `r="A1"`, `<row`, `s="1"`, `<sheetData>`} {
		f.Add(bytes.ReplaceAll(parts[sheet], []byte(old), []byte(`r="XFD9"`)), parts[shared], parts[looks])
	}
	f.Add(bytes.ReplaceAll(parts[sheet], []byte(`r="2"`), []byte(`r="1048576"`)), parts[shared], parts[looks])
	f.Fuzz(func(t *testing.T, a, b, c []byte) {
		loadWorkbook(t, stored(t, parts, map[string][]byte{sheet: a, shared: b, looks: c}))
	})
}

// stored packs the parts of a workbook, some of them others, without taking the
// time to compress them.
func stored(t testing.TB, parts, others map[string][]byte) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		part, changed := others[name]
		if !changed {
			part = parts[name]
		}
		to, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
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

// writable is what a workbook's writer makes of a character: XML has no way to
// write most of the control characters.
func writable(r rune) rune {
	if r < ' ' && r != '\t' && r != '\n' && r != '\r' && r != 0 {
		return utf8.RuneError
	}
	return r
}

// Any text as the cells of a sheet: every row that holds something is read, and
// is a record or a reject.
func FuzzReadSheetCells(f *testing.F) {
	head := cellsOf(f, vansHeader+"\n")[0]
	f.Add("V1|Aldmoor|Heron|overcab|2018-05-01|42000|ready\nV1|=1+1|#N/A\n\n\"|,|;\t\n |||\n\x00|_x0000_|_x005F_")
	f.Fuzz(func(t *testing.T, cells string) {
		rows := [][]any{head}
		want := 0
		for line := range strings.SplitSeq(cells, "\n") {
			var row []any
			full := false
			for i, c := range strings.Split(line, "|") {
				if len(c) > 2000 || len(rows) > 50 || i > 20 {
					t.Skip("longer than it helps")
				}
				c = strings.Map(writable, strings.ToValidUTF8(c, "?"))
				row = append(row, c)
				full = full || i < len(head) && strings.TrimSpace(c) != ""
			}
			if full {
				want++
			}
			rows = append(rows, row)
		}
		y := loadWorkbook(t, workbookOf(t, sheetRows{"vans", rows}))
		if y == nil || y.Inputs[0].Read != want {
			t.Fatalf("got %+v; want %d rows", y, want)
		}
	})
}
