package prep

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// Jobs that follow from other work rather than from a finding. A labour book
// without them simply has no such job. Common practice, no source.
const (
	valetJob       = "valet"
	photographsJob = "photographs"
)

// jobDraft is one job being put together from everything that asks for it.
type jobDraft struct {
	book     *data.LabourJob
	units    []share // sorted by place
	because  []string
	askedOn  data.Date // newest reading or paper that asks
	guessed  bool      // of unknown extent: only a progress row names it
	progress *data.Progress
}

// share is the units of a job at one place; a blank place is the whole van.
type share struct {
	place string
	units float64
}

// Jobs turns what an assessment asks for, and what progress says has been
// done, into the van's jobs, sorted by code.
//
// Doubles are joined: the same job at the same place is one unit however many
// readings ask for it, and a job that the book says absorbs another takes its
// reasons over. Work with gas or on the 230 V side brings its test, again where
// the last is older than the work; a van that
// is to be shown brings a valet and photographs. A sold van has only the jobs
// of its progress rows. The hours of open jobs are the book's times what
// finished jobs have taught.
func Jobs(a appraise.Assessment, progress []data.Progress, books *data.Books, policy data.Policy, learnt Calibration) []Job {
	drafts := gather(a, progress, books)
	jobs := make([]Job, 0, len(drafts))
	for _, d := range drafts {
		jobs = append(jobs, d.job(a.Van, books, policy, learnt))
	}
	slices.SortFunc(jobs, func(x, y Job) int { return cmp.Compare(x.Code, y.Code) })
	if a.Van.Status != data.Sold { // of which nothing is left to plan
		linkOrder(jobs, books)
	}
	return jobs
}

// gather joins everything that asks for work on one van, by code of the job.
func gather(a appraise.Assessment, progress []data.Progress, books *data.Books) map[string]*jobDraft {
	drafts := map[string]*jobDraft{}
	ask := func(code, place string, units float64, because string, on data.Date) {
		book, ok := books.Job(code)
		if !ok {
			return
		}
		d := drafts[code]
		if d == nil {
			d = &jobDraft{book: book}
			drafts[code] = d
		}
		if book.Per == "van" || book.Per == "" {
			place, units = "", 1
		}
		d.reach(place, units)
		if because != "" && !slices.Contains(d.because, because) {
			d.because = append(d.because, because)
		}
		d.askedOn = max(d.askedOn, on)
	}
	if a.Van.Status != data.Sold {
		for _, w := range a.Requests {
			ask(w.Job, w.Place, w.Units, w.Because, w.AskedOn)
		}
	}
	for _, p := range progress {
		if drafts[p.Job] == nil {
			ask(p.Job, "", 1, "entered by the workshop", 0)
			if d := drafts[p.Job]; d != nil {
				d.guessed = d.book.Per != "van" && d.book.Per != ""
			}
		}
	}
	attach(drafts, progress)
	if a.Van.Status != data.Sold {
		absorb(drafts)
		followOn(drafts, a, books, ask)
		attach(drafts, progress)
		absorb(drafts)
	}
	return drafts
}

// reach makes the work at a place at least so many units.
func (d *jobDraft) reach(place string, units float64) {
	at, found := slices.BinarySearchFunc(d.units, place, func(s share, place string) int { return cmp.Compare(s.place, place) })
	if !found {
		d.units = slices.Insert(d.units, at, share{place: place})
	}
	d.units[at].units = max(d.units[at].units, units)
}

// whole reports whether the work is on the whole van.
func (d *jobDraft) whole() bool { return len(d.units) > 0 && d.units[0].place == "" }

// attach gives each job its row of progress.
func attach(drafts map[string]*jobDraft, progress []data.Progress) {
	for i := range progress {
		if d := drafts[progress[i].Job]; d != nil {
			d.progress = &progress[i]
		}
	}
}

// closed reports whether the work is behind us, and what it cost with it.
func (d *jobDraft) closed() bool {
	return d.progress != nil && (d.progress.State == data.JobDropped || d.progress.State == data.JobDone && !d.again())
}

// misses reports whether the larger job is behind us without the smaller: it was
// dropped, or done before the smaller was asked for.
func (d *jobDraft) misses(smaller *jobDraft) bool {
	p := d.progress
	return d.closed() && (p.State == data.JobDropped || !p.DoneOn.IsZero() && smaller.askedOn > p.DoneOn)
}

// again reports whether a newer reading asks for a job that was reported done.
func (d *jobDraft) again() bool {
	p := d.progress
	return p != nil && p.State == data.JobDone && !p.DoneOn.IsZero() && d.askedOn > p.DoneOn
}

// absorb removes jobs that a larger job on the same van covers, and hands
// their reasons to it. A smaller job that is done or dropped keeps its cost, and
// one that was dropped takes nothing over; one that is done takes over what was
// asked for before. Larger jobs are tried in the order of their codes, so
// that the outcome does not hang on the order of the readings.
func absorb(drafts map[string]*jobDraft) {
	codes := sortedCodes(drafts)
	for _, code := range codes {
		larger := drafts[code]
		if larger == nil {
			continue
		}
		for _, smaller := range larger.book.Absorbs {
			s := drafts[smaller]
			if s == nil || smaller == code || s.closed() || larger.misses(s) || !covers(larger, s) {
				continue
			}
			for _, b := range s.because {
				if !slices.Contains(larger.because, b) {
					larger.because = append(larger.because, b)
				}
			}
			larger.askedOn = max(larger.askedOn, s.askedOn)
			delete(drafts, smaller)
		}
	}
}

// covers reports whether the larger job reaches every place of the smaller.
// A job for the whole van reaches everywhere; otherwise each place of the
// smaller must be one of the larger's, or lie inside one (an axle and its
// wheels, a side and its points).
func covers(larger, smaller *jobDraft) bool {
	if larger.whole() {
		return true
	}
	if smaller.whole() {
		return false
	}
	for _, s := range smaller.units {
		holds := func(big share) bool { return s.place == big.place || placeWithin(s.place, big.place) }
		if !slices.ContainsFunc(larger.units, holds) {
			return false
		}
	}
	return true
}

// placeWithin reports whether every word of big stands in place: the wheel
// nearside-front is within front, the point offside-rear-low within
// offside-rear.
func placeWithin(place, big string) bool {
	words := strings.Split(place, "-")
	for w := range strings.SplitSeq(big, "-") {
		if !slices.Contains(words, w) {
			return false
		}
	}
	return true
}

// followOn adds the jobs that other jobs bring with them.
func followOn(drafts map[string]*jobDraft, a appraise.Assessment, books *data.Books, ask func(code, place string, units float64, because string, on data.Date)) {
	for _, t := range testsAfterWork {
		if work, on := worked(drafts, t.system, a.AsOf); work {
			ask(testOf(t.system, books), "", 1, t.because, on)
		}
	}
	if a.Van.Status != data.Ready || len(drafts) > 0 && dirty(drafts) {
		ask(valetJob, "", 1, "every van is valeted before it is shown", 0)
	}
	if a.Van.Status != data.Ready {
		ask(photographsJob, "", 1, "every van is photographed before it is advertised", 0)
	}
}

// testsAfterWork are the systems that are tested after any work on them.
var testsAfterWork = []struct{ system, because string }{
	{"gas", "gas work is followed by a tightness test"},
	{"electrics-230v", "230 V work is followed by an inspection and test"},
}

// worked reports whether any work on a system is to do or was done, and the day
// that a test must not be older than: that of the last work, or today where some
// is still to come.
func worked(drafts map[string]*jobDraft, system string, asOf data.Date) (work bool, on data.Date) {
	for _, d := range drafts {
		if !appraise.Touches(d.book, system) || d.progress != nil && d.progress.State == data.JobDropped {
			continue
		}
		work = true
		if d.closed() {
			on = max(on, d.progress.DoneOn)
		} else {
			on = asOf
		}
	}
	return work, on
}

// testOf returns the job of the book that proves a system and nothing else, the
// dearest in hours where there are several: a repeated test absorbs no doubt.
func testOf(system string, books *data.Books) string {
	code, hours := "", -1.0
	for i := range books.Labour {
		if j := &books.Labour[i]; len(j.Proves) == 1 && j.Proves[0] == system && j.HoursLikely > hours {
			code, hours = j.Code, j.HoursLikely
		}
	}
	return code
}

// dirty reports whether any of the work would undo a valet.
func dirty(drafts map[string]*jobDraft) bool {
	for _, d := range drafts {
		switch d.book.Skill {
		case "bodywork", "damp":
			return true
		}
	}
	return false
}

func sortedCodes(drafts map[string]*jobDraft) []string { return slices.Sorted(maps.Keys(drafts)) }

// extent lists the places of the work, sorted, and adds up its units.
func (d *jobDraft) extent() (places []string, units float64) {
	for _, s := range d.units {
		units += s.units
		if s.place != "" {
			places = append(places, s.place)
		}
	}
	return places, units
}

// estimate is the book's hours for this extent of the job on a body.
func (d *jobDraft) estimate(body data.Body) Estimate {
	_, units := d.extent()
	return bookHours(d.book, body, units)
}

// bookHours is the book's estimate of some units of a job on a body.
func bookHours(book *data.LabourJob, body data.Body, units float64) Estimate {
	return Estimate{book.HoursLow, book.HoursLikely, book.HoursHigh}.Scale(units * book.Factor(body))
}

// job fixes hours, state and cost.
func (d *jobDraft) job(van data.Van, books *data.Books, policy data.Policy, learnt Calibration) Job {
	j := Job{
		StockID: van.StockID,
		Code:    d.book.Code, Title: d.book.Title, Skill: d.book.Skill, Bay: d.book.Bay,
		Gate: d.book.Gate, Caution: d.book.Caution,
		Because:     d.because,
		State:       data.JobOpen,
		Factor:      1,
		DryingHours: d.book.DryingHours,
		Absorbs:     d.book.Absorbs,
	}
	j.Places, j.Units = d.extent()
	j.Book = d.estimate(van.Body)
	j.Parts = slices.Grow(j.Parts, len(d.book.Parts))
	for _, use := range d.book.Parts {
		j.Parts = append(j.Parts, data.PartUse{Part: use.Part, Qty: int(math.Ceil(float64(use.Qty)*j.Units - 1e-9))})
	}
	d.applyProgress(&j, learnt)

	j.LabourCost = data.Times(j.HoursP50, policy.LabourCostPerHour)
	var parts data.Sum
	if j.State != data.JobDropped {
		for _, use := range j.Parts {
			if p, ok := books.Part(use.Part); ok {
				parts.AddTimes(p.UnitCost, use.Qty)
			}
		}
	}
	j.PartsCost = data.Pence(parts.Money())
	return j
}

// applyProgress sets state and hours. A job reported done before a newer
// reading asked for it again is open once more, with the hours spent kept.
func (d *jobDraft) applyProgress(j *Job, learnt Calibration) {
	p := d.progress
	if p == nil {
		p = &data.Progress{State: data.JobOpen}
	}
	j.State, j.Technician, j.DoneOn, j.Since = p.State, p.Technician, p.DoneOn, p.On
	if p.HoursSpent.Known {
		j.HoursSpent = data.Hours(p.HoursSpent.Value)
	}
	again := d.again()
	if again {
		j.State = data.JobOpen
		j.Because = append(j.Because, fmt.Sprintf("done on %s, but needed again since %s", p.DoneOn.Words(), d.askedOn.Words()))
	}
	if j.Open() {
		j.Factor = learnt.factor(j.Code, j.Skill)
		j.Book = j.Book.Scale(j.Factor)
	}
	switch {
	case j.State == data.JobDone && !p.HoursSpent.Known:
		// Done without a time sheet: the book's p50 stands in for it.
		j.HoursSpent = data.Hours(j.Book.Quantile(0.5))
		j.HoursP50, j.HoursP80 = j.HoursSpent, j.HoursSpent
	case !j.Open():
		j.HoursP50, j.HoursP80 = j.HoursSpent, j.HoursSpent
	case again:
		j.Again = true
		j.HoursLeft = data.Hours(j.Book.Quantile(0.5))
		j.HoursP50 = j.HoursSpent.Add(j.HoursLeft)
		j.HoursP80 = j.HoursSpent.Add(data.Hours(j.Book.Quantile(0.8)))
	default:
		spent := j.HoursSpent.InexactFloat64()
		j.HoursLeft = data.Hours(j.Book.Left(spent, 0.5))
		j.HoursP50 = j.HoursSpent.Add(j.HoursLeft)
		j.HoursP80 = j.HoursSpent.Add(data.Hours(j.Book.Left(spent, 0.8)))
	}
}
