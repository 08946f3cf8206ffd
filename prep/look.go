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
	Worth   data.Money // pounds by which the bid is to be expected to move
}

// LookNext ranks a van's untested points by what looking at them is worth for
// each minute, the best first. Points that would move nothing are left out. cost
// is CostOf the same jobs and points; perPound is by how many pounds the bid
// falls for each pound of preparation.
//
// A bid rests on the 80th percentile of preparation. A look finds the defect with
// its chance q, and the percentile rises to that of a van which needs the job; or
// it finds none, and the percentile falls to that of a van with one point fewer.
// The pounds that either moves the bid by, each times its chance, are what the
// look is worth. A job that the van needs anyway makes a look worth nothing.
func LookNext(cost Cost, jobs []Job, untested []appraise.Untested, body data.Body, books *data.Books, policy data.Policy, perPound float64) []Look {
	rate := policy.LabourCostPerHour.InexactFloat64()
	asked := func(job string) bool { return jobOf(jobs, job).Code != "" }
	type hidden struct {
		chance, pounds float64
		without        Spread // the cost of preparation, were it sure that the job is not hidden
	}
	known := map[string]hidden{}
	for _, h := range hiddenJobs(untested, asked) {
		pounds := hiddenCost(h.code, body, books, rate)
		if pounds <= 0 {
			continue
		}
		rest, ok := cost.Spread.without(h.Chance, pounds)
		if !ok {
			others := slices.DeleteFunc(slices.Clone(untested), func(u appraise.Untested) bool { return u.Job == h.code })
			rest = CostOf(jobs, others, body, books, policy).Spread
		}
		known[h.code] = hidden{h.Chance, pounds, rest}
	}
	named := cost.P50.InexactFloat64()
	now := max(named, cost.Spread.Quantile(percentile))
	type ranked struct {
		Look
		perMinute float64
	}
	var all []ranked
	for _, u := range untested {
		h, ok := known[u.Job]
		if !ok || u.Chance <= 0 {
			continue
		}
		found := max(named, h.without.Quantile(percentile)) + h.pounds
		sound := now - max(named, h.without.with(1-(1-h.chance)/(1-u.Chance), h.pounds).Quantile(percentile))
		worth := perPound * (u.Chance*max(found-now, 0) + (1-u.Chance)*max(sound, 0))
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
