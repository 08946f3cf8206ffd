package data

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data/internal/spelling"
)

// word reads an optional word of a closed list, in any letter case and with
// spaces or underscores for hyphens.
func word[S ~string](c *cells, column, value string, list []S) S {
	value = trim(value)
	if value == "" {
		return ""
	}
	folded := wordForm(value)
	for _, w := range list {
		if string(w) == folded {
			return w
		}
	}
	for _, w := range list {
		if strings.EqualFold(string(w), folded) { // salvage words are capitals
			return w
		}
	}
	c.refuse(column, value, column+".word", oneOf(c, column, value, list))
	return ""
}

// needWord is word for a cell that must not be blank.
func needWord[S ~string](c *cells, column, value string, list []S) S {
	value = trim(value)
	if value == "" {
		c.refuse(column, value, column+".missing", oneOf(c, column, value, list))
		return ""
	}
	return word(c, column, value, list)
}

// words reads a list separated by semicolons. A word that stands twice is kept
// once.
func words[S ~string](c *cells, column, value string, lists ...[]S) []S {
	all := repeatedWords(c, column, value, lists...)
	once := all[:0]
	for _, w := range all {
		if !slices.Contains(once, w) {
			once = append(once, w)
		}
	}
	return once
}

// repeatedWords is words for a list in which a word may stand more than once.
func repeatedWords[S ~string](c *cells, column, value string, lists ...[]S) []S {
	if value == "" {
		return nil
	}
	out := make([]S, 0, strings.Count(value, ";")+1)
	for item := range strings.SplitSeq(value, ";") {
		item = trim(item)
		if item == "" {
			continue
		}
		if w, ok := findWord(wordForm(item), lists); !ok {
			c.refuse(column, item, column+".word", listExpected(c, column, item, lists))
		} else {
			out = append(out, w)
		}
	}
	return out
}

func listExpected[S ~string](c *cells, column, item string, lists [][]S) string {
	expected := oneOf(c, column, item, slices.Concat(lists...))
	if strings.ContainsAny(item, ",/+&|") {
		expected += "; a list is separated by semicolons"
	}
	return expected
}

// oneOf says what would have been accepted in place of a word: the list where
// it is short, and the nearest word of it.
func oneOf[S ~string](c *cells, column, value string, list []S) string {
	var b strings.Builder
	if len(list) <= 13 {
		b.WriteString("one of ")
		for i, w := range list {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(string(w))
		}
	} else {
		fmt.Fprintf(&b, "a word of the list for %s, such as %s or %s", column, list[0], list[1])
	}
	return b.String() + didYouMean(c, column, value, list)
}

// didYouMean ends a sentence with the word of a list that was probably meant;
// it is blank where none is near.
func didYouMean[S ~string](c *cells, column, value string, list []S) string {
	key := column + "\x00" + value
	near, ok := c.meant[key]
	if !ok {
		near = spelling.Nearest(value, list)
		c.meant[strings.Clone(key)] = near
	}
	if near == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %q?", near)
}

func findWord[S ~string](folded string, lists [][]S) (S, bool) {
	for _, l := range lists {
		for _, w := range l {
			if string(w) == folded {
				return w, true
			}
		}
	}
	return "", false
}

// yesNo reads an optional yes or no; blank is no.
func (c *cells) yesNo(column, value string) bool { return c.optYesNo(column, value).Value }

// optYesNo reads an optional yes or no; blank is unknown.
func (c *cells) optYesNo(column, value string) Opt[bool] {
	w := word(c, column, value, []string{"yes", "no"})
	return Opt[bool]{Value: w == "yes", Known: w != ""}
}

// bookCode reads the code by which another book or table calls a row.
func (c *cells) bookCode(column, value string) string {
	value = strings.TrimSpace(value)
	const expected = "a code of 1 to 60 letters, digits, hyphens, underscores and dots"
	if !c.need(column, value, expected) {
		return ""
	}
	if len(value) > 60 || value[0] == '.' || strings.ContainsFunc(value, notInCode) {
		c.refuse(column, value, column+".form", expected)
		return ""
	}
	return strings.Clone(value)
}

func notInCode(r rune) bool {
	return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.')
}

// codes reads a list of codes separated by semicolons.
func (c *cells) codes(column, value string) []string {
	var out []string
	for code := range strings.SplitSeq(value, ";") {
		if strings.TrimSpace(code) != "" {
			out = append(out, c.bookCode(column, code))
		}
	}
	return out
}

func (c *cells) optCode(column, value string) string {
	if strings.TrimSpace(value) == "" {
		return ""
	}
	return c.bookCode(column, value)
}
