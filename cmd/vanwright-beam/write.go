package main

import (
	"cmp"
	"context"
	"encoding/json"
	"io"
	"slices"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"
)

func init() {
	register.DoFn3x2[context.Context, string, func(*Block) bool, Written, error](&writeFn{})
	register.DoFn3x1[context.Context, int, func(*Written) bool, error](&closeFn{})
	register.Iter1[Block]()
	register.Iter1[Written]()
}

// Written is a file of the group's reports as group.json names it.
type Written struct {
	Name string `json:"name"`
	Rows int    `json:"rows"`
}

// writeFn puts the blocks of one file in order, by yard and then as the yard's
// own report has them, and writes it. It holds the whole file in memory; more
// shards make files smaller.
type writeFn struct{ Out string }

// ProcessElement writes one file.
func (f *writeFn) ProcessElement(ctx context.Context, name string, next func(*Block) bool) (Written, error) {
	var all []Block
	for b := (Block{}); next(&b); b = (Block{}) {
		all = append(all, b)
	}
	slices.SortFunc(all, func(a, b Block) int {
		return cmp.Or(cmp.Compare(a.Yard, b.Yard), cmp.Compare(a.Place, b.Place))
	})
	err := put(ctx, join(f.Out, name), func(w io.Writer) error {
		if _, err := io.WriteString(w, all[0].Header); err != nil {
			return err
		}
		for _, b := range all {
			if _, err := w.Write(b.Text); err != nil {
				return err
			}
		}
		return nil
	})
	written := Written{Name: name}
	for _, b := range all {
		written.Rows += b.Rows
	}
	return written, err
}

// closing is the name of the file that is written last: with it, a set of
// reports is whole.
const closing = "group.json"

// group is group.json.
type group struct {
	AsOf    string    `json:"as_of"`
	Yards   int       `json:"yards"`
	Failed  int       `json:"yards_failed"`
	Outputs []Written `json:"outputs"` // by name
}

// rows counts the rows of all files whose report's name begins so.
func (g group) rows(report string) int {
	n := 0
	for _, w := range g.Outputs {
		if strings.HasPrefix(w.Name, report) {
			n += w.Rows
		}
	}
	return n
}

// closeFn writes group.json once every other file is written, and clears away what
// killed workers left.
type closeFn struct {
	Out, AsOf string
	Yards     int
}

// ProcessElement writes it.
func (f *closeFn) ProcessElement(ctx context.Context, _ int, next func(*Written) bool) error {
	g := group{AsOf: f.AsOf, Yards: f.Yards}
	for w := (Written{}); next(&w); w = (Written{}) {
		if g.Outputs = append(g.Outputs, w); w.Name == failedYards.Name() {
			g.Failed = w.Rows
		}
	}
	slices.SortFunc(g.Outputs, func(a, b Written) int { return cmp.Compare(a.Name, b.Name) })
	if err := clearParts(f.Out); err != nil {
		return err
	}
	return put(ctx, join(f.Out, closing), func(w io.Writer) error {
		enc := json.NewEncoder(w)
		enc.SetIndent("", "  ")
		return enc.Encode(g)
	})
}
