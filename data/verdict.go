package data

// Verdict is what an inspector, or a limit, says of one point. Verdicts are
// ordered from Sound to Unsafe; Untested stands apart from that order.
type Verdict int

// The verdicts. NoVerdict is a blank cell.
const (
	NoVerdict Verdict = iota
	Untested
	Sound
	Worn
	Defect
	Unsafe
)

var verdictWords = [...]string{"", "untested", "sound", "worn", "defect", "unsafe"}

// String gives the word used in the tables.
func (v Verdict) String() string { return verdictWords[v] }

// ParseVerdict reads a word of the tables; false for any other word.
func ParseVerdict(s string) (Verdict, bool) {
	for i, w := range verdictWords {
		if i > 0 && w == s {
			return Verdict(i), true
		}
	}
	return NoVerdict, s == ""
}

// verdictNames are the verdicts as a closed list.
var verdictNames = verdictWords[1:]
