package data

import (
	"fmt"
	"strings"
	"time"
)

// TyreWeek reads the date code of a tyre: the Monday of the ISO 8601 week in
// which it was made. Four digits are week and year from 2000; three are week and
// year of the 1990s, the last decade that used them. (Codes: etyres.co.uk. Week
// 53 exists only in years with 53 ISO weeks.)
func TyreWeek(code string) (monday Date, before2000 bool, err error) {
	code = trim(code)
	if !isTyreCode(code) {
		return 0, false, fmt.Errorf("%s is not a date code of three or four digits", code)
	}
	week, year := int(digitsValue(code[:2])), 2000+int(digitsValue(code[2:]))
	if len(code) == 3 {
		year, before2000 = year-10, true
	}
	monday = weekMonday(year, week)
	if week < 1 || week > 53 || weekMonday(year+1, 1) <= monday {
		return 0, before2000, fmt.Errorf("%s is no date code: %d has no week %d", code, year, week)
	}
	return monday, before2000, nil
}

func isTyreCode(s string) bool { return (len(s) == 3 || len(s) == 4) && allDigits(s) }

// weekMonday returns the Monday of an ISO 8601 week: week 1 holds 4 January.
func weekMonday(year, week int) Date {
	fourth := NewDate(year, time.January, 4)
	sinceMonday := (int(fourth.Weekday()) + 6) % 7
	return fourth.AddDays(7*(week-1) - sinceMonday)
}

// readTyreCode refuses digits that no tyre seen on the day of the reading can
// bear: a week that its year does not have, a week still to come, or an age that
// the book rules out.
func readTyreCode(c *cells, p *Checkpoint, value string, takenOn Date) {
	if !isTyreCode(value) {
		c.refuse("value", value, "value.code", "the three or four digits of the date code, such as 2319")
		return
	}
	monday, _, err := TyreWeek(value)
	reason := ""
	switch {
	case err != nil:
		reason = strings.TrimPrefix(err.Error(), value+" is no date code: ")
	case takenOn == 0:
		return
	case monday > takenOn:
		reason = "made on " + monday.Words() + " or later, after the day of the reading"
	case !p.canBe(takenOn.YearsSince(monday)):
		reason = "made on " + monday.Words()
	default:
		return
	}
	c.refuse("value", value, impossible, fmt.Sprintf("%s: week and year in which the tyre was made (%s)%s", p.Title, reason, likelyCode(p, value, takenOn)))
	c.untested = true
}

// likelyCode names the code that was probably meant by an impossible one: year
// and week the other way about, two digits swapped, or the first nought lost.
// Of those that can be the first counts. The form asks in the same order.
func likelyCode(p *Checkpoint, code string, takenOn Date) string {
	meant := []string{"0" + code}
	if len(code) == 4 {
		meant = []string{code[2:] + code[:2], code[1:2] + code[:1] + code[2:], code[:2] + code[3:] + code[2:3]}
	}
	for _, m := range meant {
		monday, _, err := TyreWeek(m)
		if err == nil && m != code && monday <= takenOn && p.canBe(takenOn.YearsSince(monday)) {
			return fmt.Sprintf("; did you mean %s?", m)
		}
	}
	return ""
}
