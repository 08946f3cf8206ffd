package data

import (
	"fmt"
	"hash/fnv"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// tally counts the rows that will be rejected, table by table, and keeps none of them.
// It counts none too many: what rows of several tables say together, such as those of
// a slip that is refused, it may leave out.
type tally struct {
	limit int // of rejects; 0 or less: none, nor of their size

	rejects, bytes int
	files          []talliedFile
}

// talliedFile is a file with rejected rows.
type talliedFile struct {
	name    string
	rejects int
	first   Reject
}

// add counts rejects of a file, which come file by file. Its error says that there are
// too many.
func (t *tally) add(name string, rejects ...Reject) error {
	if len(rejects) == 0 {
		return nil
	}
	if n := len(t.files); n == 0 || t.files[n-1].name != name {
		t.files = append(t.files, talliedFile{name: name, first: rejects[0]})
	}
	f := &t.files[len(t.files)-1]
	f.rejects += len(rejects)
	t.rejects += len(rejects)
	for _, r := range rejects {
		t.bytes += len(r.Row)
		if r.Rule == "row.length" {
			t.bytes += csvtable.MaxRowBytes
		}
	}
	switch {
	case t.limit > 0 && t.rejects > t.limit:
		return t.tooMany()
	case t.limit > 0 && t.bytes > maxRejectedBytes:
		return fmt.Errorf("%s: rows of more than %d MiB are rejected, the first as %s; mend the file, or raise max_rejects (0: no limit)", name, maxRejectedBytes>>20, f.first)
	}
	return nil
}

// tooMany names the file with most rejects so far; of several the first.
func (t *tally) tooMany() *tooManyRejects {
	most := talliedFile{}
	for _, f := range t.files {
		if f.rejects > most.rejects {
			most = f
		}
	}
	return &tooManyRejects{t.limit, most.name, most.first}
}

// doubleOf is the reject of a row whose key another has.
func doubleOf[T any](k uniqueKey[T], r *T) Reject {
	at := k.source(r)
	return Reject{File: at.File, Line: at.Line, Column: k.column, Value: csvtable.Shorten(k.value(r)), Expected: "one row for " + k.shown(r), Rule: k.rule()}
}

// maxKeysSeen is of how many keys is known that they were seen: what comes after them
// is counted as new.
const maxKeysSeen = 2 << 20

// keysSeen are keys by their digests.
type keysSeen map[uint64]struct{}

// again reports whether a key was seen before.
func (s keysSeen) again(key string) bool {
	sum := fnv.New64a()
	_, _ = sum.Write([]byte(key)) // never fails
	k := sum.Sum64()
	if _, known := s[k]; known {
		return true
	}
	if len(s) < maxKeysSeen {
		s[k] = struct{}{}
	}
	return false
}
