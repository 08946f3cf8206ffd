package data

import (
	"bytes"

	"github.com/vanwright/vanwright/data/internal/csvtable"
)

// vanLines tells which lines of a table are rows of vans that were not asked for.
type vanLines struct {
	ids   map[string]bool // wanted, in lower case
	comma byte
	// first is whether the stock_id is the first column, where it is found
	// without splitting the line. Elsewhere no line is passed over.
	first bool
	id    []byte // of the last line, in lower case
}

func newVanLines(h csvtable.Header, wanted map[string]bool) *vanLines {
	return &vanLines{ids: wanted, comma: byte(h.Comma), first: len(h.Names) > 0 && h.Names[0] == "stock_id"}
}

// others reports whether a line is a whole row, its quotes being even, of a van
// that is not wanted. The stock_id is taken in any letter case, because two that
// differ only in that are duplicates.
func (s *vanLines) others(line []byte) bool {
	end := bytes.IndexByte(line, s.comma)
	if !s.first || end < 0 || bytes.Count(line, []byte{'"'})%2 != 0 {
		return false
	}
	s.id = s.id[:0]
	for _, c := range bytes.TrimSpace(line[:end]) {
		if c == '"' || c >= 0x80 { // as it stands this is no stock_id: it is looked at
			return false
		}
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		s.id = append(s.id, c)
	}
	return len(s.id) > 0 && !s.ids[string(s.id)]
}
