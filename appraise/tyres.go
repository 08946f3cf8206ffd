package appraise

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// Labour jobs for tyres: one wheel, the two wheels of an axle, the four of a
// twin axle, four single wheels, the spare.
const (
	tyreJob         = "tyre-replace"
	tyreAxleJob     = "tyre-axle"
	tyreTwinAxleJob = "tyre-twin-axle"
	tyreSetJob      = "tyre-set"
	tyreSpareJob    = "tyre-spare"
)

// spare is the position of the spare wheel.
const spare = "spare"

// OfTyre reports whether a finding is of one tyre.
func (f Finding) OfTyre() bool { return strings.HasPrefix(f.Code, "tyre-") && f.Position != "" }

// IsTread reports whether a finding is the depth of a tread, in millimetres.
func (f Finding) IsTread() bool { return f.Code == tyreTread }

// IsTyreCode reports whether a finding is a tyre's date code; see TyreAge.
func (f Finding) IsTyreCode() bool { return f.Code == tyreCode }

// TyreAge returns the age on a day of a tyre with a date code, as it is written in
// findings, such as "6.2 years old"; false where the code cannot be read or
// would be made later. Of a tyre from before 2000 it is the least that it can be.
func TyreAge(code string, asOf data.Date) (string, bool) {
	monday, before2000, err := data.TyreWeek(code)
	switch {
	case err != nil || monday > asOf:
		return "", false
	case before2000:
		return "at least " + years(ageYears(monday, asOf)) + " years old", true
	}
	return years(ageYears(monday, asOf)) + " years old", true
}

// tyreAge judges a date code by age on the day of the report.
func (in *inspection) tyreAge(p *point) (data.Verdict, string) {
	if p.Value == "" {
		return data.NoVerdict, ""
	}
	monday, before2000, err := data.TyreWeek(p.Value)
	switch {
	case err != nil:
		why := err.Error() + "; re-read it"
		if len(p.Value) == 3 {
			if _, _, lost := data.TyreWeek("0" + p.Value); lost == nil {
				why += fmt.Sprintf(", perhaps it is 0%s with its first digit lost", p.Value)
			}
		}
		return data.Untested, why
	case monday > in.asOf:
		return data.Untested, fmt.Sprintf("code %s would be made on %s, after the day of this report; re-read it", p.Value, monday.Words())
	}
	l := LimitsOf(p.book, &in.policy)
	age := ageYears(monday, in.asOf)
	old, _ := TyreAge(p.Value, in.asOf)
	text := old + " (code " + p.Value + ", made in the week of " + monday.Words() + ")"
	if before2000 {
		text = fmt.Sprintf("%s (code %s has three digits, so it was made before 2000)", old, p.Value)
		if other, _, err := data.TyreWeek("0" + p.Value); err == nil && other <= in.asOf && in.van.FirstRegistered.Year() >= 2000 {
			text += fmt.Sprintf("; should a spreadsheet have cut 0%s to this, it was made in the week of %s", p.Value, other.Words())
		}
	}
	v, why := l.judge(age, text)
	return v, why
}

// wheel splits a wheel's position into axle and side; ok is false for the spare
// and for anything that is no wheel.
func wheel(position string) (axle, side string, twin, ok bool) {
	side, axle, _ = strings.Cut(position, "-")
	if side != "nearside" && side != "offside" {
		return "", "", false, false
	}
	axle, inner, twin := strings.Cut(axle, "-")
	if axle != "front" && axle != "rear" || twin && inner != "inner" && inner != "outer" {
		return "", "", false, false
	}
	return axle, side, twin, true
}

// mixedAgeYears is how far apart in age two tyres of one axle may be before it
// is said. Common practice, no source.
const mixedAgeYears = 1.0

// tyreNotes compares the tyres of each axle with one another.
func (in *inspection) tyreNotes() []Note {
	var notes []Note
	for _, axle := range []string{"front", "rear"} {
		var oldest, newest point
		var from, to data.Date
		indices, symbols := map[string]bool{}, map[string]bool{}
		for _, p := range in.points {
			if a, _, _, ok := wheel(p.Position); !ok || a != axle {
				continue
			}
			switch p.Checkpoint {
			case tyreCode:
				monday, _, err := data.TyreWeek(p.Value)
				if err != nil || monday > in.asOf {
					continue
				}
				if from == 0 || monday < from {
					from, oldest = monday, p
				}
				if monday > to {
					to, newest = monday, p
				}
			case tyreLoadIndex:
				if p.Value != "" {
					indices[p.Value] = true
				}
			case tyreSpeedSymbol:
				if p.Value != "" {
					symbols[strings.ToUpper(p.Value)] = true
				}
			}
		}
		if from != 0 && ageYears(from, to) > mixedAgeYears {
			notes = append(notes, Note{
				Text: fmt.Sprintf("Tyres of mixed age on the %s axle: %s is %s years older than %s.",
					axle, data.Title(oldest.Position), years(ageYears(from, to)), data.Title(newest.Position)),
				Source: oldest.Source,
			})
		}
		differ := func(what string, seen map[string]bool) {
			if len(seen) > 1 {
				notes = append(notes, Note{Text: fmt.Sprintf("Tyres of different %s on the %s axle: %s.",
					what, axle, strings.Join(slices.Sorted(maps.Keys(seen)), ", "))})
			}
		}
		differ("load index", indices)
		differ("speed symbol", symbols)
	}
	return notes
}
