package data

import (
	"slices"
	"strings"
)

// unit is what the book may say of a checkpoint's value.
type unit struct {
	name   string
	same   []string // other spellings of it, compared as they stand
	lo, hi float64  // what is physically possible
	whole  bool
}

// units are the units whose values have bounds. A book may use other units;
// their values are any number up to a million.
var units = []unit{
	{name: "percent", same: []string{"%", "pct", "per cent"}, lo: 0, hi: 100},
	{name: "mm", same: []string{"millimetre", "millimetres"}, lo: 0, hi: 20_000},
	{name: "V", same: []string{"volt", "volts"}, lo: 0, hi: 1_000},
	{name: "A", same: []string{"amp", "amps", "ampere", "amperes"}, lo: -2_000, hi: 2_000},
	{name: "mbar", same: []string{"millibar", "millibars"}, lo: -1_000, hi: 20_000},
	{name: "ms", same: []string{"millisecond", "milliseconds"}, lo: 0, hi: 100_000},
	{name: "megohm", same: []string{"megohms", "Mohm", "MΩ", "MΩ"}, lo: 0, hi: 1_000_000},
	{name: "degC", same: []string{"°C", "C", "celsius"}, lo: -273.15, hi: 1_500},
	{name: "ppm", lo: 0, hi: 1_000_000},
	{name: "count", lo: 0, hi: 10_000, whole: true},
	{name: "index", lo: 0, hi: 279, whole: true}, // ETRTO load indices run from 0 to 279 (from memory)
}

// Units whose values are not numbers.
const (
	unitDate     = "date"
	unitTyreCode = "code"

	unitLoadIndex = "index" // one number, or two parted by a stroke
)

func unitOf(name string) unit {
	for _, u := range units {
		if u.name == name {
			return u
		}
	}
	return unit{name: name, lo: -1_000_000, hi: 1_000_000}
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
	if slices.Contains(unitOf(p.Unit).same, value) {
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
		r.Day = c.date("value", value)
	case unitTyreCode:
		if len(value) < 3 || len(value) > 4 || !allDigits(value) {
			c.refuse("value", value, "value.code", "the three or four digits of the date code, such as 2319")
		}
	case unitLoadIndex:
		// 112/110 gives the index of single and of twin wheels.
		single, twin, both := strings.Cut(value, "/")
		r.Number = readWhole(c, unitOf(p.Unit), trim(single))
		if both {
			readWhole(c, unitOf(p.Unit), trim(twin))
		}
	default:
		u := unitOf(p.Unit)
		if u.whole {
			r.Number = readWhole(c, u, value)
		} else {
			r.Number = c.number("value", value, u.lo, u.hi)
		}
	}
	r.Value = c.seen.keep(value)
}

// readWhole reads a value that is counted rather than measured.
func readWhole(c *cells, u unit, value string) Opt[float64] {
	n := c.number("value", value, u.lo, u.hi)
	if n.Known && n.Value != float64(int(n.Value)) {
		c.refuse("value", value, "value.whole", "a whole "+u.name)
	}
	return n
}
