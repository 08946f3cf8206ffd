package appraise

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// Limit is one step of a checkpoint's limits: reaching it earns the verdict.
type Limit struct {
	Verdict data.Verdict
	At      float64 // in the unit of Limits
	Whose   string  // "the dealer's", "the legal" or "the book's"
}

// Limits are the steps of one checkpoint under the dealer's policy, worst
// first.
type Limits struct {
	Unit    string // of the steps: the checkpoint's own, years for dates and tyre codes
	HighBad bool   // a high value is the bad one
	// Allowed says that a value equal to a step has not reached it, as a
	// published "at most 300 ms" means.
	Allowed bool
	noun    string   // of what is counted; blank otherwise
	room    [3]Limit // what steps stand in: one for each verdict
	count   int
}

// legalTreadMM is the least tread that the MOT test and the Construction and
// Use Regulations accept (MOT test pages; regulation 27 from memory). A step of
// the book at this depth is named as the law's.
const legalTreadMM = 1.6

// LimitsOf returns a checkpoint's limits with the dealer's policy on top: the
// policy's least tread and greatest tyre age take the place of the book's defect
// limits.
func LimitsOf(c *data.Checkpoint, policy *data.Policy) Limits {
	l := Limits{HighBad: c.HighBad, Allowed: c.LimitAllowed(), Unit: c.Unit}
	if c.Unit == "count" {
		l.noun = nouns[c.Code]
	}
	wornAt, defectAt := c.WornAt, c.DefectAt
	worn, unsafe, defect := "the book's", "the book's", "the book's"
	switch c.Code {
	case tyreTread:
		if c.UnsafeAt.Known && c.UnsafeAt.Value == legalTreadMM {
			unsafe = "the legal"
		}
		if policy.MinTreadMM > 0 {
			defectAt, defect = data.Some(policy.MinTreadMM), "the dealer's"
		}
	case tyreCode:
		l.Unit = "years"
		if policy.TyreAgeYears > 0 {
			defectAt, defect = data.Some(policy.TyreAgeYears), "the dealer's"
		}
	}
	if b := policy.DampBands; c.Code == damp && len(b) == 4 {
		dealers := func(at data.Opt[float64], edge int, whose *string) data.Opt[float64] {
			if at != data.Some(float64(edge)) {
				*whose = "the dealer's"
			}
			return data.Some(float64(edge))
		}
		wornAt, defectAt = dealers(wornAt, b[0], &worn), dealers(defectAt, b[1], &defect)
	}
	if c.Unit == "date" {
		l.Unit = "years"
	}
	l.add(data.Unsafe, c.UnsafeAt, unsafe)
	l.add(data.Defect, defectAt, defect)
	l.add(data.Worn, wornAt, worn)
	return l
}

func (l *Limits) add(v data.Verdict, at data.Opt[float64], whose string) {
	if at.Known {
		l.room[l.count] = Limit{v, at.Value, whose}
		l.count++
	}
}

// Steps returns the steps, worst first. They are not to be changed.
func (l *Limits) Steps() []Limit { return l.room[:l.count] }

// reached reports whether x is on the wrong side of a step.
func (l *Limits) reached(x, at float64) bool {
	switch {
	case x == at:
		return !l.Allowed
	case l.HighBad:
		return x > at
	}
	return x < at
}

// judge returns the worst verdict whose step x has reached and one clause that
// says why. text is how the value is written, such as "2.1 mm".
func (l *Limits) judge(x float64, text string) (data.Verdict, string) {
	if l.count == 0 {
		return data.Sound, text + " recorded; no limit set"
	}
	for _, s := range l.Steps() {
		if l.reached(x, s.At) {
			return s.Verdict, l.says(text, l.side(true), s)
		}
	}
	mildest := l.room[0]
	for _, s := range l.Steps() {
		if l.HighBad == (s.At < mildest.At) && s.At != mildest.At {
			mildest = s
		}
	}
	return data.Sound, l.says(text, l.side(false), mildest)
}

// side says on which side of a step a value is.
func (l *Limits) side(reached bool) string {
	switch {
	case l.HighBad && l.Allowed && reached:
		return "above"
	case l.HighBad && l.Allowed:
		return "not above"
	case l.HighBad && reached:
		return "at or above"
	case l.HighBad:
		return "below"
	case l.Allowed && reached:
		return "below"
	case l.Allowed:
		return "not below"
	case reached:
		return "at or below"
	}
	return "above"
}

// says writes where a value stands beside a step, and whose limit that is, how
// much and what for. A large yard has a million of these clauses.
func (l *Limits) says(text, side string, s Limit) string {
	if l.noun != "" {
		return l.saysCount(text, s)
	}
	decimals := places(text)
	switch l.Unit {
	case "years":
		decimals = 0
	case "mm":
		decimals = max(decimals, 1) // as tread is spoken of: 3.0 mm
	}
	var room [128]byte
	out := append(append(append(room[:0], text...), " is "...), side...)
	switch s.Whose {
	case "the dealer's":
		out = append(out, " our retail limit of "...)
	case "the legal":
		out = append(out, " the legal limit of "...)
	default:
		out = append(append(append(out, " the "...), purpose[s.Verdict]...), " limit of "...)
	}
	out = appendQuantity(out, s.At, l.Unit, decimals)
	return string(out)
}

// nouns are what checkpoints with the unit count are counted in. Others count
// something that their title says.
var nouns = map[string]string{
	keysCount:          "key",
	"fault-codes":      "fault code",
	"handbrake-travel": "click",
}

// saysCount is says for things that are counted: "1 key: at least 2 wanted".
func (l *Limits) saysCount(text string, s Limit) string {
	want := "fewer than"
	switch {
	case !l.HighBad:
		want = "at least"
	case l.Allowed:
		want = "at most"
	}
	word := l.noun
	if text != "1" {
		word += "s"
	}
	return text + " " + word + ": " + want + " " + quantity(s.At, "", 0) + " wanted"
}

var purpose = [...]string{data.Worn: "wear", data.Defect: "defect", data.Unsafe: "unsafe"}

// Words says the limits as a person would, the mildest first and each with the
// side that a value equal to it is on, such as "Worn below 4 mm, a defect below 3
// mm, unsafe below 1.6 mm." It is blank where there are none.
func (l *Limits) Words() string {
	called := [...]string{data.Worn: "worn", data.Defect: "a defect", data.Unsafe: "unsafe"}
	var clauses []string
	for _, s := range slices.Backward(l.Steps()) {
		side := "from "
		switch {
		case l.HighBad && l.Allowed:
			side = "above "
		case !l.HighBad && l.Allowed:
			side = "below "
		case !l.HighBad:
			side = "at or below "
		}
		at := side + quantity(s.At, l.Unit, 0)
		if l.Unit == "years" && s.At == 0 {
			at = "on and after that day"
		}
		clauses = append(clauses, called[s.Verdict]+" "+at)
	}
	if len(clauses) == 0 {
		return ""
	}
	out := strings.Join(clauses, ", ") + "."
	return strings.ToUpper(out[:1]) + out[1:]
}

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
	if unit == "years" && x == 1 {
		return append(to, " year"...)
	}
	return append(to, data.UnitSuffix(unit)...)
}

// years writes an age to one decimal, rounded down so that it never reads as if
// it had reached a limit that it has not.
func years(age float64) string {
	return strconv.FormatFloat(math.Floor(10*age+1e-9)/10, 'f', 1, 64)
}

// places counts the decimals of the first number in a text.
func places(text string) int {
	_, frac, _ := strings.Cut(text, ".")
	n := 0
	for n < min(len(frac), 3) && frac[n] >= '0' && frac[n] <= '9' {
		n++
	}
	return n
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
