package prep

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// How the yard's own record corrects the book's chances of hidden defects.
// Common practice, no source: the book counts as much as so many defects that
// it expected, over all systems and again within each; and no record makes it
// more than four times as many, or fewer than a quarter.
const (
	bookDefects       = 5.0
	bookSystemDefects = 10.0
	mostOften         = 4.0
	likeliestDefect   = 0.95 // no untested point is certain to hide one
)

// RecordVans is how many of the vans sold last teach how often hidden defects come,
// beside those in hand.
const RecordVans = 300

// HiddenJob is a job that the points untested on a van when it was bought might
// have needed, and whether it came.
type HiddenJob struct {
	code   string
	System string  // of the first of its points
	Chance float64 // the book's, that any of its points hides a defect
	Came   bool
}

// HiddenJobs looks back on a van whose preparation is over: which jobs its
// untested points might have hidden on the day it was bought, and which were
// done or found by a later reading. A van of which the workshop recorded nothing
// tells nothing.
func HiddenJobs(v data.Van, readings []data.Reading, docs []data.Document, progress []data.Progress, books *data.Books, policy data.Policy) []HiddenJob {
	over := v.Status == data.Sold || v.Status == data.Ready
	if !over || v.Acquired.IsZero() || len(progress) == 0 {
		return nil
	}
	before, after := make([]data.Reading, 0, len(readings)), make([]data.Reading, 0, len(readings))
	first := map[string]data.Date{} // of a checkpoint's readings since
	for _, r := range readings {
		if r.TakenOn <= v.Acquired {
			before = append(before, r)
		} else if on, seen := first[r.Checkpoint]; !seen || r.TakenOn < on {
			first[r.Checkpoint] = r.TakenOn
		}
	}
	for _, r := range readings {
		if first[r.Checkpoint] == r.TakenOn {
			after = append(after, r)
		}
	}
	v.Status = data.Owned
	bought := appraise.Assess(v, before, docs, nil, books, policy, v.Acquired)
	asked, came := map[string]bool{}, map[string]bool{}
	for _, r := range bought.Requests {
		asked[r.Job] = true
	}
	for _, p := range progress {
		came[p.Job] = p.State != data.JobDropped
	}
	faulty := appraise.Faulty(v, after, books, policy, v.Acquired)
	out := hiddenJobs(bought.Untested, func(job string) bool { return asked[job] })
	for i := range out {
		out[i].Came = came[out[i].code]
	}
	for _, u := range bought.Untested {
		for i := range out {
			out[i].Came = out[i].Came || out[i].code == u.Job && faulty[u.Checkpoint]
		}
	}
	return out
}

// hiddenJobs gathers the jobs that untested points may hide, by code, each with
// the chance that any of its points does; those that are asked for are left out.
func hiddenJobs(untested []appraise.Untested, asked func(job string) bool) []HiddenJob {
	likely := len(untested) / 2 // about as many jobs as that
	place := make(map[string]int, likely)
	jobs := make([]HiddenJob, 0, likely)
	for _, u := range untested {
		if u.Job == "" || u.Chance <= 0 || asked(u.Job) {
			continue
		}
		at, seen := place[u.Job]
		if !seen {
			at = len(jobs)
			place[u.Job] = at
			jobs = append(jobs, HiddenJob{code: u.Job, System: u.System})
		}
		jobs[at].Chance = 1 - (1-jobs[at].Chance)*(1-u.Chance)
	}
	slices.SortFunc(jobs, func(a, b HiddenJob) int { return cmp.Compare(a.code, b.code) })
	return jobs
}

// DefectRate is how often hidden defects of one system came, against the book.
type DefectRate struct {
	System         string  // blank: all systems
	Expected, Came float64 // defects by the book, and those that came
	Factor         float64 // in force: the book's chances are multiplied by it
	Low, High      float64 // nine times in ten it lies between the two
}

// DefectRates are the rates of a yard. The zero value changes nothing.
type DefectRates struct{ rates []DefectRate } // all systems first, then by system

// Rates lists what was learnt, all systems first.
func (d DefectRates) Rates() []DefectRate { return d.rates }

// LearnDefects learns how often hidden defects come. A system's factor starts
// from that of all systems; both are the mean of a gamma law whose prior is the
// book.
func LearnDefects(hidden []HiddenJob) DefectRates {
	sums := map[string]*DefectRate{}
	all := &DefectRate{}
	for _, h := range hidden {
		s := sums[h.System]
		if s == nil {
			s = &DefectRate{System: h.System}
			sums[h.System] = s
		}
		for _, r := range []*DefectRate{all, s} {
			r.Expected += h.Chance
			if h.Came {
				r.Came++
			}
		}
	}
	if all.Expected == 0 {
		return DefectRates{}
	}
	all.learn(1, bookDefects)
	d := DefectRates{[]DefectRate{*all}}
	for _, s := range sums { // sorted below
		s.learn(all.Factor, bookSystemDefects)
		d.rates = append(d.rates, *s)
	}
	slices.SortFunc(d.rates, func(a, b DefectRate) int { return cmp.Compare(a.System, b.System) })
	return d
}

// learn sets the factor from a prior that weighs as so many expected defects.
func (r *DefectRate) learn(prior, weight float64) {
	g := distuv.Gamma{Alpha: prior*weight + r.Came, Beta: weight + r.Expected}
	within := func(f float64) float64 { return max(1/mostOften, min(mostOften, f)) }
	r.Factor, r.Low, r.High = within(g.Mean()), within(g.Quantile(0.05)), within(g.Quantile(0.95))
}

// Adjust returns untested points with the chances that the record teaches.
func (d DefectRates) Adjust(untested []appraise.Untested) []appraise.Untested {
	if len(d.rates) == 0 {
		return untested
	}
	out := slices.Clone(untested)
	for i := range out {
		factor := d.rates[0].Factor
		for _, r := range d.rates[1:] {
			if r.System == out[i].System {
				factor = r.Factor
			}
		}
		out[i].Chance = min(out[i].Chance*factor, max(out[i].Chance, likeliestDefect))
	}
	return out
}
