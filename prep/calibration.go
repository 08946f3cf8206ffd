package prep

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// How finished jobs teach the hours of those to come. Common practice, no
// source: the book counts as much as ten jobs; below five jobs nothing is
// learnt; and a job that took more than double, or less than half, counts as
// double or half, because such a figure is more often a slip than a lesson.
//
// One job among n therefore moves a skill's factor by no more than
// 4^(1/(n+10)), which is 10 % at five jobs and less the more there are.
//
// What is common to all jobs is learnt where so many skills have a record of their
// own; the book counts for more against it, as the same jobs are counted again below.
const (
	bookCounts   = 10
	commonCounts = 30
	fewestSkills = 2
	fewestJobs   = 5
	mostFactor   = 2
	leastFactor  = 1.0 / mostFactor
)

// Factor is what the hours of open work are multiplied by, and what it rests
// on.
type Factor struct {
	Skill  string  // blank: all skills
	Job    string  // blank: all jobs of the skill
	Jobs   int     // finished, with known hours
	Factor float64 // in force; 1 where nothing was learnt
	Spread float64 // two jobs in three lie within Factor ÷ Spread and × Spread; 0 below two jobs
}

// Calibration holds the factors of a workshop. The zero value changes nothing.
type Calibration struct {
	factors []Factor // by skill, then job; what is common to all stands first, then a skill's own before its jobs
}

// Factors lists what was learnt, by skill and job.
func (c Calibration) Factors() []Factor { return c.factors }

// Calibrate learns factors common to all, by skill and by job from finished jobs, in
// whatever order they come.
//
// The common factor is the mean log ratio of hours spent to the book's, with
// commonCounts jobs added that took the book's hours; that of a skill starts from the
// common one instead of the book, that of a job from its skill's. What a skill's or a
// job's own record says counts from fewestJobs on.
func Calibrate(finished []Finished) Calibration {
	type kind struct{ skill, job string }
	ratios := map[kind][]float64{}
	for _, f := range finished {
		k := kind{f.Skill, f.Job}
		ratios[k] = append(ratios[k], f.ratio())
	}
	kinds := slices.SortedFunc(maps.Keys(ratios), func(a, b kind) int {
		return cmp.Or(cmp.Compare(a.skill, b.skill), cmp.Compare(a.job, b.job))
	})
	var c Calibration
	if len(kinds) == 0 {
		return c
	}
	var every []float64
	jobs := map[string]int{} // by skill
	for _, k := range kinds {
		slices.Sort(ratios[k]) // a sum would show the order in which the jobs came
		every = append(every, ratios[k]...)
		jobs[k.skill] += len(ratios[k])
	}
	skills := 0
	for _, n := range jobs {
		if n >= fewestJobs {
			skills++
		}
	}
	common := Factor{Factor: 1}
	if skills >= fewestSkills {
		common = factorOf("", "", every, 0, commonCounts)
		c.factors = append(c.factors, common)
	}
	for len(kinds) > 0 {
		skill := kinds[0].skill
		n := 0
		var all []float64
		for ; n < len(kinds) && kinds[n].skill == skill; n++ {
			all = append(all, ratios[kinds[n]]...)
		}
		ofSkill := factorOf(skill, "", all, math.Log(common.Factor), bookCounts)
		c.factors = append(c.factors, ofSkill)
		for _, k := range kinds[:n] {
			c.factors = append(c.factors, factorOf(skill, k.job, ratios[k], math.Log(ofSkill.Factor), bookCounts))
		}
		kinds = kinds[n:]
	}
	return c
}

// factorOf shrinks the mean of some jobs' log ratios toward a prior that counts as some
// jobs.
func factorOf(skill, job string, ratios []float64, prior, counts float64) Factor {
	f := Factor{Skill: skill, Job: job, Jobs: len(ratios)}
	sum, squares := 0.0, 0.0
	for _, r := range ratios {
		sum += r
		squares += r * r
	}
	n := float64(len(ratios))
	if len(ratios) >= 2 {
		f.Spread = math.Exp(math.Sqrt(max(squares-sum*sum/n, 0) / (n - 1)))
	}
	if len(ratios) >= fewestJobs {
		prior = (counts*prior + sum) / (counts + n)
	}
	f.Factor = math.Exp(prior)
	return f
}

// ratio is the log of the hours spent to the book's, within the bounds.
func (f Finished) ratio() float64 {
	return math.Log(min(max(f.Spent/f.Book, leastFactor), mostFactor))
}

// factor returns what the hours of a job are multiplied by.
func (c Calibration) factor(job, skill string) float64 {
	factor := 1.0
	for _, f := range c.factors {
		if (f.Skill == "" || f.Skill == skill) && (f.Job == "" || f.Job == job) {
			factor = f.Factor // the job's own comes after its skill's, and that after the common one
		}
	}
	return factor
}
