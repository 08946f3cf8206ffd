package terminal

import (
	"regexp"
	"strings"
	"testing"

	qr "github.com/piglig/go-qr"
)

// What is drawn is the square of the link, light where it is light, inside a light
// margin: a camera sees what the library for these squares made.
func TestSquareOfALink(t *testing.T) {
	const link = "https://192.168.1.20:8088/?key=ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	code, err := qr.EncodeText(link, qr.Low)
	if err != nil {
		t.Fatal(err)
	}
	var drawn strings.Builder
	Square(&drawn, link)
	lines := strings.Split(strings.TrimSuffix(regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(drawn.String(), ""), "\n"), "\n")
	dark := map[[2]int]bool{}
	for row, line := range lines {
		for column, half := range []rune(line) {
			dark[[2]int{column, 2 * row}] = half == ' ' || half == '▄'
			dark[[2]int{column, 2*row + 1}] = half == ' ' || half == '▀'
		}
	}
	side := code.Size() + 2*squareMargin
	for y := range side {
		for x := range side {
			atX, atY := x-squareMargin, y-squareMargin
			want := atX >= 0 && atY >= 0 && atX < code.Size() && atY < code.Size() && code.Module(atX, atY)
			if dark[[2]int{x, y}] != want {
				t.Fatalf("module %d, %d is dark: %t, want %t", atX, atY, !want, want)
			}
		}
	}
	if len(lines) != (side+1)/2 {
		t.Errorf("%d lines, want %d", len(lines), (side+1)/2)
	}
}
