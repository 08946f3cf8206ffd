package data

// pieceBytes is how much of a table one worker reads at a time: small enough
// that two cores share even a table of some megabytes, large enough that the
// handing over costs nothing.
const pieceBytes = 256 << 10

// span is a stretch of whole lines of a file.
type span struct {
	start, limit int
	line         int // of start
}

// cut cuts the rows of a file into spans of about the given size. Lines are not
// always rows: a span may begin within a cell that holds line breaks. Who reads
// the span before it finds out; see tableReader.take.
func cut(body []byte, from lineSource, size int) []span {
	var out []span
	src := &from
	for src.pos < len(body) {
		s := span{start: src.pos, limit: src.lineEnd(min(src.pos+size, len(body)-1)), line: src.line}
		src.advance(s.start, s.limit)
		out = append(out, s)
	}
	return out
}

// piece is what the rows of one span gave.
type piece[T any] struct {
	first int // where its first row starts
	end   int // where the first row after it starts
	err   error

	records []T       // of rows in which nothing is wrong by themselves
	pending []openRow // what must be settled in the order of the file

	skipped            int
	hollow, hollowLine int

	cells *cells
}

// openRow is a row that cannot be used, or one that can be if no other row
// above it has its key.
type openRow struct {
	text   rowText
	above  int // records of its piece above it; if nothing is wrong with it, its own place among them
	key    rowKey
	bad    []badCell
	spoilt int // how many of them the sheet itself spoils
}

// clear makes a piece ready for another span; its room is used again.
func (p *piece[T]) clear() {
	*p = piece[T]{cells: p.cells, records: p.records[:0], pending: p.pending[:0]}
}
