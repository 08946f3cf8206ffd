package data

import "fmt"

// DidYouMean returns `; did you mean "x"?` for the candidate that a misspelt
// word most likely means, or nothing where none is near.
func DidYouMean(word string, candidates []string) string {
	if k := nearest(word, candidates); k != "" {
		return fmt.Sprintf("; did you mean %q?", k)
	}
	return ""
}
