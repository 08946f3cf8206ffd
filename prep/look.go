package prep

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// Look is an untested point and what looking at it is worth.
type Look struct {
	appraise.Untested
	Minutes float64    // that looking takes
	Worth   data.Money // pounds by which preparation, and the bid with it, is to be expected to move
}

// LookNext ranks a van's untested points by what looking at them is worth for
// each minute, the best first. Points that would move nothing are left out.
//
// A look finds the defect with its chance q, and preparation rises by its job's
// cost less what was allowed for it; or it finds none, and what was allowed falls
// away. The pounds that either is to be expected to move it by come to 2 q c Π,
// where c is the cost of the job and Π the chance that no untested point needs
// it: several points may, and it is done once. A job that the van needs anyway
// makes a look worth nothing.
func LookNext(jobs []Job, untested []appraise.Untested, body data.Body, books *data.Books, policy data.Policy) []Look {
	rate := policy.LabourCostPerHour.InexactFloat64()
	asked := func(job string) bool { return jobOf(jobs, job).Code != "" }
	none := map[string]float64{} // by job: the chance that no point needs it
	for _, h := range hiddenJobs(untested, asked) {
		none[h.code] = 1 - h.Chance
	}
	type ranked struct {
		Look
		perMinute float64
	}
	var all []ranked
	for _, u := range untested {
		worth := 2 * u.Chance * hiddenCost(u.Job, body, books, rate) * none[u.Job]
		if worth <= 0 {
			continue
		}
		c, _ := books.Checkpoint(u.Checkpoint)
		minutes := max(c.Minutes.Or(appraise.UsualMinutes), 0.1)
		all = append(all, ranked{Look{u, minutes, data.Pounds(worth)}, worth / minutes})
	}
	slices.SortStableFunc(all, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(b.perMinute, a.perMinute), cmp.Compare(a.Checkpoint, b.Checkpoint))
	})
	out := make([]Look, len(all))
	for i := range all {
		out[i] = all[i].Look
	}
	return out
}
