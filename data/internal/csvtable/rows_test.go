package csvtable

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// pairColumns are those of the tables below.
var pairColumns = []Column{{Name: "the_name", Required: true}, {Name: "note", Also: []string{"remark"}}}

// readPairs renders each row as "line: name|note" or "line: rule <row>".
func readPairs(t *testing.T, in string) []string {
	t.Helper()
	text, err := Decode([]byte(in))
	if err != nil {
		t.Fatal(err)
	}
	h, err := ReadHeader(text, pairColumns)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	rows := text.Rows(h, Span{Start: h.End, End: len(text.Body), Line: 1 + bytes.Count(text.Body[:h.End], []byte("\n"))}, 0)
	for row, ok := rows.Next(); ok; row, ok = rows.Next() {
		if row.Fault != nil {
			got = append(got, fmt.Sprintf("%d: %s <%s>", row.Line, row.Fault.Rule, text.Row(row)))
		} else {
			got = append(got, fmt.Sprintf("%d: %s|%s", row.Line, row.Cells[0], row.Cells[1]))
		}
	}
	return got
}

func TestRows(t *testing.T) {
	for _, tc := range []struct {
		name, in string
		want     []string
	}{
		{"plain rows", "the_name,note\na,1\nb,2\n", []string{"2: a|1", "3: b|2"}},
		{"no line end at the end", "the_name,note\na,1", []string{"2: a|1"}},
		{"Windows line ends", "the_name,note\r\na,1\r\nb,2\r\n", []string{"2: a|1", "3: b|2"}},
		{"no rows", "the_name,note\n", nil},
		{"header spelt its own way", "  The-NAME , Remark\na,1\n", []string{"2: a|1"}},
		{"byte order mark before a quoted header", "\uFEFF\"the name\",note\na,1\n", []string{"2: a|1"}},
		{"semicolons", "the_name;note\na;1,5\n", []string{"2: a|1,5"}},
		{"tabs", "the_name\tnote\na\t1;5\n", []string{"2: a|1;5"}},
		{"a comma in a quoted header does not count", "the_name;\"x,y,z,w\";note\na;;1\n", []string{"2: a|1"}},
		{"a spreadsheet's sep line", "sep=;\nthe_name;note\na;1\n", []string{"3: a|1"}},
		{"columns in another order, one unknown", "note,x,the_name\n1,?,a\n", []string{"2: a|1"}},
		{"a column that is not there reads as blank", "the_name\na\n", []string{"2: a|"}},
		{"blank lines keep line numbers true", "\n\nthe_name,note\n\na,1\n  \n\r\nb,2\n\n", []string{"5: a|1", "8: b|2"}},
		{"line breaks in quotes keep line numbers true", "the_name,note\na,\"1\n\n2\"\nb,3\n", []string{"2: a|1\n\n2", "5: b|3"}},
		{"doubled quotes", "the_name,note\na,\"a \"\"b\"\" c\"\n", []string{`2: a|a "b" c`}},
		{"rows of blank cells are passed over", "the_name,note\n,\n\"\", \na,1\n", []string{"4: a|1"}},
		{"a short row", "the_name,note\na\nb,2\n", []string{"2: row.columns <a>", "3: b|2"}},
		{"a long row", "the_name,note\na,1,2\r\nb,2\r\n", []string{"2: row.columns <a,1,2>", "3: b|2"}},
		{"a long row over two lines is one row", "the_name,note\na,\"1\n2\",3\nb,2\n", []string{"2: row.columns <a,\"1\n2\",3>", "4: b|2"}},
		{"a bare quote", "the_name,note\na,7\" screen\nb,2\n", []string{`2: row.quote <a,7" screen>`, "3: b|2"}},
		{"text after a closing quote", "the_name,note\n\"a\"x,1\nb,2\n", []string{`2: row.quote <"a"x,1>`, "3: b|2"}},
		{
			"an open quote takes no other row with it", "the_name,note\na,1\nb,\"2\nc,3\nd,4\n",
			[]string{"2: a|1", `3: row.quote <b,"2>`, "4: c|3", "5: d|4"},
		},
		{
			"an open quote before a quoted cell", "the_name,note\nb,\"2\nc,3\nd,\"4\"\ne,5\n",
			[]string{`2: row.quote <b,"2>`, "3: c|3", "4: d|4", "5: e|5"},
		},
		{
			"an open quote that an empty cell seems to close", "the_name,note\n\"b,2\nc,3\n\"\"x,4\n\",\"\ne,5\n",
			[]string{`2: row.quote <"b,2>`, "3: c|3", `4: row.quote <""x,4>`, `5: row.columns <",">`, "6: e|5"},
		},
		{"a cell of one quote is not blank", "the_name,note\n\"\"\"\",\n", []string{"2: \"|"}},
		{
			"an open quote on the last line", "the_name,note\na,1\nb,\"2", []string{"2: a|1", `3: row.quote <b,"2>`},
		},
		{
			"many open quotes", "the_name,note\nb,\"2\nc,\"3\nd,\"4\ne,5\n",
			[]string{`2: row.quote <b,"2>`, `3: row.quote <c,"3>`, `4: row.quote <d,"4>`, "5: e|5"},
		},
		{"a NUL byte", "the_name,note\na,1\x00\nb,2\n", []string{"2: row.nul <a,1\x00>", "3: b|2"}},
		{"an escape sequence", "the_name,note\na,\x1b[31m\nb,2\n", []string{"2: row.control <a,\x1b[31m>", "3: b|2"}},
		{"lone carriage returns and one line feed", "the_name,note\ra,1\rb,2\nc,3\r", []string{"2: a|1", "3: b|2", "4: c|3"}},
		{"line separators of Unicode", "the_name,note\u2028a,1\u2028b,2\u2028", []string{"2: a|1", "3: b|2"}},
		{"next-line characters", "the_name,note\u0085a,1\u0085b,2\u0085", []string{"2: a|1", "3: b|2"}},
		{"a line separator in a note is no line end", "the_name,note\na,1\u20282\nb,2\n", []string{"2: a|1\u20282", "3: b|2"}},
		{"half line feeds, half carriage returns", "the_name,note\na,1\nb,2\rc,3\r", []string{"2: a|1", "3: b|2", "4: c|3"}},
		{"two carriage returns before each line feed", "the_name,note\r\r\na,\"1\"\r\r\nb,\"2\"\r\r\n", []string{"2: a|1", "3: b|2"}},
		{
			"a quote opened in the last column and closed far below takes no row with it", "the_name,note\na,\"1\nb,2\nc,3\nd,4\"\ne,5\n",
			[]string{`2: row.quote <a,"1>`, "3: b|2", "4: c|3", `5: row.quote <d,4">`, "6: e|5"},
		},
		{"a note of several lines that are no rows", "the_name,note\na,\"one\ntwo\nthree\"\nb,2\n", []string{"2: a|one\ntwo\nthree", "5: b|2"}},
		{"text of other scripts", "the_name,note\nà,“½”\n", []string{"2: à|“½”"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if diff := cmp.Diff(readPairs(t, tc.in), tc.want); diff != "" {
				t.Errorf("got (-) is not what was wanted (+):\n%s", diff)
			}
		})
	}
}

func TestLongLineIsRefusedAndCut(t *testing.T) {
	got := readPairs(t, "the_name,note\na,"+strings.Repeat("x", MaxRowBytes)+"\nb,2\n")
	if len(got) != 2 || !strings.HasPrefix(got[0], "2: row.length <a,xxx") || len(got[0]) > 300 || got[1] != "3: b|2" {
		t.Errorf("got %d rows, the first %.80q; want a cut line and 3: b|2", len(got), got[0])
	}
}

// A cell of many lines is held to the limit of a row: its first line is refused
// and the others are read for what they are.
func TestLongCellOfManyLinesIsRefused(t *testing.T) {
	lines := MaxRowBytes/10 + 1
	got := readPairs(t, "the_name,note\na,\""+strings.Repeat("123456789\n", lines)+"\"\nb,2\n")
	if len(got) != lines+2 || got[0] != `2: row.quote <a,"123456789>` || got[len(got)-1] != fmt.Sprintf("%d: b|2", lines+3) {
		t.Errorf("got %d rows, the first %.80q, the last %.80q", len(got), got[0], got[len(got)-1])
	}
}

// A line longer than a reader's buffer still ends where it ends.
func TestLinesAroundTheBufferSize(t *testing.T) {
	for n := 4080; n < 4110; n++ {
		note := strings.Repeat("x", n)
		got := readPairs(t, "the_name,note\na,"+note+"\nb\nc,3\n")
		want := []string{"2: a|" + note, "3: row.columns <b>", "4: c|3"}
		if diff := cmp.Diff(got, want); diff != "" {
			t.Fatalf("with %d characters: got (-) is not what was wanted (+):\n%s", n, diff)
		}
	}
}

func TestHeaderProblems(t *testing.T) {
	columns := []Column{{Name: "stock_id", Required: true}, {Name: "mileage", Required: true}, {Name: "status", Required: true}, {Name: "keys"}}
	for _, tc := range []struct{ name, in, want string }{
		{"one missing", "stock_id,status\n", `lacks the required column "mileage"`},
		{"a near miss", "stock_id,milage,status\n", `lacks the required column "mileage" (did you mean it by "milage"?)`},
		{"all missing at once", "keys\n", `lacks the required columns "stock_id", "mileage", "status"`},
		{"repeated in another spelling", "stock_id,mileage,status,Keys,keys\n", `has the column "keys" 2 times`},
		{"missing and repeated", "stock_id,STOCK ID,mileage\n", `lacks the required column "status" and has the column "stock_id" 2 times`},
		{"empty", "", "is empty; expected a header line with stock_id, mileage, status"},
		{"blank lines alone", "\n \r\n", "is empty; expected a header line with stock_id, mileage, status"},
		{"an open quote", "\"stock_id,mileage,status\nV1,1,sold\n", "has a header on line 1 that cannot be read"},
		{"an open quote closed below", "stock_id,mileage,status,\"x\nV1,1,sold,\nV2,1,sold,\"\n", "has a column whose name holds other lines"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, err := ReadHeader(Plain([]byte(tc.in)), columns)
			if err == nil || !strings.HasPrefix(err.Error(), tc.want) {
				t.Errorf("got %v; want %q", err, tc.want)
			}
		})
	}
}

func TestHundredThousandColumns(t *testing.T) {
	var head, row strings.Builder
	for i := range 100_000 {
		fmt.Fprintf(&head, "x%d,", i)
		row.WriteString(",")
	}
	in := head.String() + "the_name\n" + row.String() + "a\n"
	if diff := cmp.Diff(readPairs(t, in), []string{"2: a|"}); diff != "" {
		t.Error(diff)
	}
	h, err := ReadHeader(Plain([]byte(in)), pairColumns)
	if err != nil {
		t.Fatal(err)
	}
	if w := h.Unknown(); !strings.HasSuffix(w, `"x9", and 99990 more`) {
		t.Errorf("the warning ends %q", w)
	}
}
