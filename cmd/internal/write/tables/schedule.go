package tables

import (
	"io/fs"
	"slices"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

const minuteForm = "2006-01-02 15:04" // of schedule.csv

// Schedule reads the schedule of the reports in old, by which people have been
// told to work. A report that is not there or can't be read holds nothing, nor does
// a line without a clear start and finish. old may be nil.
func Schedule(old fs.FS) []prep.Block {
	if old == nil {
		return nil
	}
	f, err := old.Open(blocks.Name())
	if err != nil {
		return nil
	}
	defer f.Close()
	records, err := csvout.ReadBack(f)
	if err != nil {
		return nil
	}
	var out []prep.Block
	for _, rec := range records {
		start, err := time.Parse(minuteForm, rec.Get("start"))
		if err != nil {
			continue
		}
		finish, err := time.Parse(minuteForm, rec.Get("finish"))
		if err != nil || !start.Before(finish) {
			continue
		}
		out = append(out, prep.Block{
			StockID: rec.Get("stock_id"), Job: rec.Get("job"), Technician: rec.Get("technician"), Bay: rec.Get("bay"),
			Start: start, Finish: finish,
		})
	}
	return out
}

// moved lists the jobs that people were told to begin by the third working day from
// now and that move to another day or person, with the reason; one that is still
// open and no longer planned has a blank after. What is new or done has not moved,
// nor what keeps its day, and nobody counts yet on what comes later.
func moved(r *night.Result, old fs.FS) []Change {
	type key struct{ stockID, job string }
	open := map[key]data.JobState{}
	promised := map[string]bool{}
	for i := range r.Vans {
		v := &r.Vans[i]
		promised[v.Van.StockID] = !v.Van.PromisedOn.IsZero()
		for _, j := range v.Jobs {
			if j.Open() {
				open[key{j.StockID, j.Code}] = j.State
			}
		}
	}
	now := map[key]prep.Block{}
	for _, b := range r.Plan.Blocks { // by start
		if _, ok := now[key{b.StockID, b.Job}]; !ok {
			now[key{b.StockID, b.Job}] = b
		}
	}
	before := Schedule(old)
	slices.SortStableFunc(before, func(a, b prep.Block) int { return a.Start.Compare(b.Start) })
	soon := r.Workshop.SoonUntil(r.AsOf)
	var out []Change
	for _, was := range before {
		k := key{was.StockID, was.Job}
		state, isOpen := open[k]
		if !isOpen || data.DateOf(was.Start) > soon {
			continue
		}
		delete(open, k) // its first block only
		is, planned := now[k]
		why, start := whyMoved(r, was, state, planned), ""
		if why == "" {
			why = whyAtAnotherTime(is.Start.Before(was.Start), promised[k.stockID])
		}
		if planned {
			start = is.Start.Format(minuteForm)
		}
		if !planned || data.DateOf(is.Start) != data.DateOf(was.Start) {
			out = append(out, Change{k.stockID, "schedule.start:" + k.job, was.Start.Format(minuteForm), start, why})
		}
		if was.Technician != is.Technician {
			out = append(out, Change{k.stockID, "schedule.technician:" + k.job, was.Technician, is.Technician, why})
		}
	}
	return out
}

// whyMoved says what keeps a job from being done as people were told, if anything does.
func whyMoved(r *night.Result, was prep.Block, state data.JobState, planned bool) string {
	told := data.DateOf(was.Start)
	at := slices.IndexFunc(r.Workshop.Team, func(t data.Technician) bool { return t.Name == was.Technician })
	switch {
	case !planned:
		return "can't be planned"
	case state == data.JobStarted:
		return "has begun"
	case state == data.JobAwaitingParts:
		return "waits for parts"
	case at < 0:
		return was.Technician + " is no longer in the team"
	case told >= r.AsOf && r.Workshop.HoursOn(r.Workshop.Team[at], told) == 0:
		return was.Technician + " is away"
	case told < r.AsOf:
		return "was not begun on its day"
	}
	return ""
}

// whyAtAnotherTime says why a job that could be done as told is not.
func whyAtAnotherTime(sooner, promised bool) string {
	switch {
	case sooner && promised:
		return "is promised to a customer"
	case sooner:
		return "there is room for it sooner"
	}
	return "other work goes first"
}
