package csvtable

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
)

// FuzzDecode decodes any bytes. They are refused, or come out as UTF-8; text
// that was UTF-8 is untouched; and what was decoded from UTF-16 or Windows-1252
// is what the encoder of that makes the bytes of.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{
		"", "a,b\n1,2\n", "\xef\xbb\xbfa\n", "\xef\xbb\xbf\xef\xbb\xbfa", "\xff\xfea\x00\n\x00", "\xfe\xff\x00a\x00\n", "\xff\xfe", "\xff\xfe\x00\xd8", "\xff\xfea",
		"caf\xe9 \x80\x81\x9d", "a\rb\rc", "a\r\nb\r", "a\x00b", "\x7f", "\xef\xbb\xbf\xbf", "PK\x03\x04", "PK\x05\x06", "%PDF", "a\x00b\x00c\x00d\x00", "\xc3\x28", "\xed\xa0\x80",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		before := bytes.Clone(raw)
		got, err := Decode(raw)
		if !bytes.Equal(raw, before) {
			t.Fatal("the bytes of the file were written to")
		}
		if err != nil {
			return
		}
		if !utf8.Valid(got.Body) {
			t.Fatalf("not UTF-8: %q", got.Body)
		}
		if got.controls != slices.ContainsFunc(got.Body, func(b byte) bool { return b < 32 && !strings.ContainsRune("\t\r\n", rune(b)) || b == 127 }) {
			t.Fatalf("control characters in %q: %t", got.Body, got.controls)
		}
		switch {
		case got.Remark == "" && !bytes.ContainsAny(raw, "\r\u0085\u2028\u2029"):
			if want := bytes.TrimPrefix(raw, []byte(utf8BOM)); !bytes.Equal(got.Body, want) {
				t.Fatalf("UTF-8 %q was read as %q", want, got.Body)
			}
		case strings.Contains(got.Remark, "Windows-1252"):
			if raw := bytes.TrimPrefix(raw, []byte(utf8BOM)); utf8.Valid(raw) || len(got.Body) < len(raw)-bytes.Count(raw, []byte("\r")) {
				t.Fatalf("%q was read as %q", raw, got.Body)
			}
		case got.Remark == "read as UTF-16" && !bytes.ContainsAny(got.Body, "\n\uFFFD"):
			order := unicode.LittleEndian
			if bytes.HasPrefix(raw, []byte(utf16BEBOM)) {
				order = unicode.BigEndian
			}
			back, err := unicode.UTF16(order, unicode.UseBOM).NewEncoder().Bytes(got.Body)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(back, raw) {
				t.Fatalf("UTF-16 %q was read as %q", raw, got.Body)
			}
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
		decoded, err := Decode(raw)
		if err != nil {
			return
		}
		body := decoded.Body
		h, err := ReadHeader(decoded, columns)
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Fatal("an error that says nothing")
			}
			return
		}
		if h.Start < 0 || h.Start >= len(body) || h.Line != 1+bytes.Count(body[:h.Start], []byte("\n")) {
			t.Fatalf("the header is at %d on line %d of %q", h.Start, h.Line, body)
		}
		for _, c := range columns {
			if n := len(slices.DeleteFunc(slices.Clone(h.Names), func(name string) bool { return name != c.Name })); n > 1 || n == 0 && c.Required {
				t.Fatalf("%s stands %d times in %q", c.Name, n, h.spelt)
			}
		}
		r := csv.NewReader(bytes.NewReader(body[h.Start:]))
		r.Comma = h.Comma
		spelt, err := r.Read()
		if err != nil || !slices.Equal(spelt, h.spelt) || len(h.Names) != len(spelt) {
			t.Fatalf("parted by %q, the header is %q, and %q was read (%v)", h.Comma, spelt, h.spelt, err)
		}
	})
}
