package pages

import (
	"html/template"

	qr "github.com/piglig/go-qr"
)

// quietZone is the white margin that a QR code needs, in modules: 4 by ISO/IEC
// 18004 (from memory).
const quietZone = 4

// qrSmallest and qrLargest are the versions that a code may have; qrMask is the
// pattern laid over its data. Readers take any of the eight: to try all of them for
// the evenest took four fifths of the time of each code.
const (
	qrSmallest, qrLargest = 1, 40
	qrMask                = 3
)

// qrCode is a QR code as one path of unit squares, drawn for a page.
type qrCode struct {
	Content string
	Size    int // modules with the margin
	drawing markup
}

// HTML is the picture.
func (q *qrCode) HTML() template.HTML { return q.drawing.HTML() }

// qrOf encodes a text; nil where it is too long for any code. The text of a
// job card is the start of a row of progress.csv, so that a scanner that types
// fills in the first two columns.
func qrOf(content string) *qrCode {
	segments, err := qr.MakeSegments(content)
	if err != nil {
		return nil
	}
	code, err := qr.EncodeSegments(segments, qr.Medium, qrSmallest, qrLargest, qrMask, true)
	if err != nil {
		return nil
	}
	return drawn(content, code.Size(), code.Module)
}

// drawn makes the path of a code of size modules on each side: for each run of
// dark modules in a row, as in M4 4h7v1h-7z.
func drawn(content string, size int, dark func(x, y int) bool) *qrCode {
	all := size + 2*quietZone
	m := make(markup, 0, 8<<10)
	add := func(before constant, n int) {
		m.raw(before)
		m.number(n)
	}
	add(`<svg class="qr" viewBox="0 0 `, all)
	add(` `, all)
	add(`" role="img" aria-label="QR code of this job"><rect width="`, all)
	add(`" height="`, all)
	m.raw(`"/><path d="`)
	for y := range size {
		for x := 0; x < size; x++ {
			run := x
			for run < size && dark(run, y) {
				run++
			}
			if run == x {
				continue
			}
			add("M", x+quietZone)
			add(" ", y+quietZone)
			add("h", run-x)
			add("v1h-", run-x)
			m.raw("z")
			x = run
		}
	}
	m.raw("\"/></svg>\n")
	return &qrCode{Content: content, Size: all, drawing: m}
}
