package synth

import (
	"fmt"
	"strconv"

	"github.com/vanwright/vanwright/data"
)

const (
	newTreadMM    = 8.2
	treadLifeMile = 34_000 // miles in which a driven tyre loses treadWornMM
	treadWornMM   = 6.2
)

// wheels reads tread, date code and load index at each tyre, and the brakes.
func (e *examiner) wheels() {
	front := []string{"nearside-front", "offside-front"}
	rear := []string{"nearside-rear", "offside-rear"}
	if e.model.TwinRear {
		rear = []string{"nearside-rear-outer", "nearside-rear-inner", "offside-rear-outer", "offside-rear-inner"}
	}
	fitted := e.tyresFitted()
	e.tyres(front, fitted, 1.15)
	if e.chance(0.3) {
		fitted = e.tyresFitted() // the rear pair was changed at another time
	}
	e.tyres(rear, fitted, 0.85)
	if e.looks(0.25) {
		e.measured("tyre-code", "spare", tyreCode(e.van.FirstRegistered.AddDays(-e.between(40, 260))), "code")
	}

	pad := 11 - mul(float64((e.van.Mileage+2000*e.in.Grade)%42_000), 8.6)/42_000
	if e.looks(0.75) {
		for _, wheel := range front {
			e.measured("brake-pad", wheel, tenths(max(0.8, pad+mul(0.4, e.normal()))), "mm")
		}
	}
	if e.looks(0.2) {
		e.measured("brake-fluid-water", "", tenths(0.6+mul(e.span(0.2, 0.9), min(3, e.age))), "percent")
	}
}

// tyresFitted draws when a set of tyres was put on: the first set lasts six
// years at most, or until it is worn.
func (e *examiner) tyresFitted() data.Date {
	if e.age < 6 && e.van.Mileage < 26_000 {
		return e.van.FirstRegistered
	}
	return e.lastFitted(6.5)
}

func (e *examiner) tyres(wheels []string, fitted data.Date, wear float64) {
	made := fitted.AddDays(-e.between(30, 240))
	years := e.in.On.YearsSince(fitted)
	miles := mul(float64(e.van.Mileage)/max(0.5, e.age), years)
	tread := newTreadMM - mul(mul(treadWornMM, wear), miles)/treadLifeMile
	odd := -1
	if e.fails(0.1) {
		odd = e.between(0, len(wheels)-1) // one tyre was replaced alone
	}
	for i, wheel := range wheels {
		code, depth := made, tread+mul(0.25, e.normal())
		if i == odd {
			code, depth = e.in.On.AddDays(-e.between(200, 900)), 7.4
			code = max(code, made)
		}
		if e.looks(0.95) {
			e.measured("tyre-tread", wheel, tenths(min(8.6, max(1.2, depth))), "mm")
		}
		if e.looks(0.9) {
			e.measured("tyre-code", wheel, tyreCode(code), "code")
		}
	}
	if e.looks(0.6) {
		index := e.model.LoadIndex
		if e.fails(0.05) {
			index -= 4 // somebody fitted what was on the shelf
		}
		e.measured("tyre-load-index", wheels[0], strconv.Itoa(index), "index")
	}
}

// tyreCode returns the date code of a tyre: ISO week, then the year's last two
// digits.
func tyreCode(made data.Date) string {
	year, week := made.Time().ISOWeek()
	return fmt.Sprintf("%02d%02d", week, year%100)
}
