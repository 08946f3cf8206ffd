// Package wordstest holds what people do not read on a page or in a mail, for the
// tests of all that people see.
//
//	unfit := wordstest.New(books)
//	for _, why := range unfit.In("Waits for part gas-hose") { … }
package wordstest

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Unfit tells what in a text is not for people.
type Unfit struct{ codes map[string]bool }

// Forms of what is not for people, by what they are.
const (
	Date       = "a date of the tables"
	File       = "a file"
	FromMemory = "a limit from memory"
)

var forms = []struct {
	what string
	form *regexp.Regexp
}{
	{Date, regexp.MustCompile(`\b\d{4}-\d\d-\d\d\b`)},
	{"a space before %", regexp.MustCompile(`\d %`)},
	{File, regexp.MustCompile(`\b[\w-]+\.(?:csv|json|yaml|xlsx)\b`)},
	{"a column", regexp.MustCompile(`\b[a-z]+_[a-z_0-9]+\b`)},
	{"an address", regexp.MustCompile(`https?://|\bwww\.|\.(?:com|co\.uk|org|net|info)\b|\.uk\b`)},
	{FromMemory, regexp.MustCompile(`(?i)\bfrom memory\b`)},
	{"one of something in the plural", regexp.MustCompile(`\b(?:limit of |^)1 [a-z]+s\b`)},
}

var hyphened = regexp.MustCompile(`[a-z0-9]+(?:-[a-z0-9]+)+`)

// New takes the codes that stand in words elsewhere from books: those of jobs,
// parts, points and places, and those of equipment, bodies and papers.
func New(t testing.TB, books *data.Books) Unfit {
	t.Helper()
	u := Unfit{map[string]bool{}}
	for _, j := range books.Labour {
		u.Add(j.Code)
	}
	for _, p := range books.Parts {
		u.Add(p.Code)
	}
	for _, c := range books.Checkpoints {
		u.Add(c.Code, c.Zone)
		u.Add(c.Positions...)
	}
	u.Add(data.EquipmentWords...)
	u.Add(data.DocumentKinds...)
	for _, b := range data.Bodies {
		u.Add(string(b))
	}
	// English words that are a code too, as the books' own words have them: a
	// number-plate lamp, a flame-failure device.
	english := func(texts ...string) {
		for _, text := range texts {
			for _, w := range hyphened.FindAllString(text, -1) {
				delete(u.codes, w)
			}
		}
	}
	for _, j := range books.Labour {
		english(j.Title, j.Caution)
	}
	for _, p := range books.Parts {
		english(p.Title)
	}
	for _, c := range books.Checkpoints {
		english(c.Title, c.How, c.Caution)
	}
	if len(u.codes) < 300 {
		t.Fatalf("only %d codes are known", len(u.codes))
	}
	return u
}

// Add adds codes, but for those that read as their titles do.
func (u Unfit) Add(codes ...string) {
	for _, code := range codes {
		if strings.Contains(code, "-") && data.Title(code) != code {
			u.codes[code] = true
		}
	}
}

// In says what in a text is not for people, but for what is excused: none where it
// is fit to be read.
func (u Unfit) In(text string, excused ...string) []string {
	var out []string
	for _, f := range forms {
		if m := f.form.FindString(text); m != "" && !slices.Contains(excused, f.what) {
			out = append(out, fmt.Sprintf("%s, %q: %.120s", f.what, m, text))
		}
	}
	for _, w := range hyphened.FindAllString(text, -1) {
		if u.codes[w] {
			out = append(out, fmt.Sprintf("the code %s: %.120s", w, text))
		}
	}
	return out
}
