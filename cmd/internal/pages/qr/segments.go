package qr

import "strings"

// mode is how the characters of a segment are written. Each may stand in a
// segment of any later mode.
type mode int

const (
	digits mode = iota
	capitals
	bytes
)

// capitalSet are the characters of the mode capitals by their values.
const capitalSet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

// modeOf is the shortest mode for a character.
func modeOf(c byte) mode {
	switch {
	case '0' <= c && c <= '9':
		return digits
	case strings.IndexByte(capitalSet, c) >= 0:
		return capitals
	}
	return bytes
}

// sign and countBits begin a segment in versions 1 to 9.
func (m mode) sign() uint32   { return 1 << m }
func (m mode) countBits() int { return [...]int{10, 9, 8}[m] }

// bits is how many bits a segment of n characters takes.
func (m mode) bits(n int) int {
	head := 4 + m.countBits()
	switch m {
	case digits:
		return head + n/3*10 + [...]int{0, 4, 7}[n%3]
	case capitals:
		return head + n/2*11 + n%2*6
	}
	return head + 8*n
}

type segment struct {
	mode mode
	text string
}

// split cuts a text into segments. Runs of one mode are joined to those after
// them that may stand in it, as long as that is shorter; one segment for the
// whole is taken where it is no longer.
func split(text string) []segment {
	var runs []segment
	start, highest := 0, digits
	for i := range len(text) {
		m := modeOf(text[i])
		highest = max(highest, m)
		if i+1 == len(text) || modeOf(text[i+1]) != m {
			runs = append(runs, segment{m, text[start : i+1]})
			start = i + 1
		}
	}
	var joined []segment
	start, length := 0, 0
	for i := 0; i < len(runs); {
		s := runs[i]
		n := len(s.text)
		for i++; i < len(runs); i++ {
			next := runs[i]
			more := len(next.text)
			if next.mode > s.mode || s.mode.bits(n+more) >= s.mode.bits(n)+next.mode.bits(more) {
				break
			}
			n += more
		}
		joined = append(joined, segment{s.mode, text[start : start+n]})
		start += n
		length += s.mode.bits(n)
	}
	if highest.bits(len(text)) <= length {
		return []segment{{highest, text}}
	}
	return joined
}

// bitWriter gathers bits into codewords.
type bitWriter struct {
	words []byte
	used  int // bits
}

// add appends the n lowest bits of value.
func (w *bitWriter) add(value uint32, n int) {
	for n--; n >= 0; n-- {
		if w.used%8 == 0 {
			w.words = append(w.words, 0)
		}
		w.words[w.used/8] |= byte(value>>n&1) << (7 - w.used%8)
		w.used++
	}
}

func (w *bitWriter) addSegment(s segment) {
	w.add(s.mode.sign(), 4)
	w.add(uint32(len(s.text)), s.mode.countBits())
	switch s.mode {
	case digits:
		for i := 0; i < len(s.text); i += 3 {
			part := s.text[i:min(i+3, len(s.text))]
			value := uint32(0)
			for j := range len(part) {
				value = 10*value + uint32(part[j]-'0')
			}
			w.add(value, 1+3*len(part))
		}
	case capitals:
		for i := 0; i < len(s.text); i += 2 {
			value := uint32(strings.IndexByte(capitalSet, s.text[i]))
			if i+1 == len(s.text) {
				w.add(value, 6)
				break
			}
			w.add(45*value+uint32(strings.IndexByte(capitalSet, s.text[i+1])), 11)
		}
	default:
		for i := range len(s.text) {
			w.add(uint32(s.text[i]), 8)
		}
	}
}
