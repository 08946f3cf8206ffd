// Package spelling compares words as people type them.
package spelling

import (
	"fmt"
	"strings"
)

// Squash brings a header or code to the form in which two spellings of it are
// equal: case, spaces, hyphens and underscores do not count.
func Squash(s string) string {
	return strings.Map(func(r rune) rune {
		switch r {
		case ' ', '_', '-', '\u00A0', '\uFEFF', '\u200B':
			return -1
		}
		return r
	}, strings.ToLower(strings.TrimSpace(s)))
}

// Nearest returns the candidate that a misspelt word most likely means; blank
// where none is near. The first of equally near candidates wins.
func Nearest[S ~string](word string, candidates []S) string {
	word = Squash(word)
	best, bestCost := "", 3 // two slips at most
	for _, c := range candidates {
		k := Squash(string(c))
		if len(k)-len(word) > 2 || len(word)-len(k) > 2 {
			continue
		}
		// In a short word two slips make any word into any other.
		if cost := distance(word, k); cost < bestCost && 3*cost <= max(len(k), 3) {
			best, bestCost = string(c), cost
		}
	}
	return best
}

// DidYouMean returns `; did you mean "x"?` for the candidate that a misspelt
// word most likely means, or nothing where none is near.
func DidYouMean[S ~string](word string, candidates []S) string {
	if near := Nearest(word, candidates); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}

// distance counts the letters to add, drop, change or swap with a neighbour to
// make a into b.
func distance(a, b string) int {
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
