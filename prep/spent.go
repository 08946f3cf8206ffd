package prep

import (
	"github.com/vanwright/vanwright/data"
)

// Spent is what was paid for the parts of a finished job, or of all finished jobs of a
// van, beside what the parts book says.
type Spent struct {
	Part string // where it was one part; blank for several
	Book float64
	Paid float64
}

// PartsSpent lists what was paid for parts: by job where its progress says so, else by
// van where its costs do. Jobs that are done once a van count; what a job per place took
// is not known. A van some of whose parts came by orders of its own is left to those.
func PartsSpent(yard *data.Yard) []Spent {
	ordered := map[string]bool{}
	for _, o := range yard.Orders {
		ordered[o.StockID] = true
	}
	var out []Spent
	for i := range yard.Vans {
		id := yard.Vans[i].StockID
		all, byJob, whole := 0.0, false, true
		for k := range yard.Progress[id] {
			p := &yard.Progress[id][k]
			if p.State == data.JobDropped {
				continue
			}
			part, book, ok := partsOf(p, yard.Books)
			whole = whole && ok && p.State == data.JobDone
			all += book
			if p.State == data.JobDone && p.PartsSpent.Known {
				byJob = true
				if paid := p.PartsSpent.Value.InexactFloat64(); ok && book > 0 && paid > 0 {
					out = append(out, Spent{part, book, paid})
				}
			}
		}
		paid := 0.0
		for _, c := range yard.Costs[id] {
			if c.Kind == data.PartsCost {
				paid += c.Amount.InexactFloat64()
			}
		}
		if !byJob && whole && !ordered[id] && paid > 0 && all > 0 {
			out = append(out, Spent{"", all, paid})
		}
	}
	return out
}

// partsOf is what the book says that a job's parts cost, and the part where it is only
// one; false where that hangs on how many places the job was done at.
func partsOf(p *data.Progress, books *data.Books) (part string, book float64, ok bool) {
	job, found := books.Job(p.Job)
	if !found || job.Per != "" && job.Per != "van" {
		return "", 0, false
	}
	for _, use := range job.Parts {
		if b, known := books.Part(use.Part); known {
			book += b.UnitCost.InexactFloat64() * float64(use.Qty)
		}
	}
	if len(job.Parts) == 1 {
		part = job.Parts[0].Part
	}
	return part, book, true
}
