package data

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// FuzzDecodeText decodes any bytes. They are refused, or come out as UTF-8; text
// that was UTF-8 is untouched; and what was decoded from UTF-16 or Windows-1252
// is what the encoder of that makes the bytes of.
func FuzzDecodeText(f *testing.F) {
	for _, s := range []string{
		"", "a,b\n1,2\n", "\xef\xbb\xbfa\n", "\xef\xbb\xbf\xef\xbb\xbfa", "\xff\xfea\x00\n\x00", "\xfe\xff\x00a\x00\n", "\xff\xfe", "\xff\xfe\x00\xd8", "\xff\xfea",
		"caf\xe9 \x80\x81\x9d", "a\rb\rc", "a\r\nb\r", "a\x00b", "\x7f", "\xef\xbb\xbf\xbf", "PK\x03\x04", "PK\x05\x06", "%PDF", "a\x00b\x00c\x00d\x00", "\xc3\x28", "\xed\xa0\x80",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		before := bytes.Clone(raw)
		got, err := decodeText(raw)
		if !bytes.Equal(raw, before) {
			t.Fatal("the bytes of the file were written to")
		}
		if err != nil {
			return
		}
		if !utf8.Valid(got.body) {
			t.Fatalf("not UTF-8: %q", got.body)
		}
		if got.controls != slices.ContainsFunc(got.body, func(b byte) bool { return b < 32 && !strings.ContainsRune("\t\r\n", rune(b)) || b == 127 }) {
			t.Fatalf("control characters in %q: %t", got.body, got.controls)
		}
		lineEnds := func(b []byte) []byte { // a lone carriage return ends a line where nothing else does
			if bytes.ContainsRune(b, '\n') {
				return b
			}
			return bytes.ReplaceAll(b, []byte("\r"), []byte("\n"))
		}
		switch got.encoding {
		case "":
			if want := lineEnds(bytes.TrimPrefix(raw, utf8BOM)); !bytes.Equal(got.body, want) {
				t.Fatalf("UTF-8 %q was read as %q", want, got.body)
			}
		case "Windows-1252":
			raw := bytes.TrimPrefix(raw, utf8BOM) // of a file that is UTF-8 for three bytes only
			if utf8.Valid(raw) || len(got.body) < len(raw) || utf8.RuneCount(got.body) != len(raw) {
				t.Fatalf("%q was read as %q", raw, got.body)
			}
			for i, r := range []rune(string(got.body)) {
				if want := charmap.Windows1252.DecodeByte(raw[i]); r != want && !(r == '\n' && want == '\r') {
					t.Fatalf("byte %x was read as %q", raw[i], r)
				}
			}
		case "UTF-16":
			order := unicode.LittleEndian
			if bytes.HasPrefix(raw, utf16BEBOM) {
				order = unicode.BigEndian
			}
			back, err := unicode.UTF16(order, unicode.UseBOM).NewEncoder().Bytes(got.body)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.ContainsRune(got.body, utf8.RuneError) && !bytes.Contains(got.body, []byte("\n")) && !bytes.Equal(back, raw) {
				t.Fatalf("UTF-16 %q was read as %q", raw, got.body)
			}
		default:
			t.Fatalf("encoding %q", got.encoding)
		}
	})
}

// FuzzReadHeader finds the header of any text. It is refused, or has every
// needed column once, and with the separator that was found a CSV reader splits
// the line into just these names.
func FuzzReadHeader(f *testing.F) {
	for _, s := range []string{
		"stock_id,kind\n", "Stock ID;KIND;dated\n1;2,3;4\n", "stock-id\tkind\n", "sep=;\nstock_id;kind\n", "SEP=\t\n\nstock_id\tkind", "\n \n stock_id , kind ,,\n",
		"\"stock_id\",\"ki\nnd\",kind\n", "stock_id,kind,Kind\n", "kind\n", "stock_id;kind,x;y\tz\n", "\"stock_id,kind", "sep=\"\nstock_id\"kind\n", "sep=\nx", "sep=\x00\nstock_id\x00kind",
	} {
		f.Add([]byte(s))
	}
	columns := []Column{{Name: "stock_id", Required: true, Also: []string{"id"}}, {Name: "kind", Required: true}, {Name: "dated"}}
	f.Fuzz(func(t *testing.T, raw []byte) {
		decoded, err := decodeText(raw)
		if err != nil {
			return
		}
		body := decoded.body
		h, err := readHeader(body, columns)
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Fatal("an error that says nothing")
			}
			return
		}
		if h.start < 0 || h.start >= len(body) || h.line != 1+bytes.Count(body[:h.start], []byte("\n")) {
			t.Fatalf("the header is at %d on line %d of %q", h.start, h.line, body)
		}
		for _, c := range columns {
			if n := len(slices.DeleteFunc(slices.Clone(h.names), func(name string) bool { return name != c.Name })); n > 1 || n == 0 && c.Required {
				t.Fatalf("%s stands %d times in %q", c.Name, n, h.spelt)
			}
		}
		r := csv.NewReader(bytes.NewReader(body[h.start:]))
		r.Comma = h.comma
		spelt, err := r.Read()
		if err != nil || !slices.Equal(spelt, h.spelt) || len(h.names) != len(spelt) {
			t.Fatalf("parted by %q, the header is %q, and %q was read (%v)", h.comma, spelt, h.spelt, err)
		}
	})
}

// FuzzNumbers reads any text as a number of each kind. What is taken is what
// strconv makes of it without its commas, and nothing else that strconv knows
// (exponents, infinities, underscores) is taken.
func FuzzNumbers(f *testing.F) {
	for _, s := range []string{"0", "-0", "42,000", "4,20", "1,234,567", "4.5", ".5", "5.", "-", "1e5", "NaN", "Inf", "0x10", "1_0", "999999999", "9999999999", "١", "123456789012.123456789012", " 1"} {
		f.Add(s)
	}
	plain := func(s string) bool { return strings.Trim(s, "-.0123456789,") == "" }
	f.Fuzz(func(t *testing.T, s string) {
		if n, ok := parseWhole(s); ok {
			want, err := strconv.Atoi(strings.ReplaceAll(s, ",", ""))
			if err != nil || want != n || !plain(s) {
				t.Fatalf("%q was read as %d", s, n)
			}
		}
		if n, ok := parseDecimal(s); ok {
			want, err := strconv.ParseFloat(s, 64)
			if err != nil || want != n || !plain(s) || math.Abs(n) >= 1e12 {
				t.Fatalf("%q was read as %v", s, n)
			}
		}
		if decimalExpected(s) == "" {
			t.Fatal("nothing is expected")
		}
	})
}
