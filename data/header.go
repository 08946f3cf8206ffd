package data

import (
	"encoding/csv"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// Column is one column of a table of the yard.
type Column struct {
	Name     string
	Required bool     // a file without it is not read
	Also     []string // other names under which it is found
}

// columnsOf reads the columns of a table from the tags of its raw struct:
// `csv:"stock_id" need:"yes" also:"id"`.
func columnsOf[R any]() []Column {
	t := reflect.TypeFor[R]()
	out := make([]Column, 0, t.NumField())
	for f := range t.Fields() {
		c := Column{Name: f.Tag.Get("csv"), Required: f.Tag.Get("need") == "yes"}
		if also := f.Tag.Get("also"); also != "" {
			c.Also = strings.Split(also, ",")
		}
		out = append(out, c)
	}
	return out
}

// header is the first line of a table, understood.
type header struct {
	comma   rune
	names   []string // for each column of the file the contract's name; blank where it has none
	spelt   []string // the same as the file spells them
	start   int      // offset of the header's line
	line    int      // its number
	end     int      // offset of the line after it, from where on there are rows
	unknown []string // columns that the contract does not know, as spelt
}

// has reports whether the file has the contract's column.
func (h header) has(column string) bool { return slices.Contains(h.names, column) }

// maxHeaderBytes bounds the header, so that a file without line ends is turned
// away before a CSV reader holds all of it.
const maxHeaderBytes = 16 << 20

// readHeader finds the header line, and which of comma, semicolon and tab
// separates its columns: the one that gives most known columns, then most
// columns. A first line "sep=;", as spreadsheets write it, decides at once.
func readHeader(body []byte, columns []Column) (header, error) {
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
		return header{}, fmt.Errorf("is empty; expected a header line with %s", neededNames(columns))
	}
	if src.lineEnd(src.pos)-src.pos > maxHeaderBytes {
		return header{}, fmt.Errorf("has a first line of more than %d MiB; expected a header line", maxHeaderBytes>>20)
	}
	names := map[string]string{}
	for _, c := range columns {
		names[squash(c.Name)] = c.Name
		for _, a := range c.Also {
			names[squash(a)] = c.Name
		}
	}
	var best header
	var bestKnown int
	var failed error
	for _, comma := range commas {
		h, known, err := splitHeader(body, src.pos, comma, names)
		if err != nil {
			failed = err
			continue
		}
		if best.spelt == nil || known > bestKnown || known == bestKnown && len(h.spelt) > len(best.spelt) {
			best, bestKnown = h, known
		}
	}
	if best.spelt == nil {
		return header{}, fmt.Errorf("has a header on line %d that cannot be read: %w", src.line, failed)
	}
	best.start, best.line = src.pos, src.line
	return best, best.check(columns)
}

func splitHeader(body []byte, start int, comma rune, names map[string]string) (header, int, error) {
	src := &lineSource{body: body, pos: start}
	r := csv.NewReader(src)
	r.Comma = comma
	spelt, err := r.Read()
	if err != nil {
		var bad *csv.ParseError
		if errors.As(err, &bad) {
			err = bad.Err
		}
		return header{}, 0, err
	}
	h := header{comma: comma, spelt: spelt, names: make([]string, len(spelt)), end: src.pos}
	known := 0
	for i, s := range spelt {
		if name, ok := names[squash(s)]; ok {
			h.names[i] = name
			known++
		} else if strings.TrimSpace(s) != "" {
			h.unknown = append(h.unknown, strings.TrimSpace(s))
		}
	}
	return h, known, nil
}

func neededNames(columns []Column) string {
	var out []string
	for _, c := range columns {
		if c.Required {
			out = append(out, c.Name)
		}
	}
	return strings.Join(out, ", ")
}

// check refuses a header that lacks needed columns or repeats one, with all
// that is wrong in one error.
func (h header) check(columns []Column) error {
	var missing, repeated []string
	for _, c := range columns {
		count := 0
		for _, n := range h.names {
			if n == c.Name {
				count++
			}
		}
		switch {
		case count > 1:
			repeated = append(repeated, fmt.Sprintf("has the column %q %d times", c.Name, count))
		case count == 0 && c.Required:
			name := fmt.Sprintf("%q", c.Name)
			if near := nearest(c.Name, h.unknown); near != "" {
				name += fmt.Sprintf(" (did you mean it by %q?)", shorten(near))
			}
			missing = append(missing, name)
		}
	}
	problems := repeated
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

// unknownWarning names the columns that were left out; blank where there are
// none.
func (h header) unknownWarning(columns []Column) string {
	if len(h.unknown) == 0 {
		return ""
	}
	const most = 10
	var free []string // columns that the file does not have yet
	for _, c := range columns {
		if !h.has(c.Name) {
			free = append(free, c.Name)
		}
	}
	var out []string
	for _, u := range h.unknown[:min(most, len(h.unknown))] {
		s := fmt.Sprintf("%q", shorten(u))
		if near := nearest(u, free); near != "" {
			s += fmt.Sprintf(" (did you mean %q?)", near)
		}
		out = append(out, s)
	}
	if more := len(h.unknown) - most; more > 0 {
		out = append(out, fmt.Sprintf("and %d more", more))
	}
	return "unknown columns were left out: " + strings.Join(out, ", ")
}
