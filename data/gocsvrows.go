package data

import (
	"encoding/csv"
	"fmt"

	"github.com/gocarina/gocsv"
)

// gocsvRows is the rowCells of the books, which have some hundred rows: gocsv
// finds the columns by the tags of the raw struct and fills it.
//
// The yard's own tables went through it too, until a yard of 20,000 vans was
// measured: of the 7 s of processor time that reading its 1.5 million rows
// took, most went into gocsv's reflection on every cell of every row. They go
// through splitter now, and the two are compared in a test.
type gocsvRows[R any] struct {
	src *lineSource
	um  *gocsv.Unmarshaller
}

// newGocsvRows reads rows from where src stands. gocsv wants to see the header
// first.
func newGocsvRows[R any](src *lineSource, h header) (*gocsvRows[R], error) {
	defer func(pos int) { src.pos = pos }(src.pos)
	src.pos = h.start
	r := csv.NewReader(src)
	r.Comma = h.comma
	r.ReuseRecord = true
	um, err := gocsv.NewUnmarshaller(r, new(R))
	if err != nil {
		return nil, err
	}
	if err := um.RenormalizeHeaders(func([]string) []string { return h.names }); err != nil {
		return nil, err
	}
	return &gocsvRows[R]{src: src, um: um}, nil
}

// row implements rowCells.
func (g *gocsvRows[R]) row(int, int) (raw *R, end int, err error) {
	got, err := g.um.Read()
	if err != nil {
		return nil, g.src.pos, err
	}
	raw, ok := got.(*R)
	if !ok {
		return nil, g.src.pos, fmt.Errorf("gocsv gave a %T", got)
	}
	return raw, g.src.pos, nil
}
