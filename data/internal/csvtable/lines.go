package csvtable

import (
	"bytes"
	"io"
)

// lineSource hands a csv.Reader one physical line at each Read. The reader's
// buffer then never runs ahead of the record it works on, so that pos is the
// true place of the next record after every record, and a line that broke the
// reader can be left behind by setting pos.
type lineSource struct {
	body []byte
	pos  int // offset of the next byte to hand out
	end  int // where Read says that there is no more; 0: at the end of body
	line int // 1-based line of pos; kept by advance, not by Read
}

// Read implements io.Reader.
func (s *lineSource) Read(p []byte) (int, error) {
	rest := s.body[s.pos:]
	if s.end > 0 {
		rest = s.body[s.pos:max(s.end, s.pos)]
	}
	if len(rest) == 0 {
		return 0, io.EOF
	}
	if i := bytes.IndexByte(rest[:min(len(rest), len(p))], '\n'); i >= 0 {
		rest = rest[:i+1]
	}
	n := copy(p, rest)
	s.pos += n
	return n, nil
}

// lineEnd returns the offset just past the line that holds offset at.
func (s *lineSource) lineEnd(at int) int {
	if i := bytes.IndexByte(s.body[at:], '\n'); i >= 0 {
		return at + i + 1
	}
	return len(s.body)
}

// advance moves to offset end, which is at or past from, and counts the lines
// between them.
func (s *lineSource) advance(from, end int) {
	s.line += bytes.Count(s.body[from:end], []byte{'\n'})
	s.pos = end
}

// skipBlank moves past empty lines, as csv.Reader does, so that the next
// record starts at pos. Lines of spaces count as empty.
func (s *lineSource) skipBlank() { s.skipBlankTo(len(s.body)) }

// skipBlankTo is skipBlank as far as lines start before limit.
func (s *lineSource) skipBlankTo(limit int) {
	for s.pos < limit {
		if c := s.body[s.pos]; c > ' ' && c < 0x80 {
			return // no space, as nearly always
		}
		end := s.lineEnd(s.pos)
		if len(bytes.TrimSpace(s.body[s.pos:end])) > 0 {
			return
		}
		s.advance(s.pos, end)
	}
}

// trimLineEnd returns b without its last line feed and carriage return.
func trimLineEnd(b []byte) []byte {
	return bytes.TrimSuffix(bytes.TrimSuffix(b, []byte{'\n'}), []byte{'\r'})
}
