package data

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// uniqueKey says what a row of a table is known by. Of rows of one source, a
// table or a slip, that have the same key, one is used where all say the same,
// and none where they do not, so that their order decides nothing. Of rows of
// several sources that of the last counts, and the others are history.
type uniqueKey[T any] struct {
	column string           // that is to blame
	value  func(*T) string  // of that column
	of     func(*T) string  // the key; blank: the row has none
	shown  func(*T) string  // the key as a person says it
	source func(*T) *Source // of the record
	// same reports whether two rows of one key say the same; nil: whether they
	// are the same but for their source.
	same func(a, b *T) bool
	// prefer orders rows that say the same: the first is used. nil: as read.
	prefer func(a, b *T) int
}

// rule is that of rows that cannot be used because of others.
func (k uniqueKey[T]) rule() string { return k.column + ".duplicate" }

// alike reports whether two records say the same.
func (k uniqueKey[T]) alike(a, b *T) bool {
	if k.same != nil {
		return k.same(a, b)
	}
	x, y := *a, *b
	*k.source(&x), *k.source(&y) = Source{}, Source{}
	return reflect.DeepEqual(x, y)
}

// settle decides among records of one key, in the order in which they were
// read. It returns the place of the one that counts, -1 for none; where those
// stand that it replaces; and the rejects of those that cannot be used, without
// the text of their rows.
func (k uniqueKey[T]) settle(group []*T) (counts int, replaced []Source, rejects []Reject) {
	counts = -1
	for start := 0; start < len(group); {
		file := k.source(group[start]).File
		end := start + 1
		for end < len(group) && k.source(group[end]).File == file {
			end++
		}
		same := group[start:end]
		agree := !slices.ContainsFunc(same[1:], func(r *T) bool { return !k.alike(same[0], r) })
		if agree {
			if counts >= 0 {
				replaced = append(replaced, *k.source(group[counts]))
			}
			counts = start + k.preferred(same)
		}
		for i, r := range same {
			if agree && start+i == counts {
				continue
			}
			rejects = append(rejects, k.reject(r, same, agree))
		}
		start = end
	}
	return counts, replaced, rejects
}

func (k uniqueKey[T]) preferred(same []*T) int {
	best := 0
	for i := range same {
		if k.prefer != nil && k.prefer(same[i], same[best]) < 0 {
			best = i
		}
	}
	return best
}

func (k uniqueKey[T]) reject(r *T, same []*T, agree bool) Reject {
	at := k.source(r)
	expected := fmt.Sprintf("one row for %s; line %d says the same", k.shown(r), k.source(same[k.preferred(same)]).Line)
	if !agree {
		lines := make([]string, 0, len(same))
		for _, s := range same[:min(len(same), 5)] {
			lines = append(lines, fmt.Sprint(k.source(s).Line))
		}
		if len(same) > 5 {
			lines = append(lines, "…")
		}
		expected = fmt.Sprintf("one row for %s; lines %s say different things, so none of them is used", k.shown(r), strings.Join(lines, ", "))
	}
	return Reject{File: at.File, Line: at.Line, Column: k.column, Value: csvtable.Shorten(k.value(r)), Expected: expected, Rule: k.rule()}
}

// apart returns the records of the sources of a table that count, in the order
// in which they were read.
func (k uniqueKey[T]) apart(sources []*table[T]) []T {
	pieces := 0
	for _, t := range sources {
		pieces += t.input.Accepted
	}
	all := make([]T, 0, pieces)
	for _, t := range sources {
		for _, records := range t.records {
			all = append(all, records...)
		}
		t.records = nil
	}
	first := make(map[string]int32, len(all))
	places := map[string][]int32{} // of keys of more than one record
	var twice []string             // the same keys, in the order read
	for i := range all {
		key := k.of(&all[i])
		if key == "" {
			continue
		}
		if at, known := first[key]; !known {
			first[key] = int32(i)
		} else {
			if places[key] == nil {
				places[key] = []int32{at}
				twice = append(twice, key)
			}
			places[key] = append(places[key], int32(i))
		}
	}
	if len(twice) == 0 {
		return all
	}
	dropped := map[int32]bool{}
	rejects := map[string][]Reject{}
	for _, key := range twice {
		group := make([]*T, len(places[key]))
		for i, place := range places[key] {
			group[i] = &all[place]
			dropped[place] = true
		}
		counts, replaced, bad := k.settle(group)
		if counts >= 0 {
			delete(dropped, places[key][counts])
		}
		noteReplaced(sources, replaced)
		for _, r := range bad {
			rejects[r.File] = append(rejects[r.File], r)
		}
	}
	for _, t := range sources {
		t.withdraw(rejects[t.file.name])
	}
	kept := all[:0]
	for i := range all {
		if !dropped[int32(i)] {
			kept = append(kept, all[i])
		}
	}
	return kept
}

// noteReplaced keeps with each source of a table which of its records a later
// source replaced.
func noteReplaced[T any](sources []*table[T], replaced []Source) {
	for _, t := range sources {
		for _, at := range replaced {
			if at.File == t.file.name {
				t.replaced = append(t.replaced, at)
			}
		}
	}
}
