package appraise

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// findings judges every point once.
func (in *inspection) findings() []Finding {
	out := make([]Finding, len(in.points))
	for i := range in.points {
		out[i] = in.finding(&in.points[i])
	}
	return out
}

// finding weighs the value of a point against its limits and the inspector's
// word; the worse of the two stands.
func (in *inspection) finding(p *point) Finding {
	f := Finding{
		Checkpoint: p.book, Position: p.Position, Value: p.Value, TakenOn: p.TakenOn,
		Note: p.Note, Source: p.Source,
	}
	v, why := in.measured(p)
	f.Verdict, f.Reason = weighed(v, why, p)
	if f.Verdict > data.Untested {
		f.Reason += earlier(p)
	}
	if p.TakenOn > in.asOf {
		f.Reason += fmt.Sprintf("; the reading is dated %s, after the day of this report", p.TakenOn.Words())
	}
	f.Job = in.jobOf(p, f.Verdict)
	return f
}

// measured returns the verdict that the value alone gives, NoVerdict where there
// is no value to judge.
func (in *inspection) measured(p *point) (data.Verdict, string) {
	switch p.Checkpoint {
	case tyreCode:
		return in.tyreAge(p)
	case tyreLoadIndex:
		return in.tyreLoad(p)
	case tyreSpeedSymbol:
		return speedSymbol(p)
	case batteryRestVolts:
		return in.batteryCharge(p)
	case fridge12V:
		return fridgeOn12V(p)
	case smokeAlarmExpiry, coAlarmExpiry:
		return in.expired(p)
	}
	l := LimitsOf(p.book, &in.policy)
	if p.book.Unit == "date" {
		day := dayOf(p.Reading)
		if day.IsZero() {
			return data.NoVerdict, ""
		}
		age := ageYears(day, in.asOf)
		v, why := l.judge(age, years(age)+" years since "+printed(p.Reading, day))
		return v, why + l.due(p.Reading, day, in.asOf)
	}
	if x, ok := number(p.Reading); ok {
		text := p.Value
		if text == "" {
			text = quantity(x, "", 0)
		}
		return l.judge(x, data.WithUnit(text, p.book.Unit))
	}
	if p.Value != "" && p.Verdict == data.NoVerdict {
		return data.Sound, p.Value + " recorded; no limit set"
	}
	return data.NoVerdict, ""
}

// dayOf returns the day that a reading records.
func dayOf(r *data.Reading) data.Date {
	if !r.Day.IsZero() {
		return r.Day
	}
	day, err := data.ParseDate(r.Value)
	if err != nil {
		return 0
	}
	return day
}

// printed is a day as it stands on the thing: month and year where that is all.
func printed(r *data.Reading, day data.Date) string {
	if r.MonthOnly {
		return day.MonthWords()
	}
	return day.Words()
}

// due says when a thing with a date reaches its age: "; due Dec 2026". It is blank
// where nothing has such a limit.
func (l *Limits) due(r *data.Reading, day, asOf data.Date) string {
	on := l.dueOn(day)
	switch {
	case on.IsZero():
		return ""
	case on <= asOf:
		return "; was due " + printed(r, on)
	}
	return "; due " + printed(r, on)
}

// dueOn is the day on which a thing of a day reaches the age at which its limits
// call it a defect, or the mildest of them where they call none so; unknown where
// it has no limit. Of a month it is that month's last day.
func (l *Limits) dueOn(day data.Date) data.Date {
	at := data.Opt[float64]{}
	for _, s := range l.Steps() {
		if !at.Known || s.Verdict >= data.Defect {
			at = data.Some(s.At)
		}
	}
	if !at.Known {
		return 0
	}
	return day.AddMonths(int(math.Round(12 * at.Value)))
}

// weighed joins what the value says with what the inspector says.
func weighed(v data.Verdict, why string, p *point) (data.Verdict, string) {
	word := p.Verdict
	switch {
	case v == data.NoVerdict && word == data.NoVerdict:
		return data.Untested, "no reading"
	case v == data.NoVerdict && word == data.Untested:
		return data.Untested, "not tested"
	case v == data.NoVerdict:
		return word, spoken(word, p.Note)
	case v == data.Untested && word > data.Sound && p.Checkpoint != fridge12V:
		// A value that tells nothing leaves a bad word standing, not a good one.
		return word, why + "; " + spoken(word, p.Note)
	case v == data.Untested:
		return v, why
	}
	verdict := worse(v, word)
	if word > v {
		return verdict, why + ", but " + spoken(word, p.Note)
	}
	return verdict, why
}

var inspectorsWord = [...]string{
	data.Sound:  "reported sound",
	data.Worn:   "reported worn",
	data.Defect: "reported as a defect",
	data.Unsafe: "reported unsafe",
}

// spoken gives the inspector's verdict as a clause, with the note as the ground.
func spoken(v data.Verdict, note string) string {
	say := inspectorsWord[v]
	if note = strings.TrimSpace(note); note != "" {
		say += ": " + note
	}
	return say
}

// earlier quotes the reading before, so that a trend can be seen.
func earlier(p *point) string {
	for i := range slices.Backward(p.older) {
		r := &p.older[i]
		if _, ok := number(r); ok && p.book.Unit != "" && p.book.Unit != "date" && r.Value != "" {
			return fmt.Sprintf("; it was %s on %s", data.WithUnit(r.Value, p.book.Unit), r.TakenOn.Words())
		}
	}
	return ""
}

// jobOf returns the labour job that a verdict asks for, blank where the book
// names none or the yard's labour book has no such job.
func (in *inspection) jobOf(p *point, v data.Verdict) string {
	code := ""
	switch v {
	case data.Defect, data.Unsafe:
		code = p.book.Job
	case data.Worn:
		code = p.book.WornJob
	}
	return in.have(code)
}

// have returns the first of the codes that the labour book holds.
func (in *inspection) have(codes ...string) string {
	for _, c := range codes {
		if _, ok := in.books.Job(c); ok {
			return c
		}
	}
	return ""
}
