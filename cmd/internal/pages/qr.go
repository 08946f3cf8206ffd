package pages

import (
	"fmt"
	"strings"

	qrcode "github.com/skip2/go-qrcode"
)

// quietZone is the white margin that a QR code needs, in modules: 4 by ISO/IEC
// 18004 (from memory).
const quietZone = 4

// qrCode is a QR code as one path of unit squares.
type qrCode struct {
	Content string
	Size    int // modules with the margin
	Path    string
}

// qrOf encodes a text; nil where it is too long for any code. The text of a
// job card is the start of a row of progress.csv, so that a scanner that types
// fills in the first two columns.
func qrOf(content string) *qrCode {
	code, err := qrcode.New(content, qrcode.Medium)
	if err != nil {
		return nil
	}
	code.DisableBorder = true
	bitmap := code.Bitmap()
	var path strings.Builder
	for y, row := range bitmap {
		for x := 0; x < len(row); x++ {
			if !row[x] {
				continue
			}
			run := x
			for run < len(row) && row[run] {
				run++
			}
			fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quietZone, y+quietZone, run-x, run-x)
			x = run
		}
	}
	return &qrCode{Content: content, Size: len(bitmap) + 2*quietZone, Path: path.String()}
}
