package synth

const (
	// Area letters are not I, Q or Z; random letters not I or Q. The age 01 was
	// never a period of issue: the form began with 51, in September 2001 (from the
	// rule of premier-number-plate.co.uk, a secondary page). So no van has one.
	areaLetters = "ABCDEFGHJKLMNOPRSTUVWXY"
	markAge     = "01"
	markLetters = "ABCDEFGHJKLMNOPRSTUVWXYZ"
	// No country has the codes UA to UG (ISO 3780 by a published list; secondary), so no
	// maker has this one.
	vinMaker = "UAZ"
	// Letters and digits that a VIN may hold.
	vinLetters = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
)

// Reg returns a made-up registration mark, which tells no date and which no van
// carries. Marks of different n below 7 million differ.
func Reg(n int) string {
	const letters, areas = len(markLetters), len(areaLetters)
	// 5,003 shares no factor with 24³, so this steps through all of them.
	random := n * 5003 % (letters * letters * letters)
	area := (n/(letters*letters*letters)*7 + n) % (areas * areas)
	return string([]byte{
		areaLetters[area%areas], areaLetters[area/areas], markAge[0], markAge[1], ' ',
		markLetters[random%letters], markLetters[random/letters%letters],
		markLetters[random/letters/letters],
	})
}

// VIN returns a made-up vehicle identification number: 17 characters without I,
// O and Q, a valid check digit in the ninth place (European makers need none)
// and the last seven digits n.
func VIN(m Model, n int) string {
	describe := 7
	for _, c := range []byte(m.Maker + m.Name) {
		describe = (describe*31 + int(c)) % 1_000_003
	}
	vin := []byte(vinMaker + "000000000000000")[:17]
	for i := 3; i < 8; i++ {
		vin[i] = vinLetters[describe%len(vinLetters)]
		describe = describe/3 + 11*i
	}
	vin[9] = vinLetters[n/10_000_000%23]
	for i := 16; i > 9; i-- {
		vin[i] = byte('0' + n%10)
		n /= 10
	}
	vin[8] = "0123456789X"[vinSum(vin)%11]
	return string(vin)
}

// vinSum is the weighted sum whose remainder by 11 is the check digit (49 CFR
// 565.15, as copied in secondary pages).
func vinSum(vin []byte) int {
	weights := [17]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}
	sum := 0
	for i, c := range vin {
		v := int(c - '0')
		switch {
		case c >= 'S':
			v = int(c-'S') + 2
		case c >= 'J':
			v = int(c-'J') + 1
		case c >= 'A':
			v = int(c-'A') + 1
		}
		sum += v * weights[i]
	}
	return sum
}
