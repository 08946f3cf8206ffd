package main

import (
	"bytes"
	"iter"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
)

// Block is some rows of one yard's report on their way to the group's. Rows
// travel many at a time, because each element of a pipeline is encoded, sent
// and grouped by itself.
type Block struct {
	Yard   string
	Place  int    // of the first row in the yard's own report, from 0
	Header string // of the group's report, with its line end
	Rows   int
	Text   []byte // whole rows with the yard before each
}

// blockBytes is about how much text a block holds: little against the largest
// element that runners take, much against what an element costs.
const blockBytes = 256 << 10

var yardColumn = csvout.New("yard", nil, csvout.Text("yard", func(yard string) string { return yard }))

// cell is a yard's name as a report writes it.
func cell(yard string) string {
	var text strings.Builder
	_, _ = yardColumn.Write(&text, slices.Values([]string{yard})) // a Builder takes all
	_, row, _ := strings.Cut(text.String(), "\n")
	return strings.TrimSuffix(row, "\n")
}

// blocks turns a yard's report into blocks of the group's. A report of no rows
// is one block, so that the header gets there.
func blocks(yard string, report []byte) iter.Seq[Block] {
	header, rest, _ := bytes.Cut(report, []byte("\n"))
	before := cell(yard) + ","
	next := Block{Yard: yard, Header: "yard," + string(header) + "\n"}
	return func(yield func(Block) bool) {
		b := next
		for row := range records(rest) {
			if len(b.Text) > 0 && len(b.Text)+len(row) > blockBytes {
				if !yield(b) {
					return
				}
				b.Place, b.Rows, b.Text = b.Place+b.Rows, 0, nil
			}
			b.Text = append(append(b.Text, before...), row...)
			b.Rows++
		}
		yield(b)
	}
}

// records yields the rows of a report that package table wrote, each with its
// line end. Those within quotes belong to a row: quotes stand only around
// fields, or doubled within them, so that a row ends at the first line end
// after an even number of them.
func records(text []byte) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		for len(text) > 0 {
			end, quoted := 0, false
			for end < len(text) && (quoted || text[end] != '\n') {
				if text[end] == '"' {
					quoted = !quoted
				}
				end++
			}
			end = min(end+1, len(text))
			if !yield(text[:end]) {
				return
			}
			text = text[end:]
		}
	}
}
