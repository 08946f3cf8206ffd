package data

import (
	"fmt"
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
		if len(value) < 3 || len(value) > 4 || !allDigits(value) {
			c.refuse("value", value, "value.code", "the three or four digits of the date code, such as 2319")
		}
	case unitLoadIndex:
		// 112/110 gives the index of single and of twin wheels.
		single, twin, both := strings.Cut(value, "/")
		r.Number = readWhole(c, UnitOf(p.Unit), trim(single))
		if both {
			readWhole(c, UnitOf(p.Unit), trim(twin))
		}
	default:
		u := UnitOf(p.Unit)
		if u.Whole {
			r.Number = readWhole(c, u, value)
		} else {
			r.Number = c.number("value", value, u.Low, u.High)
		}
	}
	if r.Number.Known {
		checkMeasured(c, p, value, r.Number.Value)
	}
	r.Value = c.seen.keep(value)
}

// checkMeasured refuses a number that cannot be measured at a checkpoint, with
// the number that was probably meant.
func checkMeasured(c *cells, p *Checkpoint, value string, n float64) {
	if !p.canBe(n) {
		c.refuse("value", value, impossible, p.bounds(p.Unit)+p.likely(n))
		c.untested = true
	}
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

// canBe reports whether a number lies within Least and Most.
func (p *Checkpoint) canBe(n float64) bool {
	return !(p.Least.Known && n < p.Least.Value || p.Most.Known && n > p.Most.Value)
}

// bounds says what can be measured at a checkpoint.
func (p *Checkpoint) bounds(unit string) string {
	s := p.Title + ": "
	switch {
	case p.Least.Known && p.Most.Known:
		s += fmt.Sprintf("from %v to %v", p.Least.Value, p.Most.Value)
	case p.Least.Known:
		s += fmt.Sprintf("at least %v", p.Least.Value)
	default:
		s += fmt.Sprintf("at most %v", p.Most.Value)
	}
	return s + " " + unit
}

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

// readWhole reads a value that is counted rather than measured.
func readWhole(c *cells, u Unit, value string) Opt[float64] {
	n := c.number("value", value, u.Low, u.High)
	if n.Known && n.Value != float64(int(n.Value)) {
		c.refuse("value", value, "value.whole", "a whole "+u.Name)
	}
	return n
}
