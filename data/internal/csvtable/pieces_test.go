package csvtable

import (
	"bytes"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"
)

// The pieces of a text are the text: line by line what Decode makes of it, but for
// lines that are too long.
func TestPiecesAreTheText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		text.WriteString("the_name,note\n")
		for range rapid.IntRange(0, 150).Draw(t, "lines") {
			text.WriteString(rapid.SampledFrom([]string{"a,b", "\"a\nb\",c", "", "\xA3,é", "x,\u2028", strings.Repeat("y", 70_000), ",,"}).Draw(t, "line"))
			text.WriteString(rapid.SampledFrom([]string{"\n", "\r\n", "\r", "\r\r\n"}).Draw(t, "end"))
		}
		raw := []byte(text.String())
		want, err := Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		p, err := NewPieces(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		p.size = rapid.SampledFrom([]int{100_000, 700_000}).Draw(t, "size")
		var got []byte
		lines := 1
		for first := true; first || !p.Ended(); first = false {
			piece, line, limit, err := p.Next()
			if err != nil {
				t.Fatal(err)
			}
			if line != lines {
				t.Fatalf("the piece begins on line %d, want %d", line, lines)
			}
			end := limit // the end of its line, as a row would have it
			for end < len(piece.Body) && end > 0 && piece.Body[end-1] != '\n' {
				end++
			}
			got = append(got, piece.Body[:end]...)
			lines += bytes.Count(piece.Body[:end], []byte{'\n'})
			p.Left(end)
		}
		if !bytes.Equal(got, want.Body) {
			t.Fatalf("%d bytes in pieces, %d as a whole", len(got), len(want.Body))
		}
	})
}

func TestLineCutterCutsLongLinesAlone(t *testing.T) {
	long := strings.Repeat("x", 3*MaxRowBytes)
	fits := strings.Repeat("y", MaxRowBytes)
	for _, tc := range []struct{ in, want string }{
		{"a\nb\r\nc\rd", "a\nb\r\nc\rd"},
		{"a\n" + long + "\nb\n", "a\n" + long[:MaxRowBytes+1] + "\nb\n"},
		{long + "\r" + fits + "\r\n" + long, long[:MaxRowBytes+1] + "\r" + fits + "\r\n" + long[:MaxRowBytes+1]},
		{"\n\n\r\n", "\n\n\r\n"},
		{"", ""},
	} {
		for name, r := range map[string]io.Reader{"at once": strings.NewReader(tc.in), "in halves": iotest.HalfReader(strings.NewReader(tc.in))} {
			got, err := io.ReadAll(NewLineCutter(r))
			if err != nil || string(got) != tc.want {
				t.Errorf("%s: %d bytes, %v; want %d", name, len(got), err, len(tc.want))
			}
		}
	}
}
