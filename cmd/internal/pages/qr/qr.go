// Package qr draws short texts as QR codes, fast enough for thousands of job
// cards a night.
//
// In goes a text of up to some 40 characters; out come the modules of a code of
// version 1 to 3 at level M (15 % of it may be lost), the smallest that holds
// the text. The package draws nothing larger: Encode says so, and a general
// encoder takes over.
//
// Tables and procedures are those of ISO/IEC 18004 (from memory), checked
// module by module against github.com/skip2/go-qrcode, which draws the same
// codes and takes many times as long.
package qr

// Code is a QR code without its margin.
type Code struct {
	Size int      // modules on each side
	Rows []uint32 // from the top; bit x is the module at x from the left, 1 is dark
}

// Encode draws a text; ok is false where it is blank or too long.
func Encode(text string) (code Code, ok bool) {
	if text == "" {
		return Code{}, false
	}
	segments := split(text)
	n := 0
	for _, s := range segments {
		n += s.mode.bits(len(s.text))
	}
	for i := range versions {
		if v := &versions[i]; n <= 8*v.data {
			return v.draw(v.codewords(segments)), true
		}
	}
	return Code{}, false
}
