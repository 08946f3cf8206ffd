package data

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/vanwright/vanwright/data/internal/csvtable"
	"pgregory.net/rapid"
)

// slowRow is a row as the slow way gives it.
type slowRow struct {
	Line  int
	Text  string   // without its line end
	Cells []string // nil where the row is at fault
	Rule  string   // of the fault
}

// slowRows reads the rows after a header in the plainest way that there is: for
// each row a new encoding/csv reader that has the whole rest of the file before
// it. What encoding/csv says of it, and where it stops, decides.
func slowRows(body []byte, h csvtable.Header) []slowRow {
	hollow := regexp.MustCompile(`^(?:"")?(?:[` + regexp.QuoteMeta(string(h.Comma)) + ` \t\r\n]+(?:"")?)*$`)
	control := regexp.MustCompile(`[\x00-\x08\x0B\x0C\x0E-\x1F\x7F]`)
	var out []slowRow
	line := 1 + bytes.Count(body[:h.End], []byte("\n"))
	for rest := body[h.End:]; len(rest) > 0; {
		first, _, _ := bytes.Cut(rest, []byte("\n"))
		first = rest[:min(len(first)+1, len(rest))]
		if len(bytes.TrimSpace(first)) == 0 {
			rest, line = rest[len(first):], line+1
			continue
		}
		row := slowRow{Line: line}
		row.Cells, row.Text, row.Rule = slowCells(rest, string(first), h)
		rest, line = rest[len(row.Text):], line+strings.Count(row.Text, "\n")
		if hollow.MatchString(row.Text) {
			continue
		}
		if row.Rule == "" && control.MatchString(row.Text) {
			row.Cells, row.Rule = nil, "row.control"
			if strings.Contains(row.Text, "\x00") {
				row.Rule = "row.nul"
			}
		}
		row.Text = strings.TrimSuffix(strings.TrimSuffix(row.Text, "\n"), "\r")
		out = append(out, row)
	}
	return out
}

// slowCells reads the row at the start of rest, whose first line is first.
func slowCells(rest []byte, first string, h csvtable.Header) (cells []string, text, rule string) {
	r := csv.NewReader(bytes.NewReader(rest))
	r.Comma = h.Comma
	cells, err := r.Read()
	text = string(rest[:r.InputOffset()])
	switch {
	case err != nil: // a quote where none may stand, or one that is never closed
		return nil, first, "row.quote"
	case len(text) > 1<<20:
		return nil, first, "row.quote"
	}
	// Over several lines, one of which after the first is a row by itself, a
	// quote was left open on the first.
	for one := range strings.Lines(text[len(first):]) {
		r := csv.NewReader(strings.NewReader(one))
		r.Comma = h.Comma
		if cells, err := r.Read(); err == nil && len(cells) == len(h.Names) && len(cells) > 1 {
			return nil, first, "row.quote"
		}
	}
	if len(cells) == len(h.Names) {
		return cells, text, ""
	}
	return nil, text, "row.columns"
}

// fastRows reads the same with a reader of rows.
func fastRows(f *file, h csvtable.Header) []slowRow {
	var out []slowRow
	rows := f.Rows(h, csvtable.Span{Start: h.End, End: len(f.Body), Line: 1 + bytes.Count(f.Body[:h.End], []byte("\n"))}, 0)
	for row, ok := rows.Next(); ok; row, ok = rows.Next() {
		r := slowRow{Line: row.Line, Text: f.Row(row)}
		if row.Fault != nil {
			r.Rule = row.Fault.Rule
		} else {
			r.Cells = slices.Clone(row.Cells)
		}
		out = append(out, r)
	}
	return out
}

// pairTable says in words what reading the pairs of a file gives: a note must be
// a whole number up to 99.
func pairTable(rows []slowRow) (accepted, rejected []string) {
	for _, r := range rows {
		rule := r.Rule
		if rule == "" {
			name, note := strings.TrimSpace(r.Cells[0]), strings.TrimSpace(r.Cells[1])
			n, ok := parseWhole(note)
			switch {
			case name == "":
				rule = "the_name.missing"
			case utf8.RuneCountInString(name) > maxText:
				rule = "the_name.length"
			case note != "" && !ok:
				rule = "note.number"
			case note != "" && (n < 0 || n > 99):
				rule = "note.range"
			}
			if rule == "" {
				accepted = append(accepted, fmt.Sprintf("%d: %q %d", r.Line, name, n))
			}
		}
		if rule != "" {
			rejected = append(rejected, fmt.Sprintf("%d: %s %q", r.Line, rule, r.Text))
		}
	}
	return accepted, rejected
}

type rawPair struct {
	Name string `csv:"the_name" need:"yes"`
	Note string `csv:"note" also:"remark"`
}

type pair struct {
	name string
	note int
	line int
}

func parsePair(raw *rawPair, c *cells, at Source) pair {
	return pair{c.needLabel("the_name", raw.Name), c.whole("note", raw.Note, 0, 99).Value, at.Line}
}

// checkAgainstSlow compares every way in which the rows of a file of pairs are
// read with the slow way.
func checkAgainstSlow(t rapid.TB, content []byte) {
	text, err := csvtable.Decode(content)
	if err != nil {
		return
	}
	f := &file{Text: text, name: "pairs.csv"}
	h, err := csvtable.ReadHeader(f.Text, columnsOf[rawPair]())
	if err != nil {
		return
	}
	name, note := slices.Index(h.Names, "the_name"), slices.Index(h.Names, "note")
	want := slowRows(f.Body, h)
	for i, r := range want {
		if r.Cells != nil {
			want[i].Cells = []string{r.Cells[name], ""}
			if note >= 0 {
				want[i].Cells[1] = r.Cells[note]
			}
		}
	}

	if diff := cmp.Diff(fastRows(f, h), want); diff != "" {
		t.Fatalf("%q: got (-) is not what the slow way gives (+):\n%s", content, diff)
	}

	accepted, rejected := pairTable(want)
	var whole *table[pair]
	for i, o := range []tableOptions{{workers: 1, spanBytes: 1 << 30}, {workers: 1, spanBytes: 1}, {workers: 3, spanBytes: 5}, {workers: 2, spanBytes: 40}} {
		got, err := readTable(context.Background(), f, columnsOf[rawPair](), o, parsePair)
		if err != nil {
			t.Fatal(err)
		}
		var records, rejects []string
		for _, p := range slices.Concat(got.records...) {
			records = append(records, fmt.Sprintf("%d: %q %d", p.line, p.name, p.note))
		}
		for _, r := range got.rejects {
			rejects = append(rejects, fmt.Sprintf("%d: %s %q", r.Line, r.Rule, r.Row))
		}
		if diff := cmp.Diff(records, accepted); diff != "" {
			t.Fatalf("%q in pieces of %d bytes: accepted (-), should be (+):\n%s", content, o.spanBytes, diff)
		}
		if diff := cmp.Diff(rejects, rejected); diff != "" {
			t.Fatalf("%q in pieces of %d bytes: rejected (-), should be (+):\n%s", content, o.spanBytes, diff)
		}
		if i == 0 {
			whole = got
		}
		if diff := cmp.Diff([]any{got.input, got.rejects, got.warnings}, []any{whole.input, whole.rejects, whole.warnings}); diff != "" {
			t.Fatalf("%q in pieces of %d bytes (-) is not as in one (+):\n%s", content, o.spanBytes, diff)
		}
	}
}

// oddTables are pieces of which random tables are made: mostly good rows, and
// everything that may upset a reader.
var oddTables = []string{
	"a,1\n", "b,2\n", "c,\n", "d,\"4\"\n", "\"e\",5\r\n", "f,6\r\n", "\"two\nlines\",7\n", "\"\"\"said\"\"\",8\n",
	"a,100\n", ",9\n", "g,x\n", "h\n", "i,1,2\n",
	"\n", "\r\n", " \n", "\t \r\n", "\u00A0\n", ",\n", "\"\",\"\"\n", ",\"\" \r\n",
	"\"", "\"\"", ",", "\n", "\r", " ", "x", "12", "\"open,1\n", "k,\"open\n", "l,5\" wide\n", "\"m\"n,1\n",
	"\x00", "\x1b", "\x7f", "é", "£", ";", "\t", "o;1\n", strings.Repeat("long ", 30),
}

func TestRandomTablesAgainstTheSlowWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		header := rapid.SampledFrom([]string{"the_name,note\n", "the_name;note\n", "note,\"x\ny\",the name\r\n", "the_name\n", "\n\nthe_name\tnote\n", "\uFEFF\"the_name\",note\n"}).Draw(t, "header")
		rows := rapid.SliceOfN(rapid.SampledFrom(oddTables), 0, 40).Draw(t, "rows")
		checkAgainstSlow(t, []byte(header+strings.Join(rows, "")))
	})
}

func FuzzRowsAgainstTheSlowWay(f *testing.F) {
	for _, row := range oddTables {
		f.Add([]byte("the_name,note\na,1\n" + row + "b,2\n\"c\",3\n" + row))
	}
	f.Fuzz(func(t *testing.T, content []byte) {
		checkAgainstSlow(t, content)
		checkAgainstSlow(t, append([]byte("the_name,note\n"), content...))
	})
}
