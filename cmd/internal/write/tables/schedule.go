package tables

import (
	"io/fs"
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

// moved are the changes of jobs that people were told of and that move to another day
// or person; one that is no longer planned has a blank after.
func moved(r *night.Result) []Change {
	var out []Change
	for _, m := range r.Plan.Moved {
		start := ""
		if !m.Is.Start.IsZero() {
			start = m.Is.Start.Format(minuteForm)
		}
		if start == "" || data.DateOf(m.Is.Start) != data.DateOf(m.Was.Start) {
			out = append(out, Change{m.StockID, "schedule.start:" + m.Job, m.Was.Start.Format(minuteForm), start, m.Why, m.Cause})
		}
		if m.Was.Technician != m.Is.Technician {
			out = append(out, Change{m.StockID, "schedule.technician:" + m.Job, m.Was.Technician, m.Is.Technician, m.Why, m.Cause})
		}
	}
	return out
}
