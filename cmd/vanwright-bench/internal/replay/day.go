package replay

import (
	"slices"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// step is the minutes between looks at who is free, and the day is so long, with
// its break.
const (
	step     = 15
	dayFrom  = 8 * 60
	breakAt  = 12 * 60
	breakEnd = breakAt + 30
	dayTo    = 16*60 + 30
)

// wish is a job that somebody may do, the most wanted first.
type wish struct {
	job  *prep.Job
	rank float64
}

// wishes lists what a person would do next, in the order of a way of working.
type wishes func(technician string) []wish

// doing is what somebody is at.
type doing struct {
	job     *prep.Job
	moving  int // minutes until the van is in its bay
	minutes int // worked so far, earlier days included
}

// workDay runs one day.
func (s *state) workDay(work []prep.VanJobs, next wishes) {
	at := map[string]*doing{} // by person
	wet := map[string]time.Time{}
	kinds := map[string]int{}
	for _, b := range s.shop.Bays {
		kinds[b.Kind] += b.Count
	}
	byVan := map[string][]prep.Job{}
	for _, w := range work {
		byVan[w.Van.StockID] = w.Jobs
		for _, j := range w.Jobs {
			if j.State == data.JobDone && !j.DoneOn.IsZero() {
				wet[j.StockID+" "+j.Code] = j.DoneOn.Time().Add(16*time.Hour + time.Duration(j.DryingHours*float64(time.Hour)))
			}
		}
	}
	done := map[string]bool{}
	can := func(j *prep.Job, t data.Technician, now time.Time) bool {
		if done[j.StockID+" "+j.Code] || !t.HasSkill(j.Skill) || j.State == data.JobStarted && j.Technician != t.Name && s.present(j.Technician) || !s.hasParts(j) {
			return false
		}
		bays := 0
		for _, d := range at {
			if d.job.StockID == j.StockID {
				return false
			}
			if j.Bay != "" && d.job.Bay == j.Bay {
				bays++
			}
		}
		if j.Bay != "" && bays >= kinds[j.Bay] {
			return false
		}
		for _, code := range j.After {
			k := slices.IndexFunc(byVan[j.StockID], func(o prep.Job) bool { return o.Code == code })
			if k < 0 {
				continue
			}
			before, key := byVan[j.StockID][k], j.StockID+" "+code
			if before.Open() && !done[key] || wet[key].After(now) {
				return false
			}
		}
		return true
	}
	for minute := dayFrom; minute < dayTo; minute += step {
		if minute >= breakAt && minute < breakEnd {
			continue
		}
		now := s.today().Time().Add(time.Duration(minute) * time.Minute)
		for _, t := range s.shop.Team {
			if !s.present(t.Name) || at[t.Name] != nil {
				continue
			}
			for _, w := range next(t.Name) {
				if can(w.job, t, now) {
					at[t.Name] = &doing{job: w.job, minutes: spent(w.job)}
					if w.job.Bay != "" && w.job.State != data.JobStarted {
						at[t.Name].moving = s.policy.MoveMinutes
					}
					break
				}
			}
		}
		for _, t := range s.shop.Team {
			d := at[t.Name]
			if d == nil {
				continue
			}
			if d.moving > 0 {
				d.moving -= step
				continue
			}
			d.minutes += step
			if d.minutes >= s.trueMinutes(d.job) {
				key := d.job.StockID + " " + d.job.Code
				done[key] = true
				wet[key] = now.Add(step*time.Minute + time.Duration(d.job.DryingHours*float64(time.Hour)))
				s.enter(d.job, t.Name, d.minutes, true)
				delete(at, t.Name)
			}
		}
	}
	for _, t := range s.shop.Team {
		if d := at[t.Name]; d != nil && d.minutes > 0 {
			s.enter(d.job, t.Name, d.minutes, false)
		}
	}
}

// present reports whether somebody is there today.
func (s *state) present(technician string) bool {
	away := s.absent[technician]
	return len(away) > s.now && !away[s.now]
}
