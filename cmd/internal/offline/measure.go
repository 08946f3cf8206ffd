package offline

import "github.com/vanwright/vanwright/data"

// Measure is how the value of a checkpoint is typed, and what it can be at all.
type Measure struct {
	Unit  string  `json:"unit"`  // blank: a verdict only
	Sign  string  `json:"sign"`  // how the unit is written; blank: as its name
	Least float64 `json:"least"` // of dates and tyre codes an age in years, below 0 where the day may lie ahead
	Most  float64 `json:"most"`
	Whole bool    `json:"whole"`
}

// oldestYears is the age that nothing in a van exceeds, where the book says no
// other: the trade buys few vans of before 1986, and none on its first tyres.
// Common practice, no source.
const oldestYears = 40

// MeasureOf returns what the book says of a checkpoint's value.
func MeasureOf(c *data.Checkpoint) Measure {
	u := data.UnitOf(c.Unit)
	switch c.Unit {
	case "date":
		u.Low, u.High = -oldestYears, oldestYears
	case "code":
		u.Low, u.High = 0, oldestYears
	}
	return Measure{Unit: c.Unit, Sign: u.Sign, Least: c.Least.Or(u.Low), Most: c.Most.Or(u.High), Whole: u.Whole}
}
