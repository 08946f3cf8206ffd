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
	partsOn  map[jobPart]data.Date      // on which a job truly has its part
	shelf    map[string]int             // parts that nobody has been given
	ready    map[string]int             // day by van
	now      int                        // day
	told80   map[string]int             // day by van
	knowing  bool                       // the office knows what is to come
}

type jobPart struct{ stockID, job, part string }

func newState(y *yard, policy data.Policy) *state {
	s := &state{
		yard: y, policy: policy, progress: map[string][]data.Progress{}, shown: map[string]bool{},
		partsOn: map[jobPart]data.Date{}, shelf: map[string]int{}, ready: map[string]int{}, told80: map[string]int{},
	}
	for _, p := range y.books.Parts {
		s.shelf[p.Code] = p.InStock
	}
	return s
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
		shown := s.shown[v.StockID] || s.knowing
		if shown && v.hidden.Job != "" {
			a.Requests = append(slices.Clip(a.Requests), v.hidden)
		}
		jobs := prep.Jobs(a, s.progress[v.StockID], s.books, s.policy, prep.Calibration{})
		if s.knowing {
			s.tell(jobs)
		}
		w := prep.VanJobs{Van: v.Van, Jobs: jobs, ValuePerDay: v.worth}
		if !shown {
			w.Untested = s.untested
		}
		out = append(out, w)
	}
	return out
}

// order gives each job its parts, once: off the shelf while it has them, first come,
// and by an order for its van where it has not.
func (s *state) order(work []prep.VanJobs) {
	for _, w := range work {
		v := s.van(w.Van.StockID)
		for _, j := range w.Jobs {
			for _, use := range j.Parts {
				part, ok := s.books.Part(use.Part)
				key := jobPart{w.Van.StockID, j.Code, use.Part}
				if _, given := s.partsOn[key]; !ok || given {
					continue
				}
				order := data.Order{Part: use.Part, StockID: w.Van.StockID, Quantity: use.Qty, OrderedOn: s.today(), DueOn: s.today(), ArrivedOn: s.today()}
				if s.shelf[use.Part] >= use.Qty {
					s.shelf[use.Part] -= use.Qty
				} else {
					order.DueOn = s.today().AddDays(part.LeadDays)
					order.ArrivedOn = order.DueOn.AddDays(v.late[use.Part])
					if s.knowing {
						order.DueOn = order.ArrivedOn
					}
				}
				s.partsOn[key] = order.ArrivedOn
				s.orders = append(s.orders, order)
			}
		}
	}
}

// shelfBooks are the books with what is left on the shelf.
func (s *state) shelfBooks() *data.Books {
	return s.books.WithParts(func(p data.Part) data.Part {
		p.InStock = s.shelf[p.Code]
		return p
	})
}

func (s *state) van(id string) *van {
	return &s.vans[slices.IndexFunc(s.vans, func(v van) bool { return v.StockID == id })]
}

// hasParts reports whether all parts of a job are there.
func (s *state) hasParts(j *prep.Job) bool {
	return !slices.ContainsFunc(j.Parts, func(use data.PartUse) bool {
		on, given := s.partsOn[jobPart{j.StockID, j.Code, use.Part}]
		return given && on > s.today()
	})
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

// tell puts the true hours of jobs in the place of their estimates.
func (s *state) tell(jobs []prep.Job) {
	for i := range jobs {
		j := &jobs[i]
		hours := float64(s.trueMinutes(j)) / 60
		j.Book = prep.Estimate{Low: hours, Likely: hours, High: hours}
		j.HoursP50, j.HoursP80 = data.Hours(hours), data.Hours(hours)
		if j.Open() {
			j.HoursLeft = data.Hours(max(hours-float64(spent(j))/60, step/60.0))
		}
	}
}

// absences are the days on which people will be away, where that is known.
func (s *state) absences() []data.Absence {
	var known []data.Absence
	for _, t := range s.shop.Team {
		for day, away := range s.absent[t.Name] {
			if away && s.knowing {
				on := day0.AddDays(day)
				known = append(known, data.Absence{Technician: t.Name, From: on, To: on})
			}
		}
	}
	return known
}
