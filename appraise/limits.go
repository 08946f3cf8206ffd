package appraise

import (
	"math"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// limit is one step of a checkpoint's limits.
type limit struct {
	verdict data.Verdict
	at      float64
	whose   string // "the dealer's", "the legal" or "the book's"
}

// limits are the steps of one checkpoint, worst first. They are half-open: with
// highBad a value at or above a step has reached it, otherwise a value strictly
// below has.
type limits struct {
	room    [3]limit // what steps stand in: one for each verdict
	count   int
	highBad bool
	unit    string
}

// legalTreadMM is the least tread that the MOT test and the Construction and
// Use Regulations accept (MOT test pages; regulation 27 from memory). A step of
// the book at this depth is named as the law's.
const legalTreadMM = 1.6

// limitsOf returns a checkpoint's limits with the dealer's policy on top.
func limitsOf(c *data.Checkpoint, policy *data.Policy) limits {
	l := limits{highBad: c.HighBad, unit: c.Unit}
	defectAt := c.DefectAt
	unsafe, defect := "the book's", "the book's"
	switch c.Code {
	case tyreTread:
		if c.UnsafeAt.Known && c.UnsafeAt.Value == legalTreadMM {
			unsafe = "the legal"
		}
		if policy.MinTreadMM > 0 {
			defectAt, defect = data.Some(policy.MinTreadMM), "the dealer's"
		}
	case tyreCode:
		l.unit = "years"
		if policy.TyreAgeYears > 0 {
			defectAt, defect = data.Some(policy.TyreAgeYears), "the dealer's"
		}
	}
	if c.Unit == "date" {
		l.unit = "years"
	}
	l.add(data.Unsafe, c.UnsafeAt, unsafe)
	l.add(data.Defect, defectAt, defect)
	l.add(data.Worn, c.WornAt, "the book's")
	return l
}

func (l *limits) add(v data.Verdict, at data.Opt[float64], whose string) {
	if at.Known {
		l.room[l.count] = limit{v, at.Value, whose}
		l.count++
	}
}

func (l *limits) steps() []limit { return l.room[:l.count] }

// reached reports whether x is on the wrong side of a step.
func (l *limits) reached(x, at float64) bool {
	if l.highBad {
		return x >= at
	}
	return x < at
}

// judge returns the worst verdict whose step x has reached and one clause that
// says why. text is how the value is written, such as "2.1 mm".
func (l *limits) judge(x float64, text string) (data.Verdict, string) {
	if l.count == 0 {
		return data.Sound, text + " recorded; the book sets no limit"
	}
	for _, s := range l.steps() {
		if l.reached(x, s.at) {
			side := "below"
			if l.highBad {
				side = "at or above"
			}
			return s.verdict, l.says(text, side, s)
		}
	}
	side := "not below"
	if l.highBad {
		side = "below"
	}
	mildest := l.room[0]
	for _, s := range l.steps() {
		if l.highBad == (s.at < mildest.at) && s.at != mildest.at {
			mildest = s
		}
	}
	return data.Sound, l.says(text, side, mildest)
}

// says writes where a value stands beside a step, and whose limit that is, how
// much and what for. A large yard has a million of these clauses.
func (l *limits) says(text, side string, s limit) string {
	decimals := places(text)
	switch l.unit {
	case "years":
		decimals = 0
	case "mm":
		decimals = max(decimals, 1) // as tread is spoken of: 3.0 mm
	}
	var room [128]byte
	out := append(append(append(room[:0], text...), " is "...), side...)
	switch s.whose {
	case "the dealer's":
		out = append(out, " the dealer's "...)
	case "the legal":
		out = append(out, " the legal "...)
	default:
		out = append(append(append(out, " the book's "...), purpose[s.verdict]...), " limit of "...)
	}
	out = appendQuantity(out, s.at, l.unit, decimals)
	if s.whose == "the dealer's" {
		out = append(out, " for retail"...)
	}
	return string(out)
}

var purpose = [...]string{data.Worn: "wear", data.Defect: "defect", data.Unsafe: "unsafe"}

// quantity writes a number with its unit and at least the given decimal places.
func quantity(x float64, unit string, decimals int) string {
	return string(appendQuantity(nil, x, unit, decimals))
}

func appendQuantity(to []byte, x float64, unit string, decimals int) []byte {
	start := len(to)
	to = strconv.AppendFloat(to, x, 'f', -1, 64)
	if places(string(to[start:])) < decimals {
		to = strconv.AppendFloat(to[:start], x, 'f', decimals, 64)
	}
	switch unit {
	case "":
		return to
	case "percent":
		return append(to, " %"...)
	}
	return append(append(to, ' '), unit...)
}

// years writes an age to one decimal, rounded down so that it never reads as if
// it had reached a limit that it has not.
func years(age float64) string {
	return strconv.FormatFloat(math.Floor(10*age+1e-9)/10, 'f', 1, 64)
}

// places counts the decimals of the first number in a text.
func places(text string) int {
	word, _, _ := strings.Cut(text, " ")
	if _, frac, ok := strings.Cut(word, "."); ok {
		return min(len(frac), 3)
	}
	return 0
}

// worse returns the worse of a limit's and an inspector's verdict. An inspector
// who wrote "untested" beside a value has nevertheless read the value.
func worse(limit, inspector data.Verdict) data.Verdict {
	if inspector == data.Untested {
		return limit
	}
	return max(limit, inspector)
}

// ageYears returns calendar years from one day to another: exactly n on an
// anniversary, so that a limit in years falls on the day that people expect. It
// is negative where to comes first.
func ageYears(from, to data.Date) float64 {
	if to < from {
		return -ageYears(to, from)
	}
	whole := to.Year() - from.Year()
	if from.AddMonths(12*whole) > to {
		whole--
	}
	start, end := from.AddMonths(12*whole), from.AddMonths(12*(whole+1))
	return float64(whole) + float64(to.DaysSince(start))/float64(max(1, end.DaysSince(start)))
}
