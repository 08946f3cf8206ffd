package data

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/vanwright/vanwright/data/internal/xlsx"
	"github.com/vanwright/vanwright/data/internal/xlsx/xlsxtest"
)

// Workbooks of the tests; see xlsxtest.
type (
	sheetRows = xlsxtest.Sheet
	styled    = xlsxtest.Styled
)

var (
	errorCell  = xlsxtest.ErrorCell
	formula    = xlsxtest.Formula
	workbookOf = xlsxtest.WorkbookOf
	rewrite    = xlsxtest.Rewrite
)

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
			"V1,Aldmoor,Heron,overcab,2018-05-01,42000,ready,,,2,no,hob;oven\n" + // twice
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
		work = append(work, sheetRows{Name: strings.ToUpper(name[:1]) + strings.TrimSuffix(name[1:], ".csv"), Rows: cellsOf(t, content[name])})
	}
	delete(plain, "parts.csv") // a labour book goes with its parts; see TestBooksAsSheets
	work = slices.DeleteFunc(work, func(s sheetRows) bool { return s.Name == "Parts" })
	yard := fstest.MapFS{"yard.xlsx": {Data: workbookOf(t, work...)}}

	want, got := mustLoad(t, plain), mustLoad(t, yard)
	if len(want.Rejects) < 12 {
		t.Fatalf("only %d rejects: the check says little", len(want.Rejects))
	}
	for i := range got.Rejects {
		table := strings.ToLower(strings.TrimPrefix(got.Rejects[i].File, "yard.xlsx/")) + ".csv"
		got.Rejects[i].File = table
		got.Rejects[i].Expected = strings.ReplaceAll(got.Rejects[i].Expected, "yard.xlsx/Vans", "vans.csv")
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
	if _, err := Load(context.Background(), yard, LoadOptions{AsOf: asOf, Wanted: notSold}); err != nil {
		t.Errorf("unsold vans alone: %v", err)
	}
}

func TestCellsThatHoldNoValueAreRefused(t *testing.T) {
	head := cellsOf(t, vansHeader+",site\n")[0]
	van := func(id string, mileage, site any) []any {
		return []any{id, "Aldmoor", "Heron", "overcab", "2018-05-01", mileage, "ready", site, errorCell("#REF!")}
	}
	head = append(head, "my sums") // not a column of data/README.md: its errors are passed over
	y := mustLoad(t, fstest.MapFS{"vans.xlsx": {Data: workbookOf(t, sheetRows{Name: "March", Rows: [][]any{
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
		`vans.xlsx/March:4: column "mileage": "#N/A": expected ` + xlsx.WantNoError + `; also site: #DIV/0!: ` + xlsx.WantNoError + ` [mileage.cell]`,
		`vans.xlsx/March:5: column "mileage": "=1+1": expected ` + xlsx.WantResult + ` [mileage.cell]`,
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
	if _, err := LoadBooks(fstest.MapFS{"books.xlsx": {Data: workbookOf(t, sheetRows{Name: "parts", Rows: rows})}}); err != nil {
		t.Fatal(err)
	}
	rows[3][2] = "a lot"
	_, err = LoadBooks(fstest.MapFS{"books.xlsx": {Data: workbookOf(t, sheetRows{Name: "parts", Rows: rows})}})
	if err == nil || !strings.HasPrefix(err.Error(), `books.xlsx/parts:4: column "unit_cost": "a lot"`) {
		t.Errorf("got %v", err)
	}
}

func TestWorkbooksThatCannotBeRead(t *testing.T) {
	vans := cellsOf(t, vansHeader+"\n")
	good := workbookOf(t, sheetRows{Name: "vans", Rows: vans})
	long := []any{"stock_id"}
	for range xlsx.MaxColumns {
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
		{"a password", yardOf("yard.xlsx", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1........"+"E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00"), "yard.xlsx is locked with a password; save it without one"},
		{"an old workbook", yardOf("yard.xlsx", "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1........"), "yard.xlsx is an old spreadsheet workbook under a new ending; save it as .xlsx"},
		{"half a workbook", yardOf("yard.xlsx", string(good[:len(good)/2])), "yard.xlsx is cut short or damaged; take it from a backup"},
		{"a sheet of half an element", yardOf("yard.xlsx", string(rewrite(t, good, func(name string, part []byte) []byte {
			if strings.HasPrefix(name, "xl/worksheets/") {
				return part[:len(part)/2]
			}
			return part
		}))), "yard.xlsx is damaged and cannot be read; open it in a spreadsheet, save it again, or take it from a backup"},
		{"text that the workbook lacks", yardOf("yard.xlsx", string(rewrite(t, workbookOf(t, sheetRows{Name: "vans", Rows: [][]any{{"stock_id", "maker"}}}),
			func(_ string, part []byte) []byte {
				return bytes.ReplaceAll(part, []byte(`<v>1</v>`), []byte(`<v>9</v>`))
			}))),
			"yard.xlsx is damaged and cannot be read;"},
		{"a header without end", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{Name: "vans", Rows: [][]any{long}}))),
			"yard.xlsx/vans has a header of 301 columns; a table of the yard has at most 300"},
		{"a sheet that lacks a column", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{Name: "vans", Rows: [][]any{vans[0][1:]}}))),
			`yard.xlsx/vans lacks the required column "stock_id"`},
		{"an empty sheet", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{Name: "vans"}))), "yard.xlsx/vans is empty; expected a header line"},
		{"a file and a sheet", yardOf("vans.csv", vansHeader+"\n", "yard.xlsx", string(good)),
			"the table vans stands twice, in vans.csv and in yard.xlsx/vans; keep one of them"},
		{"two workbooks", yardOf("a.xlsx", string(good), "b.xlsx", string(good)),
			"the table vans stands twice, in a.xlsx/vans and in b.xlsx/vans; keep one of them"},
		{"two sheets", yardOf("a.xlsx", string(workbookOf(t, sheetRows{Name: "vans", Rows: vans}, sheetRows{Name: "Vans ", Rows: vans}))),
			"the table vans stands twice, in a.xlsx/vans and in a.xlsx/Vans ; keep one of them"},
		{"a table among other sheets", yardOf("vans.xlsx", string(workbookOf(t, sheetRows{Name: "a", Rows: vans}, sheetRows{Name: "b", Rows: vans}))),
			"vans.xlsx has 2 sheets and none is named vans; name the one that holds the table vans"},
		{"no table of vans", yardOf("yard.xlsx", string(workbookOf(t, sheetRows{Name: "van", Rows: vans}))),
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

func TestSheetsThatAreNoTablesAreSaid(t *testing.T) {
	y := mustLoad(t, yardOf("vans.csv", vansHeader+"\n", "more.xlsx", string(workbookOf(t,
		sheetRows{Name: "sale", Rows: nil}, sheetRows{Name: "my notes", Rows: nil})), "~$more.xlsx", "the mark of an open workbook"))
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
	good := workbookOf(f, sheetRows{Name: "vans", Rows: [][]any{head, {"V1", "Aldmoor", "Heron", "overcab", styled{Value: 43221, Code: "dd/mm/yyyy"}, 42000, "ready"},
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
		y := loadWorkbook(t, workbookOf(t, sheetRows{Name: "vans", Rows: rows}))
		if y == nil || y.Inputs[0].Read != want {
			t.Fatalf("got %+v; want %d rows", y, want)
		}
	})
}
