package appraise

import (
	"fmt"
	"strings"
)

// vinValue gives the value of a VIN's character (49 CFR 565: A1 to H8, J1 to
// N5, P7, R9, S2 to Z9); -1 for I, O, Q and anything else.
func vinValue(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'A' && c <= 'H':
		return int(c-'A') + 1
	case c >= 'J' && c <= 'N':
		return int(c-'J') + 1
	case c == 'P':
		return 7
	case c == 'R':
		return 9
	case c >= 'S' && c <= 'Z':
		return int(c-'S') + 2
	}
	return -1
}

// vinWeights are the weights of the 17 places; the ninth is the check digit
// itself (49 CFR 565).
var vinWeights = [17]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}

// vinCheck returns the check digit that a VIN of 17 good characters should
// have at place 9: the weighted sum modulo 11, with X for 10.
func vinCheck(vin string) byte {
	sum := 0
	for i := range 17 {
		sum += vinWeights[i] * vinValue(vin[i])
	}
	return "0123456789X"[sum%11]
}

// firstVINYear is when 17 characters became the rule for new types in Europe;
// before it chassis numbers had any length. From memory.
const firstVINYear = 1981

// vinNotes says what is odd about a VIN. A check digit binds in North America
// only, so elsewhere a mismatch proves nothing.
func vinNotes(vin string, registeredIn int) []Note {
	vin = strings.ToUpper(strings.TrimSpace(vin))
	if vin == "" {
		return []Note{{Text: "No VIN is recorded: read it from the van and from the V5C."}}
	}
	var bad []string
	for i := range len(vin) {
		if vinValue(vin[i]) < 0 {
			bad = append(bad, string(vin[i:i+1]))
		}
	}
	switch {
	case len(vin) != 17 && registeredIn != 0 && registeredIn <= firstVINYear:
		return []Note{{Text: fmt.Sprintf("The chassis number %s has %d characters, as may be in a van of its age.", vin, len(vin))}}
	case len(vin) != 17:
		return []Note{{Serious: true, Text: fmt.Sprintf("The VIN %s has %d characters, not 17: read it again.", vin, len(vin))}}
	case len(bad) > 0:
		return []Note{{Serious: true, Text: fmt.Sprintf("The VIN %s has %s, which no VIN has: read it again.", vin, strings.Join(bad, ", "))}}
	}
	var notes []Note
	if shape(vin[13:]) != "9999" {
		notes = append(notes, Note{Text: fmt.Sprintf("The VIN %s does not end in four digits, as ISO 3779 asks: read it again.", vin)})
	}
	check := vinCheck(vin)
	northAmerican := vin[0] >= '1' && vin[0] <= '5'
	switch {
	case check == vin[8]:
	case northAmerican:
		notes = append(notes, Note{Serious: true, Text: fmt.Sprintf("The check digit of the North American VIN %s is %c and should be %c: read it again.", vin, vin[8], check)})
	case shape(vin[8:9]) == "9" || vin[8] == 'X':
		notes = append(notes, Note{Text: fmt.Sprintf("Character 9 of the VIN %s is not a valid check digit (%c would be); outside North America none is required.", vin, check)})
	}
	return notes
}
