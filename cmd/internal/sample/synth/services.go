package synth

import "strconv"

// gas reads pressure, hose and regulator where gas is piped.
func (e *examiner) gas() {
	if !e.fitted("gas-locker", "gas-tank") {
		return
	}
	if e.looks(0.55) {
		drop := e.span(0, 2.4)
		if e.fails(0.07) {
			drop = e.span(11, 38)
		}
		e.measured("gas-drop", "", tenths(drop), "mbar")
	}
	if e.looks(0.85) {
		e.measured("gas-hose-date", "", e.lastFitted(7).AddDays(-e.between(20, 200)).String(), "date")
	}
	if e.looks(0.7) {
		e.measured("gas-regulator-date", "", e.lastFitted(13).AddDays(-e.between(20, 300)).String(), "date")
	}
	if e.van.Has("gas-tank") && e.looks(0.6) {
		e.measured("gas-tank-date", "", e.lastFitted(11).String(), "date")
	}
}

// mains reads the 230 V installation.
func (e *examiner) mains() {
	if !e.van.Has("hookup") {
		return
	}
	if e.looks(0.6) {
		ms := 17 + mul(9, e.uniform()) + mul(0.6, e.age)
		if e.fails(0.05) {
			ms = e.span(305, 480)
		}
		e.measured("rcd-trip", "", strconv.Itoa(whole(ms)), "ms")
	}
	if e.looks(0.35) {
		megohm := e.span(20, 200)
		if e.fails(0.05) {
			megohm = e.span(0.2, 1.8)
		}
		e.measured("insulation", "", tenths(megohm), "megohm")
	}
}

// battery reads the leisure battery at rest, by its chemistry, and the starter
// battery.
func (e *examiner) battery() {
	fitted := e.lastFitted(7)
	years := e.in.On.YearsSince(fitted)
	if e.looks(0.85) {
		volts := 12.74 - mul(0.055, years)
		switch {
		case e.van.Has("battery-agm"):
			volts = 12.86 - mul(0.045, years)
		case e.van.Has("battery-lithium"):
			volts = e.span(13.1, 13.4)
		}
		if e.fails(0.12) {
			volts -= e.span(0.3, 0.9) // left flat over a winter
		}
		e.measured("battery-rest-volts", "", hundredths(volts+mul(0.05, e.normal())), "V")
	}
	if !e.van.Has("battery-lithium") && e.looks(0.3) {
		e.measured("battery-date", "", fitted.String(), "date")
	}
	if e.looks(0.5) {
		e.measured("starter-battery", "", hundredths(12.72-e.risk(0.35)+mul(0.06, e.normal())), "V")
	}
}

// expiries reads what has a date printed on it.
func (e *examiner) expiries() {
	if e.van.Has("smoke-alarm") && e.looks(0.8) {
		e.measured("smoke-alarm-expiry", "", e.lastFitted(11).AddMonths(120).String(), "date")
	}
	if e.van.Has("co-alarm") && e.looks(0.85) {
		e.measured("co-alarm-expiry", "", e.lastFitted(7).AddMonths(12*e.between(5, 7)).String(), "date")
	}
	if e.van.Has("fire-extinguisher") && e.looks(0.6) {
		e.measured("extinguisher-date", "", e.lastFitted(5).String(), "date")
	}
	if e.van.Has("freshwater-tank") && e.looks(0.2) {
		e.measured("water-filter-date", "", e.lastFitted(2.5).String(), "date")
	}
	if e.looks(0.6) {
		e.measured("keys-count", "", strconv.Itoa(e.van.Keys.Value), "count")
	}
	if e.van.Has("water-heater") && e.looks(0.2) {
		temp := e.span(58, 70)
		if e.fails(0.06) {
			temp = e.span(38, 54)
		}
		e.measured("hot-water-temp", "", strconv.Itoa(whole(temp)), "degC")
	}
}
