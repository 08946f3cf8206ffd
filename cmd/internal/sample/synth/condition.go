package synth

import (
	"strconv"

	"github.com/vanwright/vanwright/data"
)

// Inspection is one look at a van.
type Inspection struct {
	Case
	On        data.Date
	Inspector string
	// Thorough is the share of the usual points that are looked at: 1 in a
	// workshop, about 0.6 on somebody's drive.
	Thorough float64
}

// Readings appends to list what an inspection of a van finds, about 50 readings
// for a Thorough of 1. Only what is fitted is read, and every point may be left
// out.
func Readings(d *Draws, in Inspection, list []data.Reading) []data.Reading {
	e := examiner{Draws: d, in: in, van: in.Van, list: list}
	e.age = in.Van.AgeYears(in.On)
	e.neglect = [...]float64{0.4, 0.7, 1, 1.6, 2.4}[in.Grade-1]
	e.model, _ = FindModel(in.Van.Maker, in.Van.Model)
	e.wheels()
	e.damp()
	e.gas()
	e.mains()
	e.battery()
	e.expiries()
	e.verdicts()
	return e.list
}

// examiner walks round one van.
type examiner struct {
	*Draws
	in      Inspection
	van     data.Van
	model   Model
	age     float64 // years, on the day
	neglect float64 // 1 for grade 3
	list    []data.Reading
}

// looks is true where a point with the usual chance p is looked at.
func (e *examiner) looks(p float64) bool { return e.chance(mul(p, e.in.Thorough)) }

// fails is true for a fault that a van of 15 years and grade 3 has with
// probability p; a new van has a tenth of that.
func (e *examiner) fails(p float64) bool { return e.chance(e.risk(p)) }

func (e *examiner) risk(p float64) float64 {
	return min(0.9, mul(mul(p, e.neglect), 0.1+mul(0.9, e.age)/15))
}

func (e *examiner) fitted(words ...string) bool {
	for _, w := range words {
		if e.van.Has(w) {
			return true
		}
	}
	return false
}

func (e *examiner) measured(checkpoint, position, value, unit string) {
	e.list = append(e.list, data.Reading{StockID: e.van.StockID, TakenOn: e.in.On,
		Inspector: e.in.Inspector, Checkpoint: checkpoint, Position: position, Value: value, Unit: unit})
}

func (e *examiner) judged(checkpoint, position string, v data.Verdict, note string) {
	e.list = append(e.list, data.Reading{StockID: e.van.StockID, TakenOn: e.in.On,
		Inspector: e.in.Inspector, Checkpoint: checkpoint, Position: position, Verdict: v, Note: note})
}

// lastFitted draws when something was last renewed that is renewed about every
// so many years, late where the van is neglected; never before it was new.
func (e *examiner) lastFitted(years float64) data.Date {
	ago := e.span(0, mul(years, 0.9+mul(0.15, e.neglect)))
	return max(e.van.FirstRegistered, e.in.On.AddDays(-whole(mul(365.25, ago))))
}

// tenths and hundredths write a measurement to one and two places.
func tenths(x float64) string     { return places(whole(mul(x, 10)), 10) }
func hundredths(x float64) string { return places(whole(mul(x, 100)), 100) }

func places(n, scale int) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	rest := strconv.Itoa(scale + n%scale)[1:]
	return sign + strconv.Itoa(n/scale) + "." + rest
}
