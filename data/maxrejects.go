package data

import "fmt"

// tooManyRejects says that more rows were rejected than LoadOptions.MaxRejects
// allows.
type tooManyRejects struct {
	limit int
	file  string // with the most rejected rows
	first Reject // of that file
}

func (e *tooManyRejects) Error() string {
	return fmt.Sprintf("more than %d %s rejected, most of them in %s, the first as %s; mend the file, or raise max_rejects (0: no limit)",
		e.limit, plural(e.limit, "row is", "rows are"), e.file, e.first)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// withinLimit refuses more rejects than limit; 0 or less is no limit.
func withinLimit(rejects []Reject, limit int) error {
	if limit <= 0 || len(rejects) <= limit {
		return nil
	}
	counts := map[string]int{}
	for _, r := range rejects {
		counts[r.File]++
	}
	first := rejects[0] // of the files with as many the first
	for _, r := range rejects {
		if counts[r.File] > counts[first.File] {
			first = r
		}
	}
	return &tooManyRejects{limit, first.File, first}
}
