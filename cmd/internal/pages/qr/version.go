package qr

// version is a size of code with what all codes of that size share.
type version struct {
	size         int // modules on each side
	data, repair int // codewords
	places       []place
	generator    []byte          // of the codewords that repair
	fixed        [masks][]uint32 // rows without data: patterns, format and mask
	fixedCols    [masks][]uint32 // the same by columns
}

// place is a module that holds a bit of data.
type place struct{ x, y int8 }

// masks is how many patterns there are to break up large areas of one colour.
const masks = 8

// versions are 1, 2 and 3 at level M. Their alignment pattern, if any, is
// centred at the last number.
var versions = [...]version{newVersion(21, 16, 10, 0), newVersion(25, 28, 16, 18), newVersion(29, 44, 26, 22)}

func newVersion(size, data, repair, alignment int) version {
	v := version{size: size, data: data, repair: repair, generator: generatorOf(repair)}
	patterns, taken := v.patterns(alignment)
	v.places = placesOf(size, taken)
	for mask := range masks {
		rows := make([]uint32, size)
		copy(rows, patterns)
		v.addFormat(rows, mask)
		for _, p := range v.places {
			if masked(mask, int(p.x), int(p.y)) {
				rows[p.y] |= 1 << p.x
			}
		}
		v.fixed[mask], v.fixedCols[mask] = rows, turned(rows)
	}
	return v
}

// turned makes columns of rows.
func turned(rows []uint32) []uint32 {
	cols := make([]uint32, len(rows))
	for y, row := range rows {
		for x := range cols {
			cols[x] |= row >> x & 1 << y
		}
	}
	return cols
}

// patterns draws the three squares by which a scanner finds the code, the lines
// that give it the modules' size, and the square that straightens it; taken are
// all modules that hold no data.
func (v *version) patterns(alignment int) (rows, taken []uint32) {
	rows, taken = make([]uint32, v.size), make([]uint32, v.size)
	set := func(x, y int, dark bool) {
		taken[y] |= 1 << x
		if dark {
			rows[y] |= 1 << x
		}
	}
	square := func(cx, cy, reach, lightRing int) {
		for y := max(0, cy-reach); y <= min(v.size-1, cy+reach); y++ {
			for x := max(0, cx-reach); x <= min(v.size-1, cx+reach); x++ {
				ring := max(abs(x-cx), abs(y-cy))
				set(x, y, ring != lightRing && ring != 4)
			}
		}
	}
	for i := range v.size {
		set(i, 6, i%2 == 0)
		set(6, i, i%2 == 0)
	}
	square(3, 3, 4, 2)
	square(v.size-4, 3, 4, 2)
	square(3, v.size-4, 4, 2)
	if alignment > 0 {
		square(alignment, alignment, 2, 1)
	}
	for _, p := range v.formatPlaces() {
		set(p[0], p[1], false)
	}
	set(8, v.size-8, true)
	return rows, taken
}

func abs(n int) int { return max(n, -n) }

// formatPlaces are the modules of the 15 bits that name level and mask, from
// the lowest, twice over.
func (v *version) formatPlaces() (places [30][2]int) {
	for i := range 15 {
		switch {
		case i < 6:
			places[i] = [2]int{8, i}
		case i < 8:
			places[i] = [2]int{8, i + 1}
		case i == 8:
			places[i] = [2]int{7, 8}
		default:
			places[i] = [2]int{14 - i, 8}
		}
		if i < 8 {
			places[15+i] = [2]int{v.size - 1 - i, 8}
		} else {
			places[15+i] = [2]int{8, v.size - 15 + i}
		}
	}
	return places
}

func (v *version) addFormat(rows []uint32, mask int) {
	const (
		divisor = 0x537  // x¹⁰+x⁸+x⁵+x⁴+x²+x+1
		flips   = 0x5412 // so that no format is all light
	)
	rest := mask << 10 // level M is 00
	for bit := 14; bit >= 10; bit-- {
		if rest>>bit&1 == 1 {
			rest ^= divisor << (bit - 10)
		}
	}
	format := (mask<<10 | rest) ^ flips
	for i, p := range v.formatPlaces() {
		rows[p[1]] |= uint32(format>>(i%15)&1) << p[0]
	}
}

// placesOf lists the modules that are not taken in the order of the data: two
// columns at a time from the right, up and down in turn, passing over the
// upright line at 6.
func placesOf(size int, taken []uint32) (places []place) {
	up := true
	for right := size - 1; right > 0; right -= 2 {
		if right == 6 {
			right--
		}
		for i := range size {
			y := i
			if up {
				y = size - 1 - i
			}
			for x := right; x >= right-1; x-- {
				if taken[y]>>x&1 == 0 {
					places = append(places, place{int8(x), int8(y)})
				}
			}
		}
		up = !up
	}
	return places
}

// masked reports whether a mask turns the module at x and y over.
func masked(mask, x, y int) bool {
	switch mask {
	case 0:
		return (y+x)%2 == 0
	case 1:
		return y%2 == 0
	case 2:
		return x%3 == 0
	case 3:
		return (y+x)%3 == 0
	case 4:
		return (y/2+x/3)%2 == 0
	case 5:
		return y*x%2+y*x%3 == 0
	case 6:
		return (y*x%2+y*x%3)%2 == 0
	}
	return ((y+x)%2+y*x%3)%2 == 0
}
