package mail

import (
	"bufio"
	"io"
	"strings"
	"unicode/utf8"
)

// width is how many characters a line of text may have: mail programs break
// longer ones, RFC 5322 section 2.1.1 asks for no more.
const width = 78

// Text writes the digest as text/plain in UTF-8, with lines of at most 78
// characters.
func (d Digest) Text(w io.Writer) error {
	t := textWriter{bufio.NewWriter(w)}
	t.paragraph("", d.Title)
	for _, p := range d.Lead {
		t.line("")
		t.paragraph("", p)
	}
	for _, s := range d.Sections {
		t.section(d, s)
	}
	t.line("")
	t.line("--")
	for _, p := range d.Foot {
		t.paragraph("", p)
	}
	return t.out.Flush()
}

// textWriter leaves errors to the last Flush.
type textWriter struct{ out *bufio.Writer }

func (t textWriter) line(s string) {
	t.out.WriteString(s)
	t.out.WriteByte('\n')
}

func (t textWriter) section(d Digest, s Section) {
	t.line("")
	t.line(s.Title)
	t.line(strings.Repeat("-", utf8.RuneCountInString(s.Title)))
	if len(s.Figures) > 0 {
		t.figure(Figure{"", d.Columns[0], d.Columns[1], d.Columns[2]})
		for _, f := range s.Figures {
			t.figure(f)
		}
	}
	if s.Note != "" {
		t.paragraph("", s.Note)
	}
	for _, item := range s.Items {
		t.paragraph("- ", item.line())
	}
	if s.More != "" {
		t.paragraph("- ", s.More)
	}
}

// figure writes one line of the table; columns that are blank in every line are
// not worth their width.
func (t textWriter) figure(f Figure) {
	line := padRight(f.What, 26)
	for _, cell := range []string{f.Before, f.Now, f.Change} {
		if cell != "" {
			line += " " + padLeft(cell, 16)
		}
	}
	t.line(line)
}

func padRight(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s)))
}
func padLeft(s string, n int) string {
	return strings.Repeat(" ", max(0, n-utf8.RuneCountInString(s))) + s
}

// line is an item in one line of text: LV147 Corvane Lanner 599: sold for £500.
func (i Item) line() string {
	if i.Van == "" {
		return i.Text
	}
	return strings.TrimSpace(i.Van+" "+shorten(i.Name, 50)) + ": " + i.Text
}

// paragraph writes words in lines that are not too long. The first begins with
// mark, the others with as many spaces.
func (t textWriter) paragraph(mark, text string) {
	indent := strings.Repeat(" ", len(mark))
	line, used := mark, len(mark)
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if used > len(indent) && used+1+n > width {
			t.line(line)
			line, used = indent, len(indent)
		}
		if used > len(indent) {
			line, used = line+" ", used+1
		}
		for used+n > width { // a word longer than a line
			cut := string([]rune(word)[:width-used])
			t.line(line + cut)
			word, n = word[len(cut):], n-(width-used)
			line, used = indent, len(indent)
		}
		line, used = line+word, used+n
	}
	t.line(line)
}
