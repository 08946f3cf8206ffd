package data

import (
	"math"
	"strconv"
	"strings"
)

// parseWhole reads a whole number such as 42000 or 42,000; commas must stand
// where thousands are. False for anything else, and above nine digits.
func parseWhole(s string) (int, bool) {
	negative := strings.HasPrefix(s, "-")
	if negative {
		s = s[1:]
	}
	if strings.IndexByte(s, ',') >= 0 {
		var ok bool
		if s, ok = dropThousands(s); !ok {
			return 0, false
		}
	}
	n, ok := digits(s, 9)
	if negative {
		n = -n
	}
	return n, ok
}

// dropThousands takes the commas out of digits such as 1,234,567; false where
// a comma stands elsewhere.
func dropThousands(s string) (string, bool) {
	groups := strings.Split(s, ",")
	if len(groups[0]) == 0 || len(groups[0]) > 3 {
		return "", false
	}
	for _, g := range groups[1:] {
		if len(g) != 3 {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

// parseDecimal reads a plain decimal number such as 4, 4.5 or -12.25. Signs
// other than minus, exponents, hexadecimal, NaN, infinities and more than
// twelve digits before the point are not numbers in a table.
func parseDecimal(s string) (float64, bool) {
	digits := strings.TrimPrefix(s, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	if point && fraction == "" || whole == "" && fraction == "" || len(whole) > 12 || len(fraction) > 12 {
		return 0, false
	}
	if !allDigits(whole) || !allDigits(fraction) {
		return 0, false
	}
	if len(whole)+len(fraction) <= exactDigits {
		f := float64(digitsValue(whole, fraction)) / powersOfTen[len(fraction)]
		if len(digits) < len(s) {
			f = -f
		}
		return f, true
	}
	f, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return 0, false
	}
	return f, true
}

// parseHours reads hours as people note them: 1.25, 1h, 1h15, 1h 15m, 1:15, 45m
// or 45 min.
func parseHours(s string) (float64, bool) {
	if h, ok := parseDecimal(s); ok {
		return h, true
	}
	s = strings.ReplaceAll(strings.ToLower(s), " ", "")
	h, m, parted := strings.Cut(s, ":")
	switch {
	case parted && len(m) != 2: // 1:5 may be 1:05 or 1:50
		return 0, false
	case !parted:
		var minutes bool
		h, m, parted = cutUnit(s, "hours", "hour", "hrs", "hr", "h")
		if !parted {
			h, m = "0", s
		}
		m, _, minutes = cutUnit(m, "minutes", "mins", "min", "m")
		switch {
		case !parted && !minutes || strings.HasPrefix(s, "-"):
			return 0, false
		case m == "" && parted && !minutes:
			return parseDecimal(h)
		}
	}
	hours, okH := digits(h, 4)
	minutes, okM := digits(m, 2)
	return float64(hours) + float64(minutes)/60, okH && okM && minutes < 60
}

// cutUnit cuts a text at the first of the spellings of a unit that it holds.
func cutUnit(s string, spellings ...string) (before, after string, found bool) {
	for _, unit := range spellings {
		if before, after, found = strings.Cut(s, unit); found {
			return before, after, true
		}
	}
	return s, "", false
}

// exactDigits is how many decimal digits a float64 always holds exactly. So few
// digits over an exact power of ten give, rounded once by the division, the
// number nearest to the decimal, which is what strconv.ParseFloat gives.
const exactDigits = 15

var powersOfTen = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12}

// digitsValue is the whole number that digits make which stand one after the
// other.
func digitsValue(parts ...string) int64 {
	n := int64(0)
	for _, part := range parts {
		for i := range len(part) {
			n = 10*n + int64(part[i]-'0')
		}
	}
	return n
}

// allDigits is true of an empty string.
func allDigits(s string) bool {
	for i := range len(s) {
		if s[i]-'0' > 9 {
			return false
		}
	}
	return true
}

// decimalExpected says why a cell is no number, where that can be known.
func decimalExpected(s string) string {
	if i := strings.IndexByte(s, ','); i >= 0 && allDigits(strings.ReplaceAll(s, ",", "")) {
		return "a number with a decimal point, not a comma, such as 4.5"
	}
	i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("-.0123456789", r) })
	if i > 0 {
		if _, ok := parseDecimal(strings.TrimSpace(s[:i])); ok {
			return "the number alone, such as 4.5, with its unit in the column for units"
		}
	}
	return "a plain number such as 4.5"
}
