package tables

import (
	"io/fs"
	"slices"
	"time"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
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

// moved lists the jobs that start at another time, or with another person, than
// the last schedule told; one that is still open and no longer planned has a
// blank after. What is new or done has not moved.
func moved(r *night.Result, old fs.FS) []Change {
	type key struct{ stockID, job string }
	open := map[key]bool{}
	for i := range r.Vans {
		v := &r.Vans[i]
		for _, j := range v.Jobs {
			if j.Open() {
				open[key{j.StockID, j.Code}] = true
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
	var out []Change
	for _, was := range before {
		k := key{was.StockID, was.Job}
		if !open[k] {
			continue
		}
		delete(open, k) // its first block only
		is, planned := now[k]
		start := ""
		if planned {
			start = is.Start.Format(minuteForm)
		}
		if told := was.Start.Format(minuteForm); told != start {
			out = append(out, Change{k.stockID, "schedule.start:" + k.job, told, start})
		}
		if was.Technician != is.Technician {
			out = append(out, Change{k.stockID, "schedule.technician:" + k.job, was.Technician, is.Technician})
		}
	}
	return out
}
