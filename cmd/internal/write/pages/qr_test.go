package pages

import (
	"image"
	"image/color"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// A reader of another house, gozxing, reads from each drawing what was put in.
func TestQRCodesAreReadBack(t *testing.T) {
	for _, content := range []string{
		"V019345,gas-regulator-replace",
		"V1,x",
		"7,7",
		"Wagen-Ä1,damp-panel-repair",
		"a stock_id of forty characters, no less!,habitation-service",
		strings.Repeat("long", 250),
	} {
		code := qrOf(content)
		if code == nil {
			t.Errorf("no code for %q", content)
			continue
		}
		bits, err := gozxing.NewBinaryBitmapFromImage(painted(t, code, 4))
		if err != nil {
			t.Fatal(err)
		}
		read, err := qrcode.NewQRCodeReader().Decode(bits, nil)
		if err != nil {
			t.Errorf("%q can't be read: %v", content, err)
		} else if read.GetText() != content {
			t.Errorf("%q is read as %q", content, read.GetText())
		}
	}
	if code := qrOf(strings.Repeat("x", 3000)); code != nil {
		t.Error("a text that no code can hold was drawn")
	}
}

var squares = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// painted fills the path of a code, scale pixels a module, as a browser would.
func painted(t *testing.T, code *qrCode, scale int) image.Image {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, code.Size*scale, code.Size*scale))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	_, path, _ := strings.Cut(string(code.HTML()), ` d="`)
	path, _, _ = strings.Cut(path, `"`)
	parts := squares.FindAllStringSubmatch(path, -1)
	length := 0
	for _, part := range parts {
		length += len(part[0])
		var n [4]int
		for i := range n {
			n[i], _ = strconv.Atoi(part[i+1])
		}
		if n[2] != n[3] {
			t.Fatalf("%s does not come back to where it began", part[0])
		}
		for x := n[0] * scale; x < (n[0]+n[2])*scale; x++ {
			for y := n[1] * scale; y < (n[1]+1)*scale; y++ {
				img.SetGray(x, y, color.Gray{})
			}
		}
	}
	if length == 0 || length != len(path) {
		t.Fatalf("the path holds more than runs of squares: %s", path)
	}
	return img
}
