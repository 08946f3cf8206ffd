package data

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/vanwright/vanwright/data/internal/spelling"
)

// trim is strings.TrimSpace, at once for the cells that have nothing round them,
// which are nearly all.
func trim(s string) string {
	if len(s) == 0 || isInk(s[0]) && isInk(s[len(s)-1]) {
		return s
	}
	return strings.TrimSpace(s)
}

func isInk(b byte) bool { return b > ' ' && b < utf8.RuneSelf }

// wordForm brings a word of a closed list to the form in which the lists are
// written: lower case, with hyphens for spaces and underscores.
func wordForm(s string) string {
	plain := true
	for i := range len(s) {
		if c := s[i]; c == ' ' || c == '_' || c >= 'A' && c <= 'Z' || c >= 0x80 {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool {
		return r == ' ' || r == '_' || r == '\u00A0'
	}), "-")
}

// interner keeps one copy of each string that repeats down a column, so that a
// record does not hold the text of its whole row in memory.
type interner map[string]string

func (in interner) keep(s string) string {
	if s == "" {
		return ""
	}
	if kept, ok := in[s]; ok {
		return kept
	}
	s = strings.Clone(s)
	in[s] = s
	return s
}

// DidYouMean returns `; did you mean "x"?` for the candidate that a misspelt
// word most likely means, or nothing where none is near.
func DidYouMean(word string, candidates []string) string {
	return spelling.DidYouMean(word, candidates)
}

// shownName is a file's name as messages show it: in quotes, with escapes, where it
// has characters that would forge a line or work a terminal.
func shownName(name string) string {
	if quoted := strconv.Quote(name); quoted != `"`+name+`"` {
		return quoted
	}
	return name
}
