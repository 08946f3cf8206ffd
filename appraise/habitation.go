package appraise

import (
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// fridgeOn12V refuses a verdict on the 12 V supply that was given with the
// engine off: a three-way fridge takes 12 V from the alternator only
// (practicalmotorhome.com and caravanclub.co.uk).
func fridgeOn12V(p *point) (data.Verdict, string) {
	note := strings.ToLower(p.Note)
	for _, off := range []string{"engine off", "engine not running", "engine stopped", "without the engine", "without engine"} {
		if strings.Contains(note, off) {
			return data.Untested, "tested with the engine off, when its 12 V supply is dead by design: test again with the engine running"
		}
	}
	return data.NoVerdict, ""
}

// expirySoonDays is how long before its end an alarm is spoken of.
const expirySoonDays = 60

// expired judges an alarm by the day printed on it: on and after that day it
// no longer counts as an alarm.
func (in *inspection) expired(p *point) (data.Verdict, string) {
	day := dayOf(p.Reading)
	left := day.DaysSince(in.asOf)
	switch {
	case day.IsZero():
		return data.NoVerdict, ""
	case left <= 0:
		return data.Defect, "expired " + on(p.Reading, day)
	case left <= expirySoonDays:
		return data.Worn, fmt.Sprintf("expires %s, in %d %s", on(p.Reading, day), left, plural(left, "day", "days"))
	}
	return data.Sound, "expires " + on(p.Reading, day)
}

// on writes the day of an end: the last of its month where only that is printed.
func on(r *data.Reading, day data.Date) string {
	if r.MonthOnly {
		return "at the end of " + day.MonthWords()
	}
	return "on " + day.Words()
}

// chemistry is a kind of leisure battery and its rest volts at 0, 10, … 100 %
// of charge, at rest for hours, without load, at about 20 to 25 °C.
type chemistry struct {
	word, name string
	volts      [11]float64
}

// Lead acid from vanjunkies.co.uk, secondary; the other two from memory. The
// volts at 0 % stand for "below" in the source.
var chemistries = []chemistry{
	{"battery-lead-acid", "lead-acid", [11]float64{11.7, 11.8, 11.9, 12.0, 12.1, 12.2, 12.3, 12.4, 12.5, 12.6, 12.7}},
	{"battery-agm", "AGM", [11]float64{11.5, 11.8, 11.95, 12.05, 12.15, 12.3, 12.4, 12.5, 12.65, 12.75, 12.85}},
	{"battery-lithium", "lithium", [11]float64{10.5, 12.5, 12.9, 13.0, 13.05, 13.1, 13.15, 13.2, 13.3, 13.35, 13.5}},
}

// charge returns percent of charge for rest volts, between the table's rows in
// a straight line.
func (c chemistry) charge(volts float64) float64 {
	t := c.volts
	if volts <= t[0] {
		return 0
	}
	for i := 1; i < len(t); i++ {
		if volts <= t[i] {
			return 10 * (float64(i-1) + (volts-t[i-1])/(t[i]-t[i-1]))
		}
	}
	return 100
}

// rest returns the rest volts at a percent of charge: charge turned round.
func (c chemistry) rest(pct float64) float64 {
	i := min(int(pct/10), 9)
	return c.volts[i] + (c.volts[i+1]-c.volts[i])*(pct-10*float64(i))/10
}

// chemistryOf returns the battery on the van's list; a list that names none or
// several counts as lead-acid, which is what the book's limits are written for.
func chemistryOf(van data.Van) (c chemistry, assumed bool) {
	found := 0
	c = chemistries[0]
	for _, k := range chemistries {
		if van.Has(k.word) {
			c = k
			found++
		}
	}
	if found != 1 {
		return chemistries[0], true
	}
	return c, false
}

// A lithium pack's volts hardly move between these charges, so they are no
// ground for money there (from memory).
const lithiumFlatFromPct = 20

// batteryCharge judges rest volts by the charge that they mean in this van's
// battery: the book's limits are for lead acid, so another chemistry is held
// against them at the lead-acid volts of the same charge.
func (in *inspection) batteryCharge(p *point) (data.Verdict, string) {
	x, ok := number(p.Reading)
	if !ok {
		return data.NoVerdict, ""
	}
	c, assumed := chemistryOf(in.van)
	pct := c.charge(x)
	value := p.Value
	if value == "" {
		value = quantity(x, "", 1)
	}
	text := fmt.Sprintf("%s V, about %.0f%% charged for %s,", value, pct, c.name)
	if assumed {
		text = fmt.Sprintf("%s V, about %.0f%% charged if lead-acid (the van's list does not say),", value, pct)
	}
	l := LimitsOf(p.book, &in.policy)
	switch {
	case c.word == "battery-lead-acid":
		return l.judge(x, text)
	case c.word == "battery-lithium" && pct >= lithiumFlatFromPct:
		return data.Sound, text + " says little of a lithium pack: only a capacity test does"
	}
	equal := chemistries[0].rest(pct)
	return l.judge(equal, fmt.Sprintf("%s as lead acid at %.2f V,", text, equal))
}
