package prep

import (
	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// StandingFaults returns the findings worse than sound that no finished job has
// answered: those that a new owner reads of. A job answers a finding if it asked
// for it and was done on the day of the reading or later. They keep their order.
func StandingFaults(findings []appraise.Finding, jobs []Job) []appraise.Finding {
	done := map[string]data.Date{}
	for _, j := range jobs {
		if j.State == data.JobDone {
			done[j.Code] = max(done[j.Code], j.DoneOn)
		}
	}
	var out []appraise.Finding
	for _, f := range findings {
		on, finished := done[f.Job]
		if f.Verdict > data.Sound && !(finished && on >= f.TakenOn) {
			out = append(out, f)
		}
	}
	return out
}
