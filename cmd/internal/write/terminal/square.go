package terminal

import (
	"bufio"
	"io"

	qr "github.com/piglig/go-qr"
)

// squareMargin is the white margin of a square, in modules. The standard asks for
// 4 (ISO/IEC 18004, from memory); cameras find one on a screen with 2.
const squareMargin = 2

// Square prints a QR code of a text, two modules to a character, dark on a light
// ground whatever the colours of the terminal. It prints nothing where the text
// is too long.
func Square(w io.Writer, text string) {
	code, err := qr.EncodeText(text, qr.Low)
	if err != nil {
		return
	}
	size := code.Size()
	dark := func(x, y int) bool { return x >= 0 && y >= 0 && x < size && y < size && code.Module(x, y) }
	out := bufio.NewWriter(w)
	defer out.Flush()
	for y := -squareMargin; y < size+squareMargin; y += 2 {
		// Light is printed, so that it shows on a dark terminal; black on white is
		// asked for as well, for a light one.
		out.WriteString("\x1b[97;40m")
		for x := -squareMargin; x < size+squareMargin; x++ {
			switch upper, lower := dark(x, y), dark(x, y+1); {
			case upper && lower:
				out.WriteRune(' ')
			case upper:
				out.WriteRune('▄')
			case lower:
				out.WriteRune('▀')
			default:
				out.WriteRune('█')
			}
		}
		out.WriteString("\x1b[0m\n")
	}
}
