package csvtable

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf16"
)

func utf16Bytes(s string, bigEndian bool) []byte {
	var out []byte
	for _, u := range utf16.Encode([]rune("\uFEFF" + s)) {
		if bigEndian {
			out = append(out, byte(u>>8), byte(u))
		} else {
			out = append(out, byte(u), byte(u>>8))
		}
	}
	return out
}

func TestDecodeText(t *testing.T) {
	for _, tc := range []struct {
		name   string
		in     []byte
		want   string
		remark string
	}{
		{"UTF-8", []byte("cost\n£5\n"), "cost\n£5\n", ""},
		{"UTF-8 with a byte order mark", []byte("\xEF\xBB\xBF\"cost\"\n"), "\"cost\"\n", ""},
		{"a pound sign of Windows-1252", []byte("cost\n\xA35\n"), "cost\n£5\n", "read as Windows-1252 where it is not UTF-8: 1 bytes, the first on line 2"},
		{"curly quotes and a dash of Windows-1252", []byte("\x93a\x94 \x96 b"), "“a” – b", "read as Windows-1252 where it is not UTF-8: 3 bytes, the first on line 1"},
		{"one such byte among UTF-8", []byte("£5\n\xA36\n£7\n"), "£5\n£6\n£7\n", "read as Windows-1252 where it is not UTF-8: 1 bytes, the first on line 2"},
		{"UTF-16 little-endian", utf16Bytes("cost\n£5\n", false), "cost\n£5\n", "read as UTF-16"},
		{"UTF-16 big-endian", utf16Bytes("cost\n£5\n", true), "cost\n£5\n", "read as UTF-16"},
		{"line ends of an old Macintosh", []byte("a,b\r1,2\r"), "a,b\n1,2\n", ""},
		{"line ends of Windows stay", []byte("a,b\r\n1,2\r\n"), "a,b\r\n1,2\r\n", ""},
		{"nothing", nil, "", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, err := Decode(tc.in)
			if err != nil {
				t.Fatal(err)
			}
			if string(got.Body) != tc.want || got.Remark != tc.remark || got.controls {
				t.Errorf("got %q, %q, controls %t; want %q, %q", got.Body, got.Remark, got.controls, tc.want, tc.remark)
			}
		})
	}
}

func TestDecodeTextRefuses(t *testing.T) {
	for _, tc := range []struct{ name, in, want string }{
		{"an empty zip archive", "PK\x05\x06" + strings.Repeat("\x00", 18), "is an empty zip archive, not a CSV file"},
		{"a workbook", "PK\x03\x04stuff", "is a spreadsheet workbook or zip archive"},
		{"a PDF", "%PDF-1.7", "is a PDF"},
		{"UTF-16 that does not say so", "s\x00t\x00o\x00c\x00k\x00", "looks like UTF-16 without a byte order mark"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if _, err := Decode([]byte(tc.in)); err == nil || !strings.Contains(err.Error(), tc.want) {
				t.Errorf("got error %v; want one with %q", err, tc.want)
			}
		})
	}
}

// A table of hundreds of megabytes that is not UTF-8 is decoded into as much
// memory as its text takes.
func TestWindows1252TakesNoMoreThanItsText(t *testing.T) {
	raw := bytes.Repeat([]byte("caf\xe9 \x80 5\x81"), 100_000)
	got, err := Decode(raw)
	if err != nil || !strings.Contains(got.Remark, "300000 bytes") || len(got.Body) != cap(got.Body) {
		t.Errorf("%d bytes in %d, %v", len(got.Body), cap(got.Body), err)
	}
	if want := "café € 5\uFFFD"; string(got.Body[:len(want)]) != want {
		t.Errorf("got %q, want %q", got.Body[:len(want)], want)
	}
}
