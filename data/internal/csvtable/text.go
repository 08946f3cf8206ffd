// Package csvtable reads tables that people keep as text: whatever their
// encoding, line ends and separator, a header and rows of cells. What a cell
// means is not its business.
//
// A row that cannot be split into cells is a Fault, and the rows after it are
// read for what they are: no row takes another with it.
package csvtable

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
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

// Text is a table's content as UTF-8 without a byte order mark. Its lines end
// with LF or CRLF.
type Text struct {
	Body []byte
	// Remark says how the bytes were read where that is not plain UTF-8.
	Remark string
	// controls says that some byte is a control character other than tab and
	// line ends, so that rows need a closer look.
	controls bool
}

const (
	utf8BOM    = "\xEF\xBB\xBF"
	utf16LEBOM = "\xFF\xFE"
	utf16BEBOM = "\xFE\xFF"
)

// Decode turns the bytes of a file into a Text. UTF-8 is read as it is, and
// UTF-16 where it has a byte order mark, as spreadsheets write "Unicode text".
// Bytes that are not UTF-8 are read as Windows-1252, one by one, so that a
// single such byte changes nothing else. The error goes on from the name of the
// file.
//
// Decoding is below the CSV reader, because a byte order mark before a quoted
// first header is a bare quote to that reader.
func Decode(raw []byte) (Text, error) {
	for _, n := range notTables {
		if bytes.HasPrefix(raw, []byte(n.magic)) {
			return Text{}, fmt.Errorf("is %s, not a CSV file; save the sheet as CSV", n.what)
		}
	}
	var t Text
	switch {
	case bytes.HasPrefix(raw, []byte(utf16LEBOM)), bytes.HasPrefix(raw, []byte(utf16BEBOM)):
		t.Body, t.Remark = fromUTF16(raw[2:], raw[0] == utf16BEBOM[0]), "read as UTF-16"
	case looksUTF16(raw):
		return Text{}, errors.New("looks like UTF-16 without a byte order mark; save it as CSV UTF-8")
	default:
		raw = bytes.TrimPrefix(raw, []byte(utf8BOM))
		t.Body = raw
		if !utf8.Valid(raw) {
			t.Body, t.Remark = mendUTF8(raw)
		}
	}
	t.Body = plainLineEnds(t.Body)
	t.controls = hasControls(t.Body)
	return t, nil
}

// Plain is a text of UTF-8 with LF.
func Plain(body []byte) Text { return Text{Body: body, controls: hasControls(body)} }

// mendUTF8 reads bytes that are no UTF-8 as Windows-1252, which is what
// spreadsheets on Windows write, and says how many there are.
func mendUTF8(raw []byte) (body []byte, remark string) {
	size, bad, firstLine, line := len(raw), 0, 0, 1
	eachRune(raw, func(r rune, valid bool) {
		switch {
		case r == '\n':
			line++
		case !valid:
			size += utf8.RuneLen(r) - 1
			if bad++; bad == 1 {
				firstLine = line
			}
		}
	})
	// Filled to the brim: x/text's decoder makes its buffer anew, twice as
	// large, whenever it is full, and held 2.3 GiB for a file of 400 MiB.
	body = make([]byte, 0, size)
	eachRune(raw, func(r rune, valid bool) { body = utf8.AppendRune(body, r) })
	return body, fmt.Sprintf("read as Windows-1252 where it is not UTF-8: %d bytes, the first on line %d", bad, firstLine)
}

// eachRune walks through text; a byte that is no UTF-8 comes as the character
// that it is in Windows-1252, and as not valid.
func eachRune(raw []byte, do func(r rune, valid bool)) {
	for i := 0; i < len(raw); {
		r, width := rune(raw[i]), 1
		valid := r < utf8.RuneSelf
		if !valid {
			r, width = utf8.DecodeRune(raw[i:])
			if valid = !(r == utf8.RuneError && width <= 1); !valid {
				r = charmap.Windows1252.DecodeByte(raw[i])
			}
		}
		do(r, valid)
		i += width
	}
}

func fromUTF16(raw []byte, bigEndian bool) []byte {
	unit := func(i int) rune {
		if bigEndian {
			return rune(raw[i])<<8 | rune(raw[i+1])
		}
		return rune(raw[i+1])<<8 | rune(raw[i])
	}
	each := func(do func(rune)) {
		for i := 0; i+1 < len(raw); i += 2 {
			r := unit(i)
			if utf16.IsSurrogate(r) {
				if i+3 < len(raw) {
					r = utf16.DecodeRune(r, unit(i+2))
				} else {
					r = utf8.RuneError
				}
				if r != utf8.RuneError {
					i += 2
				}
			}
			do(r)
		}
		if len(raw)%2 != 0 { // half a character at the end
			do(utf8.RuneError)
		}
	}
	size := 0
	each(func(r rune) { size += utf8.RuneLen(r) })
	body := make([]byte, 0, size)
	each(func(r rune) { body = utf8.AppendRune(body, r) })
	return body
}

// looksUTF16 reports whether half of the first bytes are zero, as plain words
// are in UTF-16.
func looksUTF16(raw []byte) bool {
	head := raw[:min(len(raw), 64)]
	return len(head) >= 8 && bytes.Count(head, []byte{0})*5 >= len(head)*2
}

// unicodeLineEnds are the line and next-line characters of Unicode.
var unicodeLineEnds = []string{"\u2028", "\u2029", "\u0085"}

// plainLineEnds gives a text LF for line ends of other kinds: a lone carriage
// return, one or more of them before a line feed, and, where the header has
// one, the line and next-line characters of Unicode. CRLF stays.
func plainLineEnds(body []byte) []byte {
	first, _, _ := bytes.Cut(body[:min(len(body), MaxHeaderBytes)], []byte{'\n'})
	var others []string
	for _, end := range unicodeLineEnds {
		if bytes.Contains(first, []byte(end)) {
			others = append(others, end, "\n")
		}
	}
	if others != nil {
		body = []byte(strings.NewReplacer(others...).Replace(string(body)))
	}
	return plainReturns(body)
}

// plainReturns is plainLineEnds for carriage returns.
func plainReturns(body []byte) []byte {
	returns := bytes.Count(body, []byte{'\r'})
	if returns == 0 || returns == bytes.Count(body, []byte("\r\n")) {
		return body
	}
	out := make([]byte, 0, len(body))
	for {
		i := bytes.IndexByte(body, '\r')
		if i < 0 {
			return append(out, body...)
		}
		out = append(out, body[:i]...)
		run := len(body[i:]) - len(bytes.TrimLeft(body[i:], "\r"))
		if body = body[i+run:]; bytes.HasPrefix(body, []byte{'\n'}) {
			out = append(out, '\r') // one line end, however many there are
		} else {
			out = append(out, bytes.Repeat([]byte{'\n'}, run)...)
		}
	}
}

// hasControls reports whether a byte is a control character other than tab,
// line feed and carriage return. No such byte is part of a longer UTF-8
// character.
func hasControls(b []byte) bool {
	for _, c := range b {
		if c < ' ' && c != '\n' && c != '\t' && c != '\r' || c == 0x7F {
			return true
		}
	}
	return false
}
