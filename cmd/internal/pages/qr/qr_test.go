package qr

import (
	"strings"
	"testing"

	qrcode "github.com/skip2/go-qrcode"
	"pgregory.net/rapid"
)

// sameAsLibrary compares a code with that of an independent encoder.
func sameAsLibrary(t rapid.TB, text string, code Code) {
	t.Helper()
	want, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		t.Fatal(err)
	}
	want.DisableBorder = true
	bitmap := want.Bitmap()
	if len(bitmap) != code.Size || len(code.Rows) != code.Size {
		t.Fatalf("%q: size %d, want %d", text, code.Size, len(bitmap))
	}
	for y, row := range bitmap {
		for x, dark := range row {
			if got := code.Rows[y]>>x&1 == 1; got != dark {
				t.Fatalf("%q: module %d, %d is dark: %v, want %v", text, x, y, got, dark)
			}
		}
		if code.Rows[y]>>code.Size != 0 {
			t.Fatalf("%q: row %d goes on beyond its end", text, y)
		}
	}
}

func TestCodesAreThoseOfAnIndependentEncoder(t *testing.T) {
	sizes := map[int]bool{}
	for _, text := range []string{
		"a", "V001931,habitation-check", "LV145,damp", "KX21,brake-pads-front", strings.Repeat("x", 14), strings.Repeat("x", 15),
		strings.Repeat("y", 26), strings.Repeat("y", 27), strings.Repeat("z", 42), "é,ü", "\x00\xff", "a,12345",
	} {
		code, ok := Encode(text)
		if !ok {
			t.Errorf("%q is left to another encoder", text)
			continue
		}
		sizes[code.Size] = true
		sameAsLibrary(t, text, code)
	}
	if len(sizes) != len(versions) {
		t.Errorf("codes of sizes %v, want every version", sizes)
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(
			rapid.StringMatching(`[A-Z]{0,3}[0-9]{1,8},[a-z0-9-]{1,25}`),
			rapid.StringMatching(`[0-9A-Z $%*+./:-]{1,50}`),
			rapid.StringMatching(`([0-9]{0,9}[A-Z]{0,9}[a-z]{0,3}){1,2}x`),
			rapid.Map(rapid.SliceOfN(rapid.Byte(), 1, 40), func(b []byte) string { return string(b) }),
		).Draw(t, "text")
		code, ok := Encode(text)
		if !ok {
			t.Fatalf("%q is left to another encoder", text)
		}
		sameAsLibrary(t, text, code)
	})
}

func TestWhatIsLeftToAGeneralEncoder(t *testing.T) {
	for what, text := range map[string]string{
		"nothing": "", "too many bytes": strings.Repeat("x", 43), "too many capitals": strings.Repeat("X", 62), "too many digits": strings.Repeat("1", 102),
	} {
		if _, ok := Encode(text); ok {
			t.Errorf("%s: %q was drawn", what, text)
		}
	}
	for _, text := range []string{strings.Repeat("x", 42), strings.Repeat("X", 61), strings.Repeat("1", 101)} {
		if _, ok := Encode(text); !ok {
			t.Errorf("%q was not drawn", text)
		}
	}
}

func BenchmarkEncode(b *testing.B) {
	for b.Loop() {
		if _, ok := Encode("V001931,habitation-check"); !ok {
			b.Fatal("left to another encoder")
		}
	}
}

func BenchmarkLibrary(b *testing.B) {
	for b.Loop() {
		code, err := qrcode.New("V001931,habitation-check", qrcode.Medium)
		if err != nil {
			b.Fatal(err)
		}
		code.DisableBorder = true
		code.Bitmap()
	}
}
