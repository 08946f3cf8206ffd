package prep

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/data/parallel"
	"github.com/vanwright/vanwright/prep/schedule"
)

// Block is a stretch of work by one person on one job.
type Block struct {
	StockID    string
	Job        string
	Title      string
	Technician string
	Bay        string // one place, by name
	Site       string // at which it begins; blank where the workshop names none
	Start      time.Time
	Finish     time.Time
	Hours      decimal.Decimal
}

// QueueRow is one van that is owned or being prepared, and when it is ready.
type QueueRow struct {
	Rank        int
	Van         data.Van
	ReadyOn     data.Date // unknown where some job can't be planned
	ReadyP80    data.Date
	HoursLeft   decimal.Decimal
	WaitingFor  []string // with the codes of parts and jobs
	Waiting     []string // the same in words
	GatesOpen   []string
	ValuePerDay data.Money
}

// Plan is the workshop's next weeks.
type Plan struct {
	Blocks       []Block    // by start, then technician
	Drives       []Drive    // by start, then technician
	Queue        []QueueRow // by rank
	Parts        []PartNeed // by part
	Delays       []Delay    // the few that cost most, dearest first
	More         []More     // what one more day of each skill and one more bay are worth
	Ready        map[string]data.Date
	Told, Kept   int         // jobs that people were told to do in the next three working days, and those of them that keep day and person
	Shortfalls   []Shortfall // what the workshop lacks for open work, what stops most vans first
	WorkshopNote string      // which part of the workshop is a default
	Gain         data.Money  // pounds that it is expected to save against the best of Rules; nothing where that is no less
	BestRule     string      // which of Rules that is
	Gap          float64     // how far from the best possible plan this may be, as a share
	Schedules    int         // tried by the search
	Moved        []Moved     // jobs that people were told to begin soon and that have another day or person
	Likely       Likely
}

// Likely is what the engine was given where all goes as is likely and nobody has been
// told anything, and what it found. It is kept so that another solver can be held
// against the engine: the plan to follow is chosen by what may happen as well.
type Likely struct {
	Problem schedule.Problem
	Plan    schedule.Plan
}

// Warnings says what a reader of the plan must know first: which part of the
// workshop is a default, and what it lacks, with the vans that this stops.
func (plan *Plan) Warnings() []string {
	var out []string
	if plan.WorkshopNote != "" {
		out = append(out, plan.WorkshopNote)
	}
	for _, s := range plan.Shortfalls {
		out = append(out, s.String())
	}
	return out
}

// nearBest is the Gap up to which it tells a foreman something.
const nearBest = 0.08

// NearBest reports whether the plan is known to be so near the best possible one
// that this is worth saying.
func (plan *Plan) NearBest() bool { return plan.Gap <= nearBest }

// PlanWorkshop plans the open jobs of all vans in hand: one van in one place
// at a time, one person on one job to its end, no person or bay twice, no work
// outside a person's hours. The order is the one whose delays are expected to cost
// least over what may happen, and the changes to what people have been told with
// them. previous is what the last plan told people to do; it may be empty. The
// same input gives the same plan, in whatever order the vans come.
func PlanWorkshop(ctx context.Context, work []VanJobs, shop Workshop, books *data.Books, policy data.Policy, asOf data.Date, previous []Block) (Plan, error) {
	in := planInput{
		work: slices.Clone(work), shop: shop, books: books, policy: policy, asOf: asOf,
		stock: newStock(work, shop, books, asOf),
		known: map[Estimate][]float64{}, hiddenOf: map[string][]hiddenWork{},
	}
	slices.SortFunc(in.work, byNeed)
	in.begunBy = in.begunByWhom(previous)
	o, found, err := in.solve(ctx, previous, schedule.Options{
		Objective: schedule.WeightedCompletion,
		Schedules: policy.PlanSchedules,
		Seed:      uint64(policy.Seed),
	})
	if err == nil {
		err = schedule.Verify(o.planModel.problem, found.plan)
	}
	if err != nil {
		return Plan{}, err
	}
	p, solved := o.planModel, found.plan
	plan := Plan{
		Gap:          solved.Gap(),
		WorkshopNote: shop.Note(),
		Schedules:    solved.Schedules,
		Likely:       found.likely,
		Ready:        map[string]data.Date{},
	}
	if found.rule.value > found.ahead {
		plan.Gain, plan.BestRule = poundsOf(found.rule.value-found.ahead), Rules[found.rule.number]
	}
	plan.Blocks, plan.Drives = p.blocks(solved), p.drives(solved)
	if ofAnEarlierDay(previous, asOf) {
		plan.Told, plan.Kept = len(p.told), p.kept(solved)
	}
	plan.Moved = p.moved(previous, plan.Blocks)
	plan.Shortfalls = p.shortfalls()
	plan.Parts = toOrder(p.orders, p.firstUse(solved), asOf)
	err = parallel.Do(ctx, 0, // both try the plan many times
		func() (err error) { plan.Delays, err = p.delays(solved); return err },
		func() (err error) { plan.More, err = p.more(solved); return err },
	)
	if err != nil {
		return Plan{}, err
	}
	late, err := o.readyP80(ctx, found.order)
	if err != nil {
		return Plan{}, err
	}
	plan.queue(p, solved, late)
	return plan, nil
}

// ofAnEarlierDay says whether a plan tells of work before a day. A plan of the day
// itself is of an earlier run of that day: people have it still to come, and a
// second run gives the same bytes.
func ofAnEarlierDay(previous []Block, day data.Date) bool {
	return slices.ContainsFunc(previous, func(b Block) bool { return b.Start.Before(day.Time()) })
}

// begins is when each job of a plan begins.
func (p *planModel) begins(solved schedule.Plan) map[jobKey]int {
	begin := map[jobKey]int{}
	for i := range p.tasks {
		if a := solved.Assignments[i]; a.Placed() {
			for _, j := range p.jobs(i) {
				begin[keyOf(j)] = a.Start
			}
		}
	}
	return begin
}

// firstUse returns the first day on which a job that waits for a part begins,
// by part.
func (p *planModel) firstUse(solved schedule.Plan) map[string]data.Date {
	first := map[string]data.Date{}
	for key, begin := range p.begins(solved) {
		day := p.asOf.AddDays(begin / minutesPerDay)
		for _, part := range p.short[key] {
			if was, ok := first[part]; !ok || day < was {
				first[part] = day
			}
		}
	}
	return first
}

// blocks lists who works where and when, with a bay of its own for each stay.
// A visit begins with bringing the van into its bay, which is in no block.
func (p *planModel) blocks(solved schedule.Plan) []Block {
	bay := p.nameBays(solved)
	midnight := p.asOf.Time()
	at := func(minute int) time.Time { return midnight.Add(time.Duration(minute) * time.Minute) }
	var out []Block
	for i, t := range p.tasks {
		a := solved.Assignments[i]
		if len(t.jobs) == 0 || !a.Placed() {
			continue
		}
		spans := solved.Blocks(p.problem, i)
		_, spans = cut(spans, t.bringIn)
		for _, j := range p.jobs(i) {
			var own []schedule.Interval
			own, spans = cut(spans, jobMinutes(j))
			for _, b := range own {
				out = append(out, Block{
					StockID: j.StockID, Job: j.Code, Title: j.Title,
					Technician: p.shop.Team[a.Worker].Name,
					Bay:        bay[i],
					Site:       p.floor.sites[p.problem.Tasks[i].Site],
					Start:      at(b.From), Finish: at(b.To),
					Hours: data.Hours(float64(b.To-b.From) / 60),
				})
			}
		}
	}
	slices.SortFunc(out, func(a, b Block) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Technician, b.Technician),
			cmp.Compare(a.StockID, b.StockID), cmp.Compare(a.Job, b.Job))
	})
	return out
}

// cut takes the first minutes from some spans of time.
func cut(spans []schedule.Interval, minutes int) (first, rest []schedule.Interval) {
	for k, v := range spans {
		switch length := v.To - v.From; {
		case minutes == 0:
			return first, spans[k:]
		case length > minutes:
			middle := v.From + minutes
			rest = append([]schedule.Interval{{From: middle, To: v.To}}, spans[k+1:]...)
			return append(first, schedule.Interval{From: v.From, To: middle}), rest
		default:
			first = append(first, v)
			minutes -= length
		}
	}
	return first, nil
}

// nameBays gives each stay a single bay: stays are taken by start, each in the
// first bay of its kind that is free. The engine never fills more bays than
// there are, so one is always free.
func (p *planModel) nameBays(solved schedule.Plan) map[int]string {
	named := map[int]string{}
	for k, place := range p.floor.places {
		names := place.names
		freeAt := make([]int, len(names))
		var stays []int
		for i, a := range p.problem.Tasks {
			if solved.Assignments[i].Placed() && len(a.Uses) > 0 && a.Uses[0].Resource == k {
				stays = append(stays, i)
			}
		}
		slices.SortFunc(stays, func(a, b int) int {
			return cmp.Or(cmp.Compare(solved.Assignments[a].Start, solved.Assignments[b].Start), cmp.Compare(a, b))
		})
		for _, i := range stays {
			for n := range names {
				if freeAt[n] <= solved.Assignments[i].Start {
					freeAt[n] = solved.Assignments[i].Finish
					named[i] = names[n]
					break
				}
			}
		}
	}
	return named
}

// queue ranks the vans that are owned or being prepared by the day on which
// they are ready; a van that can't be planned comes last.
func (plan *Plan) queue(p *planModel, solved schedule.Plan, late []data.Date) {
	unplaced := map[int][]string{} // by index of the van
	for _, u := range solved.Unplaced {
		van := p.tasks[u.Task].van
		for _, j := range p.jobs(u.Task) {
			unplaced[van] = append(unplaced[van], j.Code+": "+cmp.Or(p.stuckOf[van][j.Code], u.Reason))
		}
	}
	for w, v := range p.work {
		row := QueueRow{Van: v.Van, ValuePerDay: v.ValuePerDay}
		if a := solved.Assignments[p.ready[w]]; a.Placed() && len(unplaced[w]) == 0 {
			row.ReadyOn = dayOf(a.Finish, p.asOf)
			if row.ReadyP80 = late[w]; !late[w].IsZero() {
				row.ReadyP80 = max(row.ReadyOn, late[w])
			}
			plan.Ready[v.Van.StockID] = row.ReadyOn
		}
		for _, j := range v.Jobs {
			row.HoursLeft = row.HoursLeft.Add(j.HoursLeft)
			parts := p.short[jobKey{v.Van.StockID, j.Code}]
			if len(parts) == 0 && j.State == data.JobAwaitingParts {
				row.WaitingFor = append(row.WaitingFor, "parts for "+j.Code)
				row.Waiting = append(row.Waiting, "parts for "+data.Within(j.Title))
			}
			for _, part := range parts {
				if word := "part " + part; !slices.Contains(row.WaitingFor, word) {
					row.WaitingFor = append(row.WaitingFor, word)
					book, _ := p.books.Part(part)
					row.Waiting = append(row.Waiting, data.Within(cmp.Or(book.Title, part)))
				}
			}
		}
		slices.Sort(row.WaitingFor)
		slices.Sort(row.Waiting)
		row.WaitingFor = append(row.WaitingFor, unplaced[w]...)
		for _, u := range unplaced[w] {
			code, why, _ := strings.Cut(u, ": ")
			book, _ := p.books.Job(code)
			row.Waiting = append(row.Waiting, data.Within(cmp.Or(book.Title, code))+": "+why)
		}
		row.GatesOpen = gatesOpen(v.Jobs)
		plan.stop(&row, v)
		if v.Van.Status != data.Ready || len(v.Stops) > 0 {
			plan.Queue = append(plan.Queue, row)
		}
	}
	slices.SortFunc(plan.Queue, func(a, b QueueRow) int {
		return cmp.Or(
			data.FalseFirst(a.ReadyOn.IsZero(), b.ReadyOn.IsZero()),
			cmp.Compare(a.ReadyOn, b.ReadyOn),
			b.ValuePerDay.Cmp(a.ValuePerDay),
			cmp.Compare(a.Van.StockID, b.Van.StockID),
		)
	})
	for i := range plan.Queue {
		plan.Queue[i].Rank = i + 1
	}
}

// stop holds a van with unsafe points: its first gate is unsafe, it waits for
// each point to be read again, and it has no ready day while some point has no
// open job that mends it.
func (plan *Plan) stop(row *QueueRow, v VanJobs) {
	if len(v.Stops) == 0 {
		return
	}
	row.GatesOpen = slices.Insert(row.GatesOpen, 0, GateUnsafe)
	for i := range v.Stops {
		f := &v.Stops[i]
		word := "unsafe: " + f.Point()
		if !f.MendedOn.IsZero() {
			word = "to be read again: " + f.Point()
		}
		row.WaitingFor = append(row.WaitingFor, word)
		if !mends(v.Jobs, f.Job) {
			row.ReadyOn, row.ReadyP80 = 0, 0
			delete(plan.Ready, v.Van.StockID)
		}
	}
}

// GateUnsafe is the gate that an unsafe point holds shut. No job opens it: a later
// reading or a certificate does.
const GateUnsafe = "unsafe"

// mends reports whether an open job of the van is one that a finding asks for, or
// took it over.
func mends(jobs []Job, code string) bool {
	return code != "" && slices.ContainsFunc(jobs, func(j Job) bool {
		return j.Open() && (j.Code == code || slices.Contains(j.Absorbs, code))
	})
}

// gatesOpen lists the gates that some open job still holds shut, in the order
// in which a van passes them.
func gatesOpen(jobs []Job) []string {
	var open []string
	for _, gate := range data.Gates {
		if slices.ContainsFunc(jobs, func(j Job) bool { return j.Open() && j.Gate == gate }) {
			open = append(open, gate)
		}
	}
	return open
}

// dayOf is the day on which a minute falls; the last minute of a day belongs
// to it.
func dayOf(minute int, asOf data.Date) data.Date {
	return asOf.AddDays(max(minute-1, 0) / minutesPerDay)
}
