package qr

// The field of 256 elements in which codewords are reckoned: powers of 2, and
// of what power each is.
var powers, logs = field()

func field() (powers [255]byte, logs [256]uint8) {
	x := 1
	for i := range powers {
		powers[i], logs[x] = byte(x), uint8(i)
		if x <<= 1; x > 255 {
			x ^= 0x11d // x⁸+x⁴+x³+x²+1
		}
	}
	return powers, logs
}

func product(a, b byte) byte {
	if a == 0 || b == 0 {
		return 0
	}
	return powers[(int(logs[a])+int(logs[b]))%255]
}

// generatorOf is the polynomial with the first n powers of 2 as its roots, from
// the highest coefficient, which is 1 and left out.
func generatorOf(n int) []byte {
	g := make([]byte, n)
	g[n-1] = 1 // the polynomial 1, with room
	for i := range n {
		root := powers[i]
		for j := range g {
			g[j] = product(g[j], root)
			if j+1 < n {
				g[j] ^= g[j+1]
			}
		}
	}
	return g
}

// codewords are the segments, filled up, and the codewords that repair what is
// lost. The segments fit.
func (v *version) codewords(segments []segment) []byte {
	w := bitWriter{words: make([]byte, 0, v.data+v.repair)}
	for _, s := range segments {
		w.addSegment(s)
	}
	w.add(0, min(4, 8*v.data-w.used)) // the end; the rest of its codeword is 0
	words := w.words
	for fill := byte(0xec); len(words) < v.data; fill ^= 0xec ^ 0x11 {
		words = append(words, fill)
	}
	words = words[:v.data+v.repair]
	rest := words[v.data:]
	for _, word := range words[:v.data] {
		factor := word ^ rest[0]
		copy(rest, rest[1:])
		rest[len(rest)-1] = 0
		for i, g := range v.generator {
			rest[i] ^= product(g, factor)
		}
	}
	return words
}
