package data

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"
)

func TestTableOfAnInput(t *testing.T) {
	for input, want := range map[string]string{
		"readings.csv":          "readings",
		"yard.xlsx/Vans":        "vans",
		"yard.xlsx/re adings":   "readings",
		"vans.xlsx/Sheet1":      "vans",
		"slips/A1/readings.csv": "readings",
		"policy.yaml":           "",
		"notes.csv":             "",
	} {
		if got := TableOf(input); got != want {
			t.Errorf("TableOf(%q) is %q, want %q", input, got, want)
		}
	}
}

// A file's name may hold an escape that works the terminal, or a line end that forges
// a line of the answer.
func TestFileNamesAreQuotedWhereTheyAreNotPlain(t *testing.T) {
	yard := fstest.MapFS{"vans.csv": {Data: []byte("stock_id,maker,model,body,first_registered,mileage,status\n")}}
	for _, name := range []string{"a\x1b[2J.csv", "b\nno problems.csv", "c\u202efdc.xlsx", "d\x7f.xlsx"} {
		yard[name] = &fstest.MapFile{Data: []byte("x\n")}
	}
	y, err := Load(context.Background(), yard, LoadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(y.Warnings, "")
	for _, r := range y.Rejects {
		text += r.String()
	}
	for _, c := range text {
		if c < ' ' || c == 0x7f || c == 0x202e {
			t.Errorf("%q in %q", c, text)
		}
	}
	for _, want := range []string{`"a\x1b[2J.csv":1: expected`, `"b\nno problems.csv":1: expected`, `"c\u202efdc.xlsx":1: expected`, `"d\x7f.xlsx":1: expected`} {
		if !strings.Contains(text, want) {
			t.Errorf("%q lacks %s", text, want)
		}
	}
}

// Pages are named after their vans, and a share may be Windows's.
func TestStockIDsThatWindowsCannotHold(t *testing.T) {
	const row = ",Larkfield,Rise 540,low-profile,2018-04-02,31000,offered\n"
	yard := fstest.MapFS{"vans.csv": {Data: []byte("stock_id,maker,model,body,first_registered,mileage,status\n" +
		"CON" + row + "nul" + row + "Com1" + row + "LPT9" + row + "CONE" + row + "COM10" + row)}}
	y, err := Load(context.Background(), yard, LoadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(y.Vans) != 2 || len(y.Rejects) != 4 || y.Rejects[0].Rule != "stock_id.device" {
		t.Errorf("%d vans; rejects %v", len(y.Vans), y.Rejects)
	}
}
