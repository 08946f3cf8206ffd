package data

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

var (
	utf8BOM    = []byte("\xEF\xBB\xBF")
	utf16LEBOM = []byte("\xFF\xFE")
	utf16BEBOM = []byte("\xFE\xFF")
)

// notTables are the first bytes of files that people rename to .csv by mistake,
// each with what the file really is.
var notTables = []struct{ magic, what string }{
	{"PK\x03\x04", "a spreadsheet workbook or zip archive"},
	{"PK\x05\x06", "an empty zip archive"},
	{"\xD0\xCF\x11\xE0", "an old spreadsheet workbook"},
	{"%PDF", "a PDF"},
	{"\x1F\x8B", "a gzip archive"},
}

// text is a table's content as UTF-8 without a byte order mark.
type text struct {
	body []byte
	// encoding is blank for UTF-8; otherwise the name of what was decoded.
	encoding string
	// controls says that some byte is a control character other than tab and
	// line ends, so that rows need a closer look.
	controls bool
}

// decodeText turns the bytes of a file into UTF-8. It works below the CSV
// reader, because a byte order mark before a quoted first header is a bare
// quote to that reader. Bytes that are not UTF-8 are read as Windows-1252,
// which is what spreadsheets on Windows write.
func decodeText(raw []byte) (text, error) {
	for _, n := range notTables {
		if bytes.HasPrefix(raw, []byte(n.magic)) {
			return text{}, fmt.Errorf("is %s, not a CSV file; save the sheet as CSV", n.what)
		}
	}
	var t text
	switch {
	case bytes.HasPrefix(raw, utf8BOM):
		raw = raw[len(utf8BOM):]
	case bytes.HasPrefix(raw, utf16LEBOM):
		return decodeUTF16(raw, unicode.LittleEndian)
	case bytes.HasPrefix(raw, utf16BEBOM):
		return decodeUTF16(raw, unicode.BigEndian)
	case looksUTF16(raw):
		return text{}, errors.New("looks like UTF-16 without a byte order mark; save it as CSV UTF-8")
	}
	if utf8.Valid(raw) {
		t.body = raw
	} else {
		t.body, t.encoding = fromWindows1252(raw), "Windows-1252"
	}
	return t.finish(), nil
}

// fromWindows1252 allocates what it returns and no more: x/text's decoder makes
// its buffer anew, twice as large, whenever it is full, and held 2.3 GiB for a
// file of 400 MiB.
func fromWindows1252(raw []byte) []byte {
	size := len(raw)
	for _, b := range raw {
		if b >= utf8.RuneSelf {
			size += utf8.RuneLen(charmap.Windows1252.DecodeByte(b)) - 1
		}
	}
	out := make([]byte, 0, size)
	for _, b := range raw {
		if b < utf8.RuneSelf {
			out = append(out, b)
		} else {
			out = utf8.AppendRune(out, charmap.Windows1252.DecodeByte(b))
		}
	}
	return out
}

func decodeUTF16(raw []byte, order unicode.Endianness) (text, error) {
	var dec *encoding.Decoder = unicode.UTF16(order, unicode.ExpectBOM).NewDecoder()
	body, err := dec.Bytes(raw)
	if err != nil {
		return text{}, fmt.Errorf("cannot be read as UTF-16: %w", err)
	}
	return text{body: body, encoding: "UTF-16"}.finish(), nil
}

// looksUTF16 reports whether half of the first bytes are zero, as plain words
// are in UTF-16.
func looksUTF16(raw []byte) bool {
	head := raw[:min(len(raw), 64)]
	return len(head) >= 8 && bytes.Count(head, []byte{0})*5 >= len(head)*2
}

// finish gives a text with the line ends of an old Macintosh, a lone carriage
// return, line feeds instead, and looks for control characters.
func (t text) finish() text {
	if bytes.IndexByte(t.body, '\n') < 0 && bytes.IndexByte(t.body, '\r') >= 0 {
		t.body = bytes.ReplaceAll(t.body, []byte{'\r'}, []byte{'\n'})
	}
	t.controls = hasControls(t.body)
	return t
}

// hasControls reports whether a byte is a control character other than tab,
// line feed and carriage return. No such byte is part of a longer UTF-8
// character.
func hasControls(b []byte) bool {
	for len(b) >= 8 {
		if mayHoldControls(binary.LittleEndian.Uint64(b)) && slices.ContainsFunc(b[:8], isControl) {
			return true
		}
		b = b[8:]
	}
	return slices.ContainsFunc(b, isControl)
}

func isControl(c byte) bool {
	return c < ' ' && c != '\n' && c != '\t' && c != '\r' || c == 0x7F
}

// mayHoldControls is false where none of eight bytes is below a space or is
// 0x7F: taking a number from each byte at once leaves a bit in those that were
// smaller, and sometimes in others.
func mayHoldControls(eight uint64) bool {
	const ones, tops = 0x0101010101010101, 0x8080808080808080
	deleted := eight ^ 0x7F*ones // 0 where a byte is 0x7F
	return ((eight-' '*ones)&^eight|(deleted-ones)&^deleted)&tops != 0
}
