package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"github.com/vanwright/vanwright/cmd/internal/sample/demo"
)

// asWorkbook turns the CSV files of a yard into the sheets of one workbook, as
// somebody would who opens them in a spreadsheet: numbers as numbers and days
// as days under a date format, if they read the same again; each row where its
// line was.
func asWorkbook(t *testing.T, yard fs.FS) []byte {
	t.Helper()
	names, err := fs.Glob(yard, "*.csv")
	if err != nil || len(names) < 4 {
		t.Fatalf("found %v: %v", names, err)
	}
	f := excelize.NewFile()
	defer f.Close()
	code := "dd/mm/yyyy"
	day, err := f.NewStyle(&excelize.Style{CustomNumFmt: &code})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		sheet := strings.TrimSuffix(name, ".csv")
		if _, err := f.NewSheet(sheet); err != nil {
			t.Fatal(err)
		}
		content, err := fs.ReadFile(yard, name)
		if err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(bytes.NewReader(content))
		r.FieldsPerRecord = -1
		for {
			cells, err := r.Read()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			line, _ := r.FieldPos(0)
			for i, text := range cells {
				at, err := excelize.CoordinatesToCellName(i+1, line)
				if err != nil {
					t.Fatal(err)
				}
				if err := putCell(f, sheet, at, text, day); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	var out bytes.Buffer
	if err := errors.Join(f.DeleteSheet("Sheet1"), f.Write(&out)); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func putCell(f *excelize.File, sheet, at, text string, dayStyle int) error {
	if n, err := strconv.ParseFloat(text, 64); err == nil && strconv.FormatFloat(n, 'f', -1, 64) == text {
		return f.SetCellValue(sheet, at, n)
	}
	if day, err := time.Parse(time.DateOnly, text); err == nil && day.Year() > 1950 {
		return errors.Join(f.SetCellValue(sheet, at, day), f.SetCellStyle(sheet, at, at, dayStyle))
	}
	if text == "" {
		return nil
	}
	return f.SetCellStr(sheet, at, text)
}

// reportsOf runs a yard and returns its reports by name.
func reportsOf(t *testing.T, yard string) map[string]string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "reports")
	var stdout, stderr bytes.Buffer
	if code := execute([]string{"run", "--yard", yard, "--out", dir, "--as-of", demo.AsOf.String(), "--quiet"}, &stdout, &stderr); code != 0 {
		t.Fatalf("run: exit status %d\n%s", code, stderr.String())
	}
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		files[filepath.ToSlash(name)] = string(content)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

var (
	sheetName = regexp.MustCompile(`yard\.xlsx\\?/([a-z]+)`)
	ofFile    = regexp.MustCompile(`"(size|sha256)": [^\n]*`)
)

// A yard kept as one workbook gives the reports that its tables give as CSV
// files, byte for byte, but for the names of the tables and the digest of the
// file they were read from.
func TestOneWorkbookGivesTheSameReports(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the whole demo twice")
	}
	plain, sheets := t.TempDir(), t.TempDir()
	if err := demo.Write(plain); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(sheets, "yard.xlsx"), asWorkbook(t, demo.Files()), 0o644); err != nil {
		t.Fatal(err)
	}
	policy, err := os.ReadFile(filepath.Join(plain, "policy.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(sheets, "policy.yaml"), policy, 0o644); err != nil {
		t.Fatal(err)
	}
	want, got := reportsOf(t, plain), reportsOf(t, sheets)
	if len(want) < 50 || len(got) != len(want) {
		t.Fatalf("got %d reports; want %d, and 50 at least", len(got), len(want))
	}
	if want["margin/margin.xlsx"] == "" {
		t.Error("no margin workbook")
	}
	named := 0
	for name, content := range want {
		mine := sheetName.ReplaceAllString(got[name], "$1.csv")
		if mine != got[name] {
			named++
		}
		if name == "run.json" {
			content, mine = ofFile.ReplaceAllString(content, ""), ofFile.ReplaceAllString(mine, "")
		}
		if mine != content {
			t.Errorf("%s differs (-CSV +workbook):\n%.2000s", name, cmp.Diff(content, mine))
		}
	}
	if named < 3 {
		t.Errorf("only %d reports name a sheet: the test compares less than it says", named)
	}
	if !strings.Contains(got["rejects.csv"], "yard.xlsx/vans,") {
		t.Errorf("rejects.csv names no sheet:\n%.500s", got["rejects.csv"])
	}
}
