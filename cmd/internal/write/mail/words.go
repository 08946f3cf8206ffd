package mail

import (
	"strconv"
	"strings"
	"unicode"

	"github.com/vanwright/vanwright/data"
)

const unknown = "not known"

// plain makes one line of a cell and takes out what does not print: line
// breaks, control characters and the marks that turn the direction of text.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.Join(strings.Fields(s), " "))
}

// sentence makes one of what has neither a capital nor a stop.
func sentence(s string) string { return data.Capital(s) + "." }

// shorten cuts a text at a number of characters.
func shorten(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return strings.TrimSpace(string(r[:most-1])) + "…"
}

// count writes a number with its word: 1 van, 2 vans, 1,200 vans.
func count(n int, one string) string {
	if n != 1 {
		one += "s"
	}
	return number(n) + " " + one
}

func number(n int) string {
	digits, negative := strings.CutPrefix(strconv.Itoa(n), "-")
	if negative {
		return "-" + data.Thousands(digits)
	}
	return data.Thousands(digits)
}

func pounds(a amount) string {
	if !a.Known {
		return unknown
	}
	return data.InPounds(a.Value)
}

// moved says how an amount moved, as in "down £500".
func moved(from, to data.Money) string {
	by := to.Sub(from)
	if by.IsNegative() {
		return "down " + data.InPounds(by.Neg())
	}
	return "up " + data.InPounds(by)
}

func fullDay(d data.Date) string { return d.Time().Format("Mon 2 Jan 2006") }

// day leaves out the year where it is that of the reports.
func (s *Set) day(d data.Date) string {
	if d.Year() == s.AsOf.Year() {
		return d.Time().Format("Mon 2 Jan")
	}
	return fullDay(d)
}

// joined puts the parts of a sentence together: a, b and c.
func joined(parts []string) string {
	last := len(parts) - 1
	if last < 1 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}
