package data

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Unit is what the checkpoint book may say of a checkpoint's value.
type Unit struct {
	Name      string
	Sign      string   // as people write it after a number; blank: as Name
	Same      []string // other spellings of it, compared as they stand
	Low, High float64  // what is physically possible
	Whole     bool
}

// Units are the units whose values have bounds. A book may use other units;
// see UnitOf.
var Units = []Unit{
	{Name: "percent", Sign: "%", Same: []string{"%", "pct", "per cent"}, Low: 0, High: 100},
	{Name: "mm", Same: []string{"millimetre", "millimetres"}, Low: 0, High: 20_000},
	{Name: "V", Same: []string{"volt", "volts"}, Low: 0, High: 1_000},
	{Name: "A", Same: []string{"amp", "amps", "ampere", "amperes"}, Low: -2_000, High: 2_000},
	{Name: "mbar", Same: []string{"millibar", "millibars"}, Low: -1_000, High: 20_000},
	{Name: "ms", Same: []string{"millisecond", "milliseconds"}, Low: 0, High: 100_000},
	{Name: "megohm", Same: []string{"megohms", "Mohm", "MΩ", "MΩ"}, Low: 0, High: 1_000_000},
	{Name: "degC", Sign: "°C", Same: []string{"°C", "C", "celsius"}, Low: -273.15, High: 1_500},
	{Name: "ppm", Low: 0, High: 1_000_000},
	{Name: "count", Low: 0, High: 10_000, Whole: true},
	{Name: "index", Low: 0, High: 279, Whole: true}, // ETRTO load indices run from 0 to 279 (from memory)
}

// Units whose values are not numbers.
const (
	unitDate     = "date"
	unitTyreCode = "code"

	unitLoadIndex = "index" // one number, or two parted by a stroke
)

// UnitOf returns the unit of a name; one that Units lacks takes any number of
// at most a million.
func UnitOf(name string) Unit {
	for _, u := range Units {
		if u.Name == name {
			return u
		}
	}
	return Unit{Name: name, Low: -1_000_000, High: 1_000_000}
}

// readUnit refuses a unit other than the checkpoint's; a blank one is the
// checkpoint's.
func readUnit(c *cells, p *Checkpoint, value string) bool {
	value = trim(value)
	if value == "" || value == p.Unit || strings.EqualFold(value, p.Unit) {
		return true
	}
	if p.Unit == "" {
		c.refuse("unit", value, "unit.other", "a blank: this checkpoint has no unit, only a verdict")
		return false
	}
	if slices.Contains(UnitOf(p.Unit).Same, value) {
		return true
	}
	c.refuse("unit", value, "unit.other", p.Unit+", the unit of "+p.Code)
	return false
}

// readValue reads a value as its checkpoint's unit asks: a number within what
// is physically possible, a day, or the digits of a tyre's date code. A point
// without a unit takes any text, provided that a verdict says what to make of
// it.
func readValue(c *cells, p *Checkpoint, value string, r *Reading) {
	switch p.Unit {
	case "":
		if r.Verdict == NoVerdict && !c.refused("verdict") {
			c.refuse("verdict", "", "verdict.missing", "a verdict, as "+p.Code+" is not measured")
		}
		c.fits("value", value, maxText)
	case unitDate:
		if r.Day, r.MonthOnly = ParseMonth(value); !r.MonthOnly {
			r.Day = c.date("value", value)
		}
		checkAge(c, p, value, r)
	case unitTyreCode:
		readTyreCode(c, p, value, r.TakenOn)
	case unitLoadIndex:
		// 112/110 gives the index of single and of twin wheels.
		single, twin, both := strings.Cut(value, "/")
		r.Number = readMeasured(c, p, trim(single))
		if both {
			readMeasured(c, p, trim(twin))
		}
	default:
		r.Number = readMeasured(c, p, value)
	}
	r.Value = c.seen.keep(value)
}

// readMeasured reads a number and refuses one that cannot be measured at a
// checkpoint, with the number that was probably meant.
func readMeasured(c *cells, p *Checkpoint, value string) Opt[float64] {
	const far = 1e12 // more digits are no number in a table
	n := c.number("value", value, -far, far)
	switch {
	case !n.Known:
	case !p.canBe(n.Value):
		c.refuse("value", value, impossible, p.bounds(p.Unit)+p.likely(n.Value))
		c.untested = true
	case UnitOf(p.Unit).Whole && n.Value != math.Trunc(n.Value):
		c.refuse("value", value, "value.whole", "a whole "+p.Unit)
	}
	return n
}

// checkAge refuses a date that cannot stand on a thing seen on the day of the
// reading. One that carries only a month may be of any of its days.
func checkAge(c *cells, p *Checkpoint, value string, r *Reading) {
	if r.Day == 0 || r.TakenOn == 0 {
		return
	}
	first := r.Day
	if r.MonthOnly {
		first = NewDate(r.Day.Year(), r.Day.Month(), 1)
	}
	if p.Least.Known && r.TakenOn.YearsSince(first) < p.Least.Value || p.Most.Known && r.TakenOn.YearsSince(r.Day) > p.Most.Value {
		c.refuse("value", value, impossible, p.bounds("years before the day of the reading"))
		c.untested = true
	}
}

// impossible is the rule of a value that a checkpoint cannot have.
const impossible = "value.impossible"

// canBe reports whether a number can be measured at a checkpoint: as Least and
// Most have it, else as its unit does. Ages in years have no bounds of their own.
func (p *Checkpoint) canBe(n float64) bool {
	least, most := p.extremes()
	return n >= least && n <= most
}

// extremes are the least and the most that can be.
func (p *Checkpoint) extremes() (least, most float64) {
	u := UnitOf(p.Unit)
	return p.Least.Or(u.Low), p.Most.Or(u.High)
}

// bounds says what can be measured at a checkpoint.
func (p *Checkpoint) bounds(unit string) string {
	least, most := p.extremes()
	return fmt.Sprintf("%s: from %s to %s %s", p.Title, plain(least), plain(most), unit)
}

// plain writes a number without an exponent.
func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// likely names the value that was probably meant by an impossible one: the same
// digits with the point, or without the minus, where they can be.
func (p *Checkpoint) likely(n float64) string {
	for _, factor := range []float64{0.1, 0.01, 10, -1, 0.001, 100, 1000} {
		if meant := n * factor; meant != n && p.canBe(meant) {
			return fmt.Sprintf("; did you mean %s?", strconv.FormatFloat(meant, 'g', 6, 64))
		}
	}
	return ""
}
