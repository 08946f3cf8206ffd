package replay

import (
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// state is how far the work has come.
type state struct {
	*yard
	policy   data.Policy
	progress map[string][]data.Progress // by van
	orders   []data.Order               // with the day on which each will truly arrive
	shown    map[string]bool            // vans whose hidden fault is known
	ordered  map[string]bool            // van and part
	ready    map[string]int             // day by van
	now      int                        // day
}

func newState(y *yard, policy data.Policy) *state {
	return &state{
		yard: y, policy: policy, progress: map[string][]data.Progress{}, shown: map[string]bool{},
		ordered: map[string]bool{}, ready: map[string]int{},
	}
}

func (s *state) today() data.Date { return day0.AddDays(s.now) }

// work lists the vans in hand that are not ready, with their jobs as the office
// knows them.
func (s *state) work() []prep.VanJobs {
	var out []prep.VanJobs
	for i := range s.vans {
		v := &s.vans[i]
		if _, done := s.ready[v.StockID]; done || v.Acquired > s.today() {
			continue
		}
		a := appraise.Assessment{Van: v.Van, Requests: v.requests}
		if s.shown[v.StockID] && v.hidden.Job != "" {
			a.Requests = append(slices.Clip(a.Requests), v.hidden)
		}
		jobs := prep.Jobs(a, s.progress[v.StockID], s.books, s.policy, prep.Calibration{})
		out = append(out, prep.VanJobs{Van: v.Van, Jobs: jobs, ValuePerDay: v.worth})
	}
	return out
}

// order orders all parts that are not on the shelf, once for each van.
func (s *state) order(work []prep.VanJobs) {
	for _, w := range work {
		v := s.van(w.Van.StockID)
		for _, j := range w.Jobs {
			for _, use := range j.Parts {
				part, ok := s.books.Part(use.Part)
				key := w.Van.StockID + " " + j.Code + " " + use.Part
				if !ok || use.Qty <= part.InStock || s.ordered[key] {
					continue
				}
				s.ordered[key] = true
				due := s.today().AddDays(part.LeadDays)
				s.orders = append(s.orders, data.Order{
					Part: use.Part, StockID: w.Van.StockID, Quantity: use.Qty, OrderedOn: s.today(), DueOn: due,
					ArrivedOn: due.AddDays(v.late[use.Part]),
				})
			}
		}
	}
}

func (s *state) van(id string) *van {
	return &s.vans[slices.IndexFunc(s.vans, func(v van) bool { return v.StockID == id })]
}

// hasParts reports whether all parts of a job are there.
func (s *state) hasParts(j *prep.Job) bool {
	for _, use := range j.Parts {
		part, ok := s.books.Part(use.Part)
		if !ok || use.Qty <= part.InStock {
			continue
		}
		came := slices.ContainsFunc(s.orders, func(o data.Order) bool {
			return o.StockID == j.StockID && o.Part == use.Part && o.ArrivedOn <= s.today()
		})
		if !came {
			return false
		}
	}
	return true
}

// trueMinutes is what a job takes in all.
func (s *state) trueMinutes(j *prep.Job) int {
	return max(15, int(j.Book.Quantile(s.van(j.StockID).luck[j.Code])*60))
}

// spent returns what has been worked on a job so far, in minutes.
func spent(j *prep.Job) int { return int(j.HoursSpent.InexactFloat64()*60 + 0.5) }

// enter writes a row of progress.
func (s *state) enter(j *prep.Job, technician string, minutes int, done bool) {
	row := data.Progress{
		StockID: j.StockID, Job: j.Code, State: data.JobStarted, Technician: technician, On: s.today(),
		HoursSpent: data.Some(float64(minutes) / 60),
	}
	if done {
		row.State, row.DoneOn = data.JobDone, s.today()
		s.shown[j.StockID] = true
	}
	rows := s.progress[j.StockID]
	if k := slices.IndexFunc(rows, func(p data.Progress) bool { return p.Job == j.Code }); k >= 0 {
		rows[k] = row
	} else {
		rows = append(rows, row)
	}
	s.progress[j.StockID] = rows
}
