package csvout

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// guard is put before text that a spreadsheet would run.
const guard = "'"

// What a byte of text asks for. Nearly every field asks for nothing, and one
// look at each byte shows it.
const (
	asksQuotes   = 1 << iota // may not stand in a field without quotes
	asksCleaning             // a control character, or the part of a character beyond ASCII
)

var asks = func() (table [256]uint8) {
	for c := range table {
		if c < ' ' || c >= 0x7f {
			table[c] = asksCleaning
		}
	}
	for _, c := range ",;\"\t\n\r" {
		table[c] |= asksQuotes
	}
	return table
}()

// appendText appends s as one field, cleaned, guarded and quoted.
func appendText(text []byte, s string) []byte {
	if s == "" {
		return text
	}
	var ask uint8
	for i := range len(s) {
		ask |= asks[s[i]]
	}
	if ask&asksCleaning != 0 {
		s = clean(s)
	}
	if !letterOrDigit(s[0]) && runs(s) {
		s = guard + s
	}
	if ask&asksQuotes == 0 && s[0] != ' ' {
		return append(text, s...)
	}
	text = append(text, '"')
	for {
		before, after, found := strings.Cut(s, `"`)
		text = append(text, before...)
		if !found {
			return append(text, '"')
		}
		text = append(text, `""`...)
		s = after
	}
}

func letterOrDigit(c byte) bool {
	return '0' <= c && c <= '9' || 'A' <= c && c <= 'Z' || 'a' <= c && c <= 'z'
}

// clean makes text of one sort of line break, without control characters and
// with nothing that is not UTF-8.
func clean(s string) string {
	s = strings.ReplaceAll(s, "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n':
			return r
		case r == '\r':
			return '\n'
		case r < ' ':
			return '␀' + r // the pictures stand in the same order
		case r == 0x7f:
			return '␡'
		case unicode.IsControl(r):
			return utf8.RuneError
		}
		return r // U+FFFD for a byte that is not UTF-8
	}, s)
}

// runs reports whether a spreadsheet might take cleaned text for a formula, or
// would if quotes before it were taken off.
func runs(s string) bool {
	s = strings.TrimLeft(s, guard)
	if s == "" {
		return false
	}
	if s[0] == '\t' || s[0] == '\n' {
		return true
	}
	s = strings.TrimLeftFunc(s, unseen)
	first, _ := utf8.DecodeRuneInString(s)
	return strings.ContainsRune("=+-@＝＋－＠", first)
}

// unseen is a character that a spreadsheet may drop before it looks at a cell:
// spaces of all sorts, and marks without a shape such as the byte order mark.
func unseen(r rune) bool { return unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) }

// unguarded takes off what appendText put on, and only that.
func unguarded(s string) string {
	if strings.HasPrefix(s, guard) && runs(s) {
		return s[len(guard):]
	}
	return s
}
