package pages

import (
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

const notKnown = "not known"

// pence writes an amount as in £12,495.00, with a true minus sign.
func pence(m data.Money) string { return sterling(data.FormatMoney(m)) }

// pounds writes an amount to the pound, as in £12,495.
func pounds(m data.Money) string {
	return strings.Replace(data.InPounds(m), "-", "−", 1)
}

func sterling(figure string) string {
	figure, negative := strings.CutPrefix(figure, "-")
	whole, rest, _ := strings.Cut(figure, ".")
	out := "£" + data.Thousands(whole)
	if rest != "" {
		out += "." + rest
	}
	if negative {
		return "−" + out
	}
	return out
}

func optPence(m data.Opt[data.Money]) string  { return orUnknown(m, pence) }
func optPounds(m data.Opt[data.Money]) string { return orUnknown(m, pounds) }

func orUnknown[T any](o data.Opt[T], say func(T) string) string {
	if !o.Known {
		return notKnown
	}
	return say(o.Value)
}

func percent(d decimal.Decimal) string {
	return strings.Replace(data.FormatDecimal(d, 1), "-", "−", 1) + "%"
}

// number writes a whole number with commas at thousands.
func number(n int) string {
	if n < 0 {
		return "−" + data.Thousands(strconv.Itoa(-n))
	}
	return data.Thousands(strconv.Itoa(n))
}

func withUnit(o data.Opt[int], unit string) string {
	return orUnknown(o, func(n int) string { return strings.TrimSpace(number(n) + " " + unit) })
}

// count writes 1 van, 2 vans.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return number(n) + " " + thing + "s"
}

func hours(h decimal.Decimal) string { return data.FormatDecimal(h, 1) + " h" }

// day writes 9 Mar 2026.
func day(d data.Date) string { return dayAs(d, "2 Jan 2006") }

// longDay writes Monday 9 March 2026.
func longDay(d data.Date) string { return dayAs(d, "Monday 2 January 2006") }

func dayAs(d data.Date, layout string) string {
	if d.IsZero() {
		return notKnown
	}
	return d.Time().Format(layout)
}

// nameOf is what people call a van: maker and model.
func nameOf(v data.Van) string { return strings.TrimSpace(v.Maker + " " + v.Model) }

// verdictMark is a verdict as it is shown: the word, and a style that draws a
// line pattern round it.
type verdictMark struct{ Word, Class string }

func markOf(v data.Verdict) verdictMark {
	return verdictMark{v.String(), "mark-" + v.String()}
}
