package qr

import "math/bits"

// draw puts the codewords into a code, under the mask by which a scanner is
// least misled.
func (v *version) draw(words []byte) Code {
	data, dataCols := make([]uint32, v.size), make([]uint32, v.size)
	for i, p := range v.places[:8*len(words)] {
		bit := uint32(words[i/8] >> (7 - i%8) & 1)
		data[p.y] |= bit << p.x
		dataCols[p.x] |= bit << p.y
	}
	best, least := 0, -1
	rows, cols := make([]uint32, v.size), make([]uint32, v.size)
	for mask := range masks {
		for i := range rows {
			rows[i], cols[i] = data[i]^v.fixed[mask][i], dataCols[i]^v.fixedCols[mask][i]
		}
		if p := penalty(rows, cols); least < 0 || p < least {
			best, least = mask, p
		}
	}
	for i := range rows {
		rows[i] = data[i] ^ v.fixed[best][i]
	}
	return Code{v.size, rows}
}

// penalty is how much a code might mislead a scanner: by rows of one colour, by
// areas of it, by what looks like the squares in its corners, and by being too
// dark or too light.
func penalty(rows, cols []uint32) int {
	n := len(rows)
	pairs := uint32(1)<<(n-1) - 1 // a bit for each two neighbours
	p, dark := 0, 0
	for i := range rows {
		for _, line := range [...]uint32{rows[i], cols[i]} {
			p += ofRuns(^(line^line>>1)&pairs) + 40*corners(line, n)
		}
		dark += bits.OnesCount32(rows[i])
		if i > 0 {
			above, row := rows[i-1], rows[i]
			p += 3 * bits.OnesCount32(^(above^row)&^(above^above>>1)&^(row^row>>1)&pairs)
		}
	}
	return p + 10*(abs(n*n/2-dark)/(n*n/20))
}

// ofRuns counts runs of six and more modules of one colour: 4 for one of six, 1
// more for each further module. equal has a bit for each module that is like
// its neighbour, so a run of six shows as five bits.
func ofRuns(equal uint32) int {
	five := equal & (equal >> 1) & (equal >> 2) & (equal >> 3) & (equal >> 4)
	return bits.OnesCount32(five) + 3*bits.OnesCount32(five&^(five<<1))
}

// corners counts what looks like a line through a corner's square, 1011101,
// with four light modules before or behind. What lies before the line is
// light, and of what lies behind none is needed. No module counts twice.
func corners(line uint32, n int) (found int) {
	// Most lines have no 1011101 at all.
	if line&^(line>>1)&(line>>2)&(line>>3)&(line>>4)&^(line>>5)&(line>>6) == 0 {
		return 0
	}
	seen := uint32(0)
	for x := range n {
		seen = seen<<1 | line>>x&1
		if last := seen & 0x7ff; last == 0x05d || last == 0x5d0 || x == n-1 && last&0x7f == 0x5d {
			found++
			seen = 0xff
		}
	}
	return found
}
