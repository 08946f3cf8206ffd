package csvtable

import (
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data/internal/spelling"
)

// Column is one column of a table of the yard.
type Column struct {
	Name     string
	Required bool     // a file without it is not read
	Also     []string // other names under which it is found
}

// Header is the first line of a table, understood.
type Header struct {
	Comma rune
	Names []string // for each column of the file the name of the column that it is; blank where it is none
	Line  int      // the header's own
	Start int      // offset of the header's line
	End   int      // offset of the line after it, from where on there are rows

	spelt   []string // the names as the file spells them
	unknown []string // those that are no column
	places  []int    // for each column of the file its place among the columns; -1 where it is none
	columns []Column
}

// Has reports whether the file has a column.
func (h Header) Has(column string) bool { return slices.Contains(h.Names, column) }

// MaxHeaderBytes bounds the header, so that a file without line ends is turned
// away before a CSV reader holds all of it.
const MaxHeaderBytes = 2 << 20

// ReadHeader finds the header line, and which of comma, semicolon and tab
// separates its columns: the one that gives most known columns, then most
// columns. A first line "sep=;", as spreadsheets write it, decides at once. The
// error goes on from the name of the file, and says all that is wrong at once.
func ReadHeader(t Text, columns []Column) (Header, error) {
	body := t.Body
	src := &lineSource{body: body, line: 1}
	src.skipBlank()
	commas := []rune{',', ';', '\t'}
	first := string(trimLineEnd(body[src.pos:min(len(body), src.pos+8)]))
	if first, _, _ = strings.Cut(first, "\n"); len(first) >= 5 && strings.EqualFold(first[:4], "sep=") {
		commas = []rune{rune(first[4])}
		src.advance(src.pos, src.lineEnd(src.pos))
		src.skipBlank()
	}
	if src.pos == len(body) {
		return Header{}, fmt.Errorf("is empty; expected a header line with %s", requiredNames(columns))
	}
	if src.lineEnd(src.pos)-src.pos > MaxHeaderBytes {
		return Header{}, fmt.Errorf("has a first line of more than %d MiB; expected a header line", MaxHeaderBytes>>20)
	}
	places := map[string]int{}
	for i, c := range columns {
		places[spelling.Squash(c.Name)] = i
		for _, a := range c.Also {
			places[spelling.Squash(a)] = i
		}
	}
	var best Header
	var bestKnown int
	var failed error
	for _, comma := range commas {
		h, known, err := splitHeader(body, src.pos, comma, columns, places)
		if err != nil {
			failed = err
			continue
		}
		if best.spelt == nil || known > bestKnown || known == bestKnown && len(h.spelt) > len(best.spelt) {
			best, bestKnown = h, known
		}
	}
	if best.spelt == nil {
		return Header{}, fmt.Errorf("has a header on line %d that cannot be read: %w", src.line, failed)
	}
	best.Start, best.Line = src.pos, src.line
	return best, best.check()
}

func splitHeader(body []byte, start int, comma rune, columns []Column, places map[string]int) (Header, int, error) {
	src := &lineSource{body: body[:min(len(body), start+MaxHeaderBytes)], pos: start}
	r := csv.NewReader(src)
	r.Comma = comma
	spelt, err := r.Read()
	if err != nil {
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			err = bad.Err
		}
		return Header{}, 0, err
	}
	h := Header{Comma: comma, spelt: spelt, Names: make([]string, len(spelt)), places: make([]int, len(spelt)), columns: columns, End: src.pos}
	known := 0
	for i, s := range spelt {
		place, ok := places[spelling.Squash(s)]
		switch {
		case ok:
			h.Names[i], h.places[i] = columns[place].Name, place
			known++
		case strings.TrimSpace(s) != "":
			h.unknown = append(h.unknown, strings.TrimSpace(s))
			fallthrough
		default:
			h.places[i] = -1
		}
	}
	return h, known, nil
}

func requiredNames(columns []Column) string {
	var out []string
	for _, c := range columns {
		if c.Required {
			out = append(out, c.Name)
		}
	}
	return strings.Join(out, ", ")
}

// check refuses a header that lacks required columns, repeats one, or holds the
// rows of the table in a name.
func (h Header) check() error {
	var missing, problems []string
	for _, s := range h.unknown {
		// A name may be broken over lines; one with a separator as well, or with
		// many line ends, has rows in it.
		ends := strings.Count(s, "\n")
		if ends > 3 || ends > 0 && strings.ContainsRune(s, h.Comma) {
			problems = append(problems, fmt.Sprintf("has a column whose name holds other lines, %q; look for a quote that is never closed", Shorten(s)))
			break
		}
	}
	for _, c := range h.columns {
		count := 0
		for _, n := range h.Names {
			if n == c.Name {
				count++
			}
		}
		switch {
		case count > 1:
			problems = append(problems, fmt.Sprintf("has the column %q %d times", c.Name, count))
		case count == 0 && c.Required:
			name := fmt.Sprintf("%q", c.Name)
			if near := spelling.Nearest(c.Name, h.unknown); near != "" {
				name += fmt.Sprintf(" (did you mean it by %q?)", Shorten(near))
			}
			missing = append(missing, name)
		}
	}
	if len(missing) > 0 {
		s := ""
		if len(missing) > 1 {
			s = "s"
		}
		problems = slices.Insert(problems, 0, "lacks the required column"+s+" "+strings.Join(missing, ", "))
	}
	if len(problems) == 0 {
		return nil
	}
	return errors.New(strings.Join(problems, " and "))
}

// Unknown names the columns that are left out, in one sentence; blank where
// there are none.
func (h Header) Unknown() string {
	if len(h.unknown) == 0 {
		return ""
	}
	const most = 10
	var free []string // columns that the file does not have yet
	for _, c := range h.columns {
		if !h.Has(c.Name) {
			free = append(free, c.Name)
		}
	}
	var out []string
	for _, u := range h.unknown[:min(most, len(h.unknown))] {
		s := fmt.Sprintf("%q", Shorten(u))
		if near := spelling.Nearest(u, free); near != "" {
			s += fmt.Sprintf(" (did you mean %q?)", near)
		}
		out = append(out, s)
	}
	if more := len(h.unknown) - most; more > 0 {
		out = append(out, fmt.Sprintf("and %d more", more))
	}
	return "unknown columns were left out: " + strings.Join(out, ", ")
}
