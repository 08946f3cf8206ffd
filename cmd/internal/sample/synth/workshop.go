package synth

import (
	"fmt"
	"time"

	"github.com/vanwright/vanwright/data"
)

// usualJob is a job that most vans get, with the hours it takes here.
type usualJob struct {
	job   string
	hours float64 // median labour hours
	p     float64 // chance that a van gets it
	skill string
}

// usualJobs are codes of the built-in labour book, in the order of the work.
var usualJobs = []usualJob{
	{"intake-inspection", 1.7, 1, "mechanical"},
	{"damp-survey", 1.0, 0.8, "damp"},
	{"engine-service", 2.1, 0.6, "mechanical"},
	{"brake-pads", 0.7, 0.2, "mechanical"},
	{"tyre-set", 2.1, 0.25, "tyres"},
	{"battery-leisure", 0.5, 0.25, "habitation"},
	{"gas-test", 1.6, 0.8, "gas"},
	{"electrical-test", 2.1, 0.6, "electrical"},
	{"habitation-service", 3.2, 0.75, "habitation"},
	{"window-reseal", 3.4, 0.12, "damp"},
	{"furniture-adjust", 0.6, 0.3, "habitation"},
	{"valet", 6.4, 0.95, "valet"},
	{"photographs", 1.0, 0.9, "photography"},
}

// hoursNoise is the standard deviation of ln(hours spent / usual hours).
const hoursNoise = 0.25

// progress draws the work done on a van: all of it on a sold or ready van, a part
// of it on one being prepared.
func (s Spec) progress(d *Draws, c Case, team []data.Technician, list []data.Progress) []data.Progress {
	v := c.Van
	if v.Status == data.Offered || v.Status == data.Owned {
		return list
	}
	reached := len(usualJobs)
	if v.Status == data.Preparing {
		reached = d.between(1, len(usualJobs)-2)
	}
	day := v.Acquired.AddDays(1)
	last := onOrBefore(working, s.AsOf)
	if !v.Listed.IsZero() {
		last = v.Listed
	}
	for i, j := range usualJobs[:reached] {
		if !d.chance(j.p) {
			continue
		}
		p := data.Progress{StockID: v.StockID, Job: j.job, State: data.JobDone,
			Technician: someoneWith(d, team, j.skill)}
		spent := max(0.1, mul(j.hours, exp(mul(hoursNoise, d.normal()))))
		if v.Status == data.Preparing && i == reached-1 {
			p.State = data.JobStarted
			spent = mul(spent, 0.4)
			if d.chance(0.3) {
				p.State, spent = data.JobAwaitingParts, 0
			}
		} else {
			day = min(last, onOrAfter(working, day.AddDays(d.between(0, 2))))
			p.DoneOn = day
		}
		p.HoursSpent = data.Some(float64(whole(mul(spent, 10))) / 10)
		list = append(list, p)
	}
	return list
}

func someoneWith(d *Draws, team []data.Technician, skill string) string {
	from := d.between(0, len(team)-1)
	for i := range team {
		if t := team[(from+i)%len(team)]; t.HasSkill(skill) {
			return t.Name
		}
	}
	return ""
}

// trades are the sets of skills that the team is made of, in turn.
var trades = [][]string{
	{"mechanical", "tyres"},
	{"habitation", "gas"},
	{"valet", "photography"},
	{"habitation", "electrical"},
	{"bodywork", "damp"},
	{"mechanical", "electrical"},
	{"habitation", "damp", "gas"},
	{"tyres", "valet"},
}

// team makes one person for each twelve vans in hand, and at least eight.
func (s Spec) team() []data.Technician {
	list := make([]data.Technician, 0, 8)
	for n := range max(8, s.InHand/12) {
		t := data.Technician{Name: fmt.Sprintf("Person %02d", n+1), Skills: trades[n%len(trades)]}
		for day := time.Monday; day <= time.Friday; day++ {
			t.Hours[day] = 8
		}
		if n%5 == 4 {
			t.Hours[time.Friday], t.Hours[time.Saturday] = 4, 4
		}
		list = append(list, t)
	}
	return list
}

func (s Spec) bays() []data.Bay {
	groups := 1 + max(8, s.InHand/12)/8
	return []data.Bay{
		{Name: "Ramps", Kind: "ramp", Count: 2 * groups},
		{Name: "Habitation bays", Kind: "habitation", Count: 3 * groups},
		{Name: "Body shop", Kind: "bodywork", Count: 2 * groups},
		{Name: "Valet bay", Kind: "valet", Count: groups},
	}
}

// absences gives each person a week off in the coming months and everybody one
// day.
func (s Spec) absences(team []data.Technician) []data.Absence {
	d := NewDraws(s.Seed, streamWorkshop, 0)
	stocktaking := s.AsOf.AddDays(25)
	list := []data.Absence{{From: stocktaking, To: stocktaking}}
	for _, t := range team {
		from := s.AsOf.AddDays(d.between(5, 90))
		list = append(list, data.Absence{Technician: t.Name, From: from, To: from.AddDays(d.between(0, 8))})
	}
	return list
}
