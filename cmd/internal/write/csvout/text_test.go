package csvout

import (
	"encoding/csv"
	"slices"
	"strings"
	"testing"
	"unicode"
)

// The dangerous first characters are those of OWASP ASVS requirement 1.2.10
// (= + - @, tab, NUL); line feed, full-width forms, leading space and leading
// quotes are our own caution.
func TestTextIsMadeHarmless(t *testing.T) {
	tests := []struct{ name, in, want string }{
		{"equals", `=HYPERLINK("x")`, `"'=HYPERLINK(""x"")"`},
		{"plus", "+441234567890", "'+441234567890"},
		{"minus", "-1", "'-1"},
		{"at", "@SUM(A1)", "'@SUM(A1)"},
		{"tab", "\tx", "\"'\tx\""},
		{"carriage return", "\rx", "\"'\nx\""},
		{"line feed", "\n=1", "\"'\n=1\""},
		{"after spaces", "  =1", "'  =1"},
		{"after a space that does not break", "\u00a0=1", "'\u00a0=1"},
		{"after an ideographic space", "\u3000＝1", "'\u3000＝1"},
		{"after a byte order mark", "\ufeff=1", "'\ufeff=1"},
		{"after a mark without width", "\u200b-1", "'\u200b-1"},
		{"full width", "＝１＋１", "'＝１＋１"},
		{"full-width minus", "－1", "'－1"},
		{"quote of its own", "'=1", "''=1"},
		{"NUL before a formula", "\x00=1", "␀=1"},
		{"harmless quote", "'twas", "'twas"},
		{"formula characters within", "a=b+c-d@e", "a=b+c-d@e"},
		{"dash in a stock number", "KX-21", "KX-21"},
		{"space before a word", " word", `" word"`},
		{"blank", "", ""},
		{"only spaces", "  ", `"  "`},
		{"only a quote", "'", "'"},
		{"semicolon hides no cell", "x;=1", `"x;=1"`},
		{"tab hides no cell", "x\t=1", "\"x\t=1\""},
		{"line break", "one\r\ntwo\rthree\nfour", "\"one\ntwo\nthree\nfour\""},
		{"control characters", "a\x00b\x07c\x1bd\x7fe\u0085f", "a␀b␇c␛d␡e\ufffdf"},
		{"not UTF-8", "caf\xe9 \xff\xfe", "caf\ufffd \ufffd\ufffd"},
		{"other scripts", "Zoë’s ½-ton caravan", "Zoë’s ½-ton caravan"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := string(appendText(nil, tt.in)); got != tt.want {
				t.Errorf("appendText(%q) = %q, want %q", tt.in, got, tt.want)
			}
		})
	}
}

// plainly is the documented change of text, written a second way.
func plainly(s string) string {
	var out []rune
	runes := []rune(s)
	for i, r := range runes {
		switch {
		case r == '\r' && i+1 < len(runes) && runes[i+1] == '\n':
		case r == '\r':
			out = append(out, '\n')
		case r == 0x7f:
			out = append(out, 0x2421)
		case r != '\t' && r != '\n' && r < 0x20:
			out = append(out, 0x2400+r)
		case 0x80 <= r && r < 0xa0:
			out = append(out, 0xfffd)
		default:
			out = append(out, r)
		}
	}
	return string(out)
}

// startsFormula is what no text cell may do, leading spaces aside.
func startsFormula(cell string) bool {
	if cell != "" && strings.Contains("\t\r\n", cell[:1]) {
		return true
	}
	cell = strings.TrimLeftFunc(cell, unicode.IsSpace)
	for _, c := range []string{"=", "+", "-", "@", "＝", "＋", "－", "＠"} {
		if strings.HasPrefix(cell, c) {
			return true
		}
	}
	return false
}

func FuzzTextSurvives(f *testing.F) {
	for _, s := range []string{
		"", "plain", "=1", "'=1", "''=1", "'", "' =1", " =1", "\t", "\r", "\r\n=1", "a\rb", "\n", "\x00=", "＝", "\ufeff=", `"`, `a"b`,
		`\.`, "a,b", "a;b", "\xff=", "-12.50", "\u2028=", "a\u0000", "\u0085-",
	} {
		f.Add(s, s, s)
	}
	type fuzzed struct {
		text, value string
		list        []string
	}
	report := New("fuzz.csv", nil,
		Text("text", func(r fuzzed) string { return r.text }),
		Value("value", func(r fuzzed) string { return r.value }),
		List("list", func(r fuzzed) []string { return r.list }),
		Int("n", func(fuzzed) int { return -1 }),
	)
	f.Fuzz(func(t *testing.T, a, b, c string) {
		in := fuzzed{a, b, []string{b, a, c}}
		var out strings.Builder
		if n, err := report.Write(&out, slices.Values([]fuzzed{in, in})); n != 2 || err != nil {
			t.Fatal(n, err)
		}
		rows, err := csv.NewReader(strings.NewReader(out.String())).ReadAll()
		if err != nil {
			t.Fatalf("%q: %v", out.String(), err)
		}
		if len(rows) != 3 || len(rows[1]) != 4 || !slices.Equal(rows[1], rows[2]) || rows[1][3] != "-1" {
			t.Fatalf("%q reads as %q", out.String(), rows)
		}
		items := slices.Clone(in.list)
		for i := range items {
			items[i] = strings.ReplaceAll(items[i], ";", ",")
		}
		want := []string{plainly(a), plainly(b), plainly(strings.Join(items, ";"))}
		for i, cell := range rows[1][:3] {
			if cell != want[i] && cell != "'"+want[i] {
				t.Errorf("wrote %q, read %q", want[i], cell)
			}
			if startsFormula(cell) && !(i == 1 && plainNumber(cell)) {
				t.Errorf("cell %q begins a formula", cell)
			}
		}
		back, err := ReadBack(strings.NewReader(out.String()))
		if err != nil || len(back) != 2 {
			t.Fatal(back, err)
		}
		for i, column := range []string{"text", "value", "list"} {
			if got := back[1].Get(column); got != want[i] {
				t.Errorf("ReadBack: %q, want %q", got, want[i])
			}
		}
	})
}

// FuzzReadBack reads any text as an old report. What a strict CSV reader reads
// comes back cell by cell; of anything else there is no more than it has lines.
func FuzzReadBack(f *testing.F) {
	f.Add("stock_id,price\nA1,10.00\n")
	f.Add("\ufeff\"a\",b\r\n\"1\n2\"")
	f.Add("a,A , a\n'=1,\"'\"\"x\",''\n1\n1,2,3,4\n")
	f.Add("\ufeff\ufeffa\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		records, err := ReadBack(strings.NewReader(text))
		if len(records) > strings.Count(text, "\n") {
			t.Fatalf("%d records in %q", len(records), text)
		}
		strict := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
		strict.FieldsPerRecord = -1
		rows, wrong := strict.ReadAll()
		if wrong != nil {
			return
		}
		if err != nil || len(records) != max(0, len(rows)-1) {
			t.Fatalf("%d records and %v of %q", len(records), err, rows)
		}
		if len(rows) == 0 {
			return
		}
		first := map[string]int{}
		for i, name := range rows[0] {
			name = strings.ToLower(strings.TrimSpace(name))
			if _, twice := first[name]; !twice {
				first[name] = i
			}
		}
		for k, record := range records {
			for name, i := range first {
				want := ""
				if row := rows[k+1]; i < len(row) {
					want = row[i]
				}
				if got := record.Get(name); got != want && "'"+got != want || !record.Has(name) {
					t.Fatalf("row %d: %q is %q, read from %q", k, name, got, want)
				}
			}
		}
	})
}
