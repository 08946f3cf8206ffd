package csvout

import (
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

type row struct {
	word   string
	value  string
	words  []string
	money  data.Money
	opt    data.Opt[data.Money]
	hours  decimal.Decimal
	pct    data.Opt[decimal.Decimal]
	count  int
	days   data.Opt[int]
	date   data.Date
	moment time.Time
}

var everyKind = New("every-kind.csv", []string{"word"},
	Text("word", func(r row) string { return r.word }),
	Value("value", func(r row) string { return r.value }),
	List("words", func(r row) []string { return r.words }),
	Money("money", func(r row) data.Money { return r.money }),
	OptMoney("opt_money", func(r row) data.Opt[data.Money] { return r.opt }),
	Decimal("hours", 2, func(r row) decimal.Decimal { return r.hours }),
	OptDecimal("pct", 1, func(r row) data.Opt[decimal.Decimal] { return r.pct }),
	Int("count", func(r row) int { return r.count }),
	OptInt("days", func(r row) data.Opt[int] { return r.days }),
	Date("date", func(r row) data.Date { return r.date }),
	Moment("moment", func(r row) time.Time { return r.moment }),
)

func pounds(s string) data.Money { return decimal.RequireFromString(s) }

func TestEveryKindOfColumn(t *testing.T) {
	rows := []row{
		{
			word: "damp, nearside \"low\"", value: "-12.50", words: []string{"gas", "damp; old", "tyres"},
			money: pounds("-12.5"), opt: data.Some(pounds("12495")), hours: pounds("1.25"), pct: data.Some(pounds("-3.14")),
			count: -7, days: data.Some(0), date: data.NewDate(2026, 3, 9),
			moment: time.Date(2026, 3, 9, 8, 30, 59, 0, time.FixedZone("local", 3600)),
		},
		{word: "nothing known"},
		{word: "=1+1", value: "-a", words: []string{"-1", "-2"}},
	}
	want := `word,value,words,money,opt_money,hours,pct,count,days,date,moment
"damp, nearside ""low""",-12.50,"gas;damp, old;tyres",-12.50,12495.00,1.25,-3.1,-7,0,2026-03-09,2026-03-09 08:30
nothing known,,,0.00,,0.00,,0,,,
'=1+1,'-a,"'-1;-2",0.00,,0.00,,0,,,
`
	var got strings.Builder
	n, err := everyKind.Write(&got, slices.Values(rows))
	if err != nil || n != len(rows) {
		t.Fatalf("Write: %d rows, %v; want %d", n, err, len(rows))
	}
	if diff := cmp.Diff(got.String(), want); diff != "" {
		t.Errorf("(-got +want):\n%s", diff)
	}
}

func TestNoRowsStillHaveAHeader(t *testing.T) {
	var got strings.Builder
	n, err := everyKind.Write(&got, slices.Values([]row(nil)))
	if err != nil || n != 0 {
		t.Fatalf("Write: %d rows, %v", n, err)
	}
	if want := strings.Join(everyKind.Header(), ",") + "\n"; got.String() != want {
		t.Errorf("got %q, want %q", got.String(), want)
	}
}

func TestBlankOnlyCellIsStillARow(t *testing.T) {
	words := New("words.csv", nil, Text("word", func(s string) string { return s }))
	var got strings.Builder
	if _, err := words.Write(&got, slices.Values([]string{"", "a", ""})); err != nil {
		t.Fatal(err)
	}
	back, err := ReadBack(strings.NewReader(got.String()))
	if err != nil || len(back) != 3 {
		t.Fatalf("%q read back: %d rows, %v; want 3", got.String(), len(back), err)
	}
}

func TestWriteSaysWhichReportFailed(t *testing.T) {
	// Enough rows for several writes.
	rows := make([]row, 20_000)
	for room := range 3 {
		n, err := everyKind.Write(&fullDisk{room}, slices.Values(rows))
		if !errors.Is(err, errFull) || !strings.Contains(err.Error(), "every-kind.csv") || n == len(rows) {
			t.Errorf("disk full after %d writes: %d rows, %v", room, n, err)
		}
	}
	if _, err := everyKind.Write(&fullDisk{}, slices.Values(rows[:1])); !errors.Is(err, errFull) {
		t.Errorf("disk full at the end: %v", err)
	}
}

var errFull = errors.New("disk full")

// fullDisk takes a number of writes and no more.
type fullDisk struct{ room int }

func (d *fullDisk) Write(p []byte) (int, error) {
	if d.room == 0 {
		return 0, errFull
	}
	d.room--
	return len(p), nil
}

func TestNewRefusesAProgrammersMistake(t *testing.T) {
	column := func(name string) Column[string] { return Text(name, func(s string) string { return s }) }
	tests := []struct {
		name    string
		key     []string
		columns []Column[string]
	}{
		{"no column", nil, nil},
		{"a name with a comma", nil, []Column[string]{column("a,b")}},
		{"a name in capitals", nil, []Column[string]{column("Stock")}},
		{"no name", nil, []Column[string]{column("")}},
		{"a name twice", nil, []Column[string]{column("a"), column("b"), column("a")}},
		{"a key that is no column", []string{"b"}, []Column[string]{column("a")}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("New went through")
				}
			}()
			New("x.csv", tt.key, tt.columns...)
		})
	}
}

func TestPlainNumber(t *testing.T) {
	for s, want := range map[string]bool{
		"0": true, "-12.50": true, "007": true, "3.0": true,
		"": false, "-": false, "+1": false, "1.": false, ".5": false, "1.2.3": false, "--1": false,
		"1e9": false, "-1-1": false, "1,000": false, " 1": false, "-1\n": false, "１": false, "0x1F": false,
	} {
		if got := plainNumber(s); got != want {
			t.Errorf("plainNumber(%q) = %v, want %v", s, got, want)
		}
	}
}

func TestReadBackIsLenient(t *testing.T) {
	tests := []struct {
		name, text string
		want       []string // of the columns stock_id|price in each row
	}{
		{"as written", "stock_id,price\nA1,10.00\nB2,\n", []string{"A1|10.00", "B2|"}},
		{"harmless prefix", "stock_id,price\n'=1+1,'plain\n''=1,'\n", []string{"=1+1|'plain", "'=1|'"}},
		{"byte order mark and CRLF", "\ufeffstock_id,price\r\nA1,10\r\n", []string{"A1|10"}},
		{"byte order mark before a quote", "\ufeff\"stock_id\",price\nA1,10\n", []string{"A1|10"}},
		{"capitals and spaces in the header", " Stock_ID ,PRICE\nA1,10\n", []string{"A1|10"}},
		{"columns in another order, one more", "price,x,stock_id\n10,?,A1\n", []string{"A1|10"}},
		{"a column that did not exist then", "stock_id\nA1\n", []string{"A1|"}},
		{"rows too short and too long", "stock_id,price\nA1\nB2,10,11\n", []string{"A1|", "B2|10"}},
		{"a stray double quote", "stock_id,price\nA\"1,10\n", []string{"A\"1|10"}},
		{"line break within a field", "stock_id,price\n\"A\n1\",10\n", []string{"A\n1|10"}},
		{"header only", "stock_id,price\n", nil},
		{"no text", "", nil},
		{"a column twice: the first counts", "stock_id,price,price\nA1,1,2\n", []string{"A1|1"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			records, err := ReadBack(strings.NewReader(tt.text))
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, r := range records {
				got = append(got, r.Get("stock_id")+"|"+r.Get("price"))
			}
			if diff := cmp.Diff(got, tt.want); diff != "" {
				t.Errorf("(-got +want):\n%s", diff)
			}
		})
	}
}

func TestReadBackTellsBlankFromAbsent(t *testing.T) {
	records, err := ReadBack(strings.NewReader("stock_id,price\nA1,\n"))
	if err != nil || len(records) != 1 {
		t.Fatal(records, err)
	}
	if r := records[0]; !r.Has("price") || r.Has("max_bid") {
		t.Errorf("Has: price %v, max_bid %v", r.Has("price"), r.Has("max_bid"))
	}
}

func TestReadBackGivesTheRowsBeforeAnError(t *testing.T) {
	for _, text := range []string{"", "a,", "a,b\n1,2\n3"} {
		broken := io.MultiReader(strings.NewReader(text), iotest.ErrReader(errFull))
		records, err := ReadBack(broken)
		if !errors.Is(err, errFull) {
			t.Errorf("a reader that fails after %q: %v", text, err)
		}
		if want := strings.Count(text, "2\n"); len(records) != want {
			t.Errorf("a reader that fails after %q: %d rows, want %d", text, len(records), want)
		}
	}
}
