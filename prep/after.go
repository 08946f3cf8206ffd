package prep

import (
	"slices"

	"github.com/vanwright/vanwright/data"
)

// linkOrder fills After with the jobs that come first on this van. Where the
// book's chain runs through a job that this van does not have, the link skips
// it: reseal still follows strip when nothing needed drying.
func linkOrder(jobs []Job, books *data.Books) {
	present := map[string]bool{}
	for _, j := range jobs {
		present[j.Code] = true
	}
	seen := map[string]bool{}
	for i := range jobs {
		clear(seen)
		var first []string
		var walk func(code string)
		walk = func(code string) {
			book, ok := books.Job(code)
			if !ok {
				return
			}
			for _, before := range book.After {
				if seen[before] {
					continue
				}
				seen[before] = true
				if present[before] {
					first = append(first, before)
				} else {
					walk(before)
				}
			}
		}
		walk(jobs[i].Code)
		slices.Sort(first)
		jobs[i].After = first
	}
}

// linkTests puts the tests after all gas and 230 V work, and photographs after
// the valet, even where the labour book forgets to say so. What the book wants
// after a test stays there.
func linkTests(jobs []Job) {
	for i := range jobs {
		last := &jobs[i]
		for _, earlier := range jobs {
			if earlier.Code != last.Code && closes(*last, earlier) && !slices.Contains(last.After, earlier.Code) &&
				!waitsFor(jobs, earlier.Code, last.Code) {
				last.After = append(last.After, earlier.Code)
			}
		}
		slices.Sort(last.After)
	}
}

// closes reports whether last tests or shows what earlier did.
func closes(last, earlier Job) bool {
	switch last.Code {
	case gasTestJob:
		return earlier.Skill == "gas"
	case electricalTestJob:
		return earlier.Skill == "electrical"
	case photographsJob:
		return earlier.Code == valetJob
	}
	return false
}

// waitsFor reports whether one job of a van comes after another, directly or
// not.
func waitsFor(jobs []Job, code, before string) bool {
	seen := map[string]bool{}
	var walk func(code string) bool
	walk = func(code string) bool {
		if seen[code] {
			return false
		}
		seen[code] = true
		return slices.ContainsFunc(jobOf(jobs, code).After, func(b string) bool { return b == before || walk(b) })
	}
	return walk(code)
}
