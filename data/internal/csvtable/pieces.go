package csvtable

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// pieceBytes is how much of a large text is held at a time. A row and its line are
// always within it.
const pieceBytes = 8 << 20

// Pieces reads a large text piece by piece. Each piece is a Text of whole lines, which
// begins at the row at which the last one was left.
type Pieces struct {
	from  *bufio.Reader
	lines *lineCutter
	next  []byte // of the text, decoded: what was not read yet
	ended bool
	line  int // of the first line of next
	size  int
}

// NewPieces begins to read the text of a file. It refuses what Decode would refuse, and
// line ends that only a text held as a whole shows.
func NewPieces(r io.Reader) (*Pieces, error) {
	in := bufio.NewReaderSize(r, 1<<20)
	head, err := in.Peek(1 << 20)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	if _, err := Decode(head); err != nil {
		return nil, err
	}
	switch {
	case bytes.HasPrefix(head, []byte(utf16LEBOM)), bytes.HasPrefix(head, []byte(utf16BEBOM)):
		decoder := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder()
		in = bufio.NewReaderSize(transform.NewReader(in, decoder), 1<<20)
	case bytes.HasPrefix(head, []byte(utf8BOM)):
		_, _ = in.Discard(len(utf8BOM)) // it was just peeked at
	}
	head, _ = in.Peek(1 << 20)
	first, _, _ := bytes.Cut(head, []byte{'\n'})
	for _, end := range unicodeLineEnds {
		if bytes.Contains(first, []byte(end)) {
			return nil, fmt.Errorf("has other line ends than LF and CR, which are read in files of at most %d MiB; save it as CSV UTF-8", LargeBytes>>20)
		}
	}
	lines := newLineCutter(in)
	return &Pieces{from: bufio.NewReaderSize(lines, 1<<20), lines: lines, line: 1, size: pieceBytes}, nil
}

// LargeBytes is the size from which on files are read piece by piece first.
const LargeBytes = 16 << 20

// Next returns the next piece and the line on which it begins. Rows that start at limit
// or later belong to the next piece: Left says at which of them that begins.
func (p *Pieces) Next() (t Text, line, limit int, err error) {
	raw := make([]byte, p.size)
	n, err := io.ReadFull(p.from, raw)
	raw = raw[:n]
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		p.ended, err = true, nil
	}
	if err != nil {
		return Text{}, 0, 0, err
	}
	if !p.ended { // to the end of the line, and of its line end, unless that has no end
		for raw[len(raw)-1] != '\n' && len(raw) < p.size+2*MaxRowBytes {
			b, err := p.from.ReadByte()
			if errors.Is(err, io.EOF) {
				p.ended = true
				break
			}
			if err != nil {
				return Text{}, 0, 0, err
			}
			if raw[len(raw)-1] == '\r' && b != '\n' && b != '\r' {
				_ = p.from.UnreadByte() // it was just read
				break
			}
			raw = append(raw, b)
		}
	}
	if !utf8.Valid(raw) {
		raw, _ = mendUTF8(raw)
	}
	p.next = append(p.next, plainReturns(raw)...)
	t = Plain(p.next)
	limit = len(t.Body)
	if !p.ended {
		limit = max(0, limit-MaxRowBytes)
	}
	return t, p.line, limit, nil
}

// Left says that the piece was read up to an offset.
func (p *Pieces) Left(end int) {
	p.line += bytes.Count(p.next[:end], []byte{'\n'})
	p.next = bytes.Clone(p.next[end:])
}

// Ended reports whether the last piece was that of the text's end.
func (p *Pieces) Ended() bool { return p.ended }

// Cut reports whether some line so far was too long to be a row.
func (p *Pieces) Cut() bool { return p.lines.cut }

// SpansOf cuts the rows of a part of a text into spans; line is that of start.
func (t Text) SpansOf(start, limit, line, size int) []Span {
	var out []Span
	src := lineSource{body: t.Body, pos: start, line: line}
	for src.pos < limit {
		s := Span{Start: src.pos, End: min(src.lineEnd(min(src.pos+size, limit-1)), limit), Line: src.line}
		src.advance(s.Start, s.End)
		out = append(out, s)
	}
	return out
}

// lineCutter passes bytes on, of a line that is too long to be a row the beginning
// alone.
type lineCutter struct {
	from *bufio.Reader
	line int // bytes of the line so far
	cut  bool
}

// NewLineCutter returns a reader of the same lines, each of at most MaxRowBytes and one
// more bytes, by which it is known to be too long.
func NewLineCutter(r io.Reader) io.Reader { return newLineCutter(r) }

func newLineCutter(r io.Reader) *lineCutter {
	return &lineCutter{from: bufio.NewReaderSize(r, 64<<10)}
}

// Read implements io.Reader.
func (c *lineCutter) Read(p []byte) (int, error) {
	for {
		if _, err := c.from.Peek(1); err != nil || len(p) == 0 {
			return 0, err
		}
		chunk, _ := c.from.Peek(min(c.from.Buffered(), len(p)))
		n := 0
		for rest := chunk; len(rest) > 0; {
			end := bytes.IndexAny(rest, "\r\n")
			switch end {
			case 0: // line ends pass
				p[n] = rest[0]
				n++
				c.line = 0
				rest = rest[1:]
				continue
			case -1:
				end = len(rest)
			}
			kept := copy(p[n:], rest[:min(end, max(0, MaxRowBytes+1-c.line))])
			c.cut = c.cut || kept < end
			c.line += end
			n += kept
			rest = rest[end:]
		}
		_, _ = c.from.Discard(len(chunk)) // it was just peeked at
		if n > 0 {
			return n, nil
		}
	}
}
