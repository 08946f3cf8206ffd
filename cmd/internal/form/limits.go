package form

import (
	"strconv"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// underPolicy returns a checkpoint with the two limits that the dealer's policy
// sets in place of the book's.
func underPolicy(c data.Checkpoint, policy data.Policy) data.Checkpoint {
	switch {
	case c.Code == "tyre-tread" && policy.MinTreadMM > 0:
		c.DefectAt = data.Some(policy.MinTreadMM)
	case c.Code == "tyre-code" && policy.TyreAgeYears > 0:
		c.DefectAt = data.Some(policy.TyreAgeYears)
	}
	return c
}

// limitSteps returns the limits that a checkpoint has, worst first.
func limitSteps(c data.Checkpoint) []step {
	var out []step
	for _, l := range []struct {
		verdict data.Verdict
		at      data.Opt[float64]
	}{{data.Unsafe, c.UnsafeAt}, {data.Defect, c.DefectAt}, {data.Worn, c.WornAt}} {
		if l.at.Known {
			out = append(out, step{l.verdict.String(), l.at.Value})
		}
	}
	return out
}

// limitWords says a checkpoint's limits as a person would, mildest first, such
// as "Worn below 4 mm, a defect below 3 mm, unsafe below 1.6 mm." It is blank
// where there are none.
func limitWords(c data.Checkpoint) string {
	steps := limitSteps(c)
	clauses := make([]string, 0, len(steps))
	for i := len(steps) - 1; i >= 0; i-- {
		clauses = append(clauses, called[steps[i].Verdict]+" "+reach(c, steps[i].At))
	}
	if len(clauses) == 0 {
		return ""
	}
	s := strings.Join(clauses, ", ") + "."
	return strings.ToUpper(s[:1]) + s[1:]
}

var called = map[string]string{"worn": "worn", "defect": "a defect", "unsafe": "unsafe"}

// reach says where a limit is reached. At a high-bad limit the value itself has
// reached it; at a low-bad one it has not.
func reach(c data.Checkpoint, at float64) string {
	n := strconv.FormatFloat(at, 'f', -1, 64)
	switch {
	case c.Unit == "date" && at == 0:
		return "on and after that day"
	case c.Unit == "date":
		return "from " + n + " " + years(at) + " after that day"
	case c.Unit == "code":
		return "from " + n + " " + years(at) + " old"
	case c.HighBad:
		return "from " + quantity(n, c.Unit)
	default:
		return "below " + quantity(n, c.Unit)
	}
}

func years(n float64) string {
	if n == 1 {
		return "year"
	}
	return "years"
}

// quantity writes a number with its unit as it is said on a phone's screen.
func quantity(n, unit string) string {
	n = strings.Replace(n, "-", "−", 1)
	if sign := units[unit].Sign; sign != "" {
		return n + " " + sign
	}
	switch unit {
	case "", "count", "index":
		return n
	}
	return n + " " + unit
}
