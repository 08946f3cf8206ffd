package prep

import (
	"cmp"
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
const (
	bookCounts  = 10
	fewestJobs  = 5
	mostFactor  = 2
	leastFactor = 1.0 / mostFactor
)

// Factor is what the hours of open work are multiplied by, and what it rests
// on.
type Factor struct {
	Skill  string
	Job    string  // blank: all jobs of the skill
	Jobs   int     // finished, with known hours
	Factor float64 // in force; 1 where nothing was learnt
	Spread float64 // two jobs in three lie within Factor ÷ Spread and × Spread; 0 below two jobs
}

// Calibration holds the factors of a workshop. The zero value changes nothing.
type Calibration struct {
	factors []Factor // by skill, then job; a skill's own stands first
}

// Factors lists what was learnt, by skill and job.
func (c Calibration) Factors() []Factor { return c.factors }

// Calibrate learns factors by skill and by job from finished jobs, in whatever
// order they come.
//
// The factor of a skill is the mean log ratio of hours spent to the book's,
// with bookCounts jobs added that took the book's hours; that of a job starts
// from its skill's instead of the book. What a job's own record says counts
// from fewestJobs on; before, its skill's factor holds.
func Calibrate(finished []Finished) Calibration {
	finished = slices.Clone(finished)
	slices.SortFunc(finished, func(a, b Finished) int {
		if c := cmp.Or(cmp.Compare(a.Skill, b.Skill), cmp.Compare(a.Job, b.Job)); c != 0 {
			return c
		}
		return cmp.Compare(a.ratio(), b.ratio())
	})
	var c Calibration
	for len(finished) > 0 {
		n := 1
		for n < len(finished) && finished[n].Skill == finished[0].Skill {
			n++
		}
		c.learn(finished[:n])
		finished = finished[n:]
	}
	return c
}

// learn adds the factors of one skill. Sorting by job has put the jobs of one
// kind together.
func (c *Calibration) learn(skill []Finished) {
	ofSkill := factorOf(skill, 0)
	ofSkill.Job = ""
	c.factors = append(c.factors, ofSkill)
	for len(skill) > 0 {
		n := 1
		for n < len(skill) && skill[n].Job == skill[0].Job {
			n++
		}
		c.factors = append(c.factors, factorOf(skill[:n], math.Log(ofSkill.Factor)))
		skill = skill[n:]
	}
}

// factorOf shrinks the mean log ratio of some jobs toward a prior.
func factorOf(jobs []Finished, prior float64) Factor {
	f := Factor{Skill: jobs[0].Skill, Job: jobs[0].Job, Jobs: len(jobs)}
	sum, squares := 0.0, 0.0
	for _, j := range jobs {
		r := j.ratio()
		sum += r
		squares += r * r
	}
	n := float64(len(jobs))
	if len(jobs) >= 2 {
		f.Spread = math.Exp(math.Sqrt(max(squares-sum*sum/n, 0) / (n - 1)))
	}
	if len(jobs) >= fewestJobs {
		prior = (bookCounts*prior + sum) / (bookCounts + n)
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
		if f.Skill == skill && (f.Job == "" || f.Job == job) {
			factor = f.Factor // the job's own comes after its skill's
		}
	}
	return factor
}
