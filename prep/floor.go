package prep

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// transferJob is the labour book's code of the drive to another site, which is
// planned where a van's own site lacks the bay or the people for its work.
const transferJob = "transfer"

// floor is where work can be done: bays by site and kind, people by site and
// skill. A bay or a person without a site serves every site.
type floor struct {
	sites  []string // sorted; a single blank one where none is named
	places []places
	can    map[string][]bool // by skill: whether anybody who works at a site has it
}

// places are the bays of one kind at one site.
type places struct {
	kind, site string // a blank site: at any
	names      []string
}

func newFloor(shop Workshop) floor {
	f := floor{can: map[string][]bool{}}
	for _, b := range shop.Bays {
		f.sites = append(f.sites, b.Site)
	}
	for _, t := range shop.Team {
		f.sites = append(f.sites, t.Site)
	}
	slices.Sort(f.sites)
	f.sites = slices.Compact(f.sites)
	if len(f.sites) > 1 && f.sites[0] == "" {
		f.sites = f.sites[1:]
	}
	if len(f.sites) == 0 {
		f.sites = []string{""}
	}
	for _, skill := range data.Skills {
		f.can[skill] = make([]bool, len(f.sites))
	}
	for _, t := range shop.Team {
		if t.Hours == [7]float64{} {
			continue
		}
		for s, site := range f.sites {
			if t.Site == "" || t.Site == site {
				for _, skill := range t.Skills {
					if can := f.can[skill]; can != nil {
						can[s] = true
					}
				}
			}
		}
	}
	for _, kind := range data.BayKinds {
		for _, site := range append([]string{""}, f.sites...) {
			if f.find(kind, site) >= 0 {
				continue
			}
			// The engine needs a kind without a bay as well: nothing goes there.
			if names := shop.places(kind, site); len(names) > 0 || site == "" {
				f.places = append(f.places, places{kind, site, names})
			}
		}
	}
	return f
}

func (f floor) find(kind, site string) int {
	return slices.IndexFunc(f.places, func(p places) bool { return p.kind == kind && p.site == site })
}

// bay returns the engine's resource for a kind of bay at a site: the site's own,
// or those that serve every site; -1 where there is none.
func (f floor) bay(kind string, site int) int {
	if at := f.find(kind, f.sites[site]); at >= 0 {
		return at
	}
	return f.find(kind, "")
}

func (f floor) resources(shop Workshop) []schedule.Resource {
	var out []schedule.Resource
	for _, p := range f.places {
		name := p.kind
		if p.site != "" {
			name += " at " + p.site
		}
		out = append(out, schedule.Resource{Name: name, Capacity: len(p.names)})
	}
	return out
}

// travel is the minutes from site to site, in whole quarters of an hour; nil where
// there is nothing to travel.
func (f floor) travel(minutes int) [][]int {
	if len(f.sites) == 1 || minutes == 0 {
		return nil
	}
	way := make([][]int, len(f.sites))
	for a := range way {
		way[a] = slices.Repeat([]int{onGrid(minutes)}, len(f.sites))
		way[a][a] = 0
	}
	return way
}

// skill returns the engine's skill for work at a site.
func (f floor) skill(name string, site int) int {
	k := slices.Index(data.Skills, name)
	if k < 0 {
		return len(data.Skills) * len(f.sites) // which nobody has
	}
	return site*len(data.Skills) + k
}

// skills lists what a person can do, at each site at which they work.
func (f floor) skills(t data.Technician) []int {
	var out []int
	for s, site := range f.sites {
		if t.Site != "" && t.Site != site {
			continue
		}
		for _, name := range t.Skills {
			if slices.Contains(data.Skills, name) {
				out = append(out, f.skill(name, s))
			}
		}
	}
	return out
}

// lacks says what a site has not that a job needs; blank where it has all.
func (f floor) lacks(j *Job, site int) string {
	if at := f.bay(j.Bay, site); at >= 0 && len(f.places[at].names) == 0 {
		return "no bay of the kind " + data.Title(j.Bay)
	}
	if can := f.can[j.Skill]; can == nil || !can[site] {
		return "nobody here has the skill " + data.Title(j.Skill)
	}
	return ""
}

// home returns the site at which a van stands: its own, or the one with most
// bays where it names none that is known.
func (f floor) home(van data.Van) int {
	if s := slices.Index(f.sites, van.Site); s >= 0 {
		return s
	}
	best, most := 0, -1
	for s, site := range f.sites {
		bays := 0
		for _, p := range f.places {
			if p.site == site {
				bays += len(p.names)
			}
		}
		if bays > most {
			best, most = s, bays
		}
	}
	return best
}

// workSite returns the site at which a van's open work is done: its own, unless
// another can do more of it.
func (f floor) workSite(van VanJobs) int {
	can := func(site int) int {
		n := 0
		for i := range van.Jobs {
			if j := &van.Jobs[i]; j.Open() && j.Code != transferJob && f.lacks(j, site) == "" {
				n++
			}
		}
		return n
	}
	home := f.home(van.Van)
	best, most := home, can(home)
	for s := range f.sites {
		if n := can(s); n > most {
			best, most = s, n
		}
	}
	return best
}

// beginsAtHome reports whether a job is done before a van is driven to the site of
// its other work: it has begun there, and waits for nothing.
func (f floor) beginsAtHome(van VanJobs, j *Job) bool {
	drive := jobOf(van.Jobs, transferJob)
	if drive.Code == "" || !drive.Open() || j.State != data.JobStarted || f.lacks(j, f.home(van.Van)) != "" {
		return false
	}
	for first := range comesAfter(van.Jobs, *j) {
		if first.Open() {
			return false
		}
	}
	return true
}

// driveFirst puts the drive to another site before the work of a van that is
// done there, and after what has begun at its own.
func (f floor) driveFirst(van VanJobs) []Job {
	k := slices.IndexFunc(van.Jobs, func(j Job) bool { return j.Code == transferJob && j.Open() })
	if k < 0 {
		return van.Jobs
	}
	jobs := slices.Clone(van.Jobs)
	for i := range jobs {
		switch j := &jobs[i]; {
		case i == k:
		case f.beginsAtHome(van, j):
			jobs[k].After = append(slices.Clip(jobs[k].After), j.Code)
		case j.Open():
			j.After = append(slices.Clip(j.After), transferJob)
		}
	}
	return jobs
}

// WithTransfer returns a van's jobs with the drive to another site, where the
// van's own lacks the bay or the people for some of its open work, another can do
// more of it and the labour book has the job.
func (w Workshop) WithTransfer(van data.Van, jobs []Job, books *data.Books, policy data.Policy, learnt Calibration) []Job {
	book, ok := books.Job(transferJob)
	f := newFloor(w)
	home, site := f.home(van), f.workSite(VanJobs{Van: van, Jobs: jobs})
	if !ok || site == home || jobOf(jobs, transferJob).Code != "" {
		return jobs
	}
	drive := jobDraft{book: book, because: []string{cmp.Or(f.sites[home], "its site") + " lacks a bay or the people for its work; " + f.sites[site] + " has them"}}
	drive.reach("", 1)
	jobs = append(jobs, drive.job(van, books, policy, learnt))
	slices.SortFunc(jobs, func(a, b Job) int { return cmp.Compare(a.Code, b.Code) })
	return jobs
}
