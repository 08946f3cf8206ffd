package data

import (
	"fmt"
	"strings"
	"unicode/utf8"
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

// foldWord brings a word of a closed list to the form in which the lists are
// written: lower case, with hyphens for spaces and underscores.
func foldWord(s string) string {
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

// squash brings a header or code to the form in which two spellings of it are
// equal: case, spaces, hyphens and underscores do not count.
func squash(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '_', '-', '\u00A0', '\uFEFF', '\u200B':
			return -1
		}
		return r
	}, strings.ToLower(strings.TrimSpace(s)))
}

// nearest returns the candidate that a misspelt word most likely means; blank
// where none is near. The first of equally near candidates wins.
func nearest[S ~string](word string, candidates []S) string {
	word = squash(word)
	best, bestCost := "", 3 // two slips at most
	for _, c := range candidates {
		k := squash(string(c))
		if len(k)-len(word) > 2 || len(word)-len(k) > 2 {
			continue
		}
		// In a short word two slips make any word into any other.
		if cost := slips(word, k); cost < bestCost && 3*cost <= max(len(k), 3) {
			best, bestCost = string(c), cost
		}
	}
	return best
}

// slips counts the letters to add, drop, change or swap with a neighbour to
// make a into b.
func slips(a, b string) int {
	before, prev, cur := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		for j := 1; j <= len(b); j++ {
			change := prev[j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			cur[j] = min(change, prev[j]+1, cur[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
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
	if k := nearest(word, candidates); k != "" {
		return fmt.Sprintf("; did you mean %q?", k)
	}
	return ""
}
