package appraise

import (
	"slices"
	"sort"
	"sync"

	"github.com/vanwright/vanwright/data"
)

// Assess weighs one van's readings and papers on a day.
//
// The latest reading of each point counts; older ones serve for comparison.
// progress holds one row for each job, the last that was said of it; what was
// done is evidence of its kind, and ends that of papers before it.
// readings are in the order of a Yard, data.CompareReadings; that of docs does not
// matter. Nothing that it is given is changed. A sold van has findings and papers only: there is no owner to ask, and
// neither tests nor work are to come.
func Assess(van data.Van, readings []data.Reading, docs []data.Document, progress []data.Progress, books *data.Books, policy data.Policy, asOf data.Date) Assessment {
	work := scratches.Get().(*scratch)
	defer work.giveBack()
	in := inspect(van, readings, books, policy, asOf, work)
	in.proofs = make([]proof, 0, len(duties))
	docs = work.sorted(docs)
	in.done = in.doneJobs(progress)

	a := Assessment{Van: van, AsOf: asOf}
	a.Findings = in.findings()
	in.faults = faults(a.Findings)
	a.Damp = in.dampAreas()
	a.DampRead, a.DampPoints = in.dampRead()
	a.setDampJobs()
	in.followUp(a.Findings, docs)
	a.Weights = in.weigh()
	a.Identity = identity(van, docs, asOf)
	a.Papers = in.papers(docs, a.Identity)
	a.Notes = in.notes(a.Damp)
	if van.Status == data.Sold {
		return a
	}
	a.Requests = in.requests(a.Findings, a.Damp)
	a.Requests = sortUnique(append(a.Requests, in.requestsOfPapers(docs, a.Papers)...))
	a.Untested = append(in.untested(a.Findings), in.askedFor(docs, a.Papers)...)
	a.Papers.Told = in.told(docs, a.Papers)
	a.Ask = in.ask(a)
	return a
}

// Faulty lists the checkpoints at which readings alone, without papers or work
// that was done, find a defect or worse.
func Faulty(van data.Van, readings []data.Reading, books *data.Books, policy data.Policy, asOf data.Date) map[string]bool {
	work := scratches.Get().(*scratch)
	defer work.giveBack()
	in := inspect(van, readings, books, policy, asOf, work)
	faulty := map[string]bool{}
	for i := range in.points {
		if f := in.finding(&in.points[i]); f.Verdict >= data.Defect {
			faulty[f.Code] = true
		}
	}
	return faulty
}

// inspect lays out a van's points.
func inspect(van data.Van, readings []data.Reading, books *data.Books, policy data.Policy, asOf data.Date, work *scratch) inspection {
	if books == nil {
		books = &data.Books{}
	}
	in := inspection{van: van, books: books, policy: policy, asOf: asOf, bands: DampBandsOf(books, &policy)}
	work.points = latest(readings, books, work.points)
	in.points = work.points
	work.damp = in.dampPoints(work.damp)
	in.damp = work.damp
	in.twinFront, in.twinRear = twins(in.points)
	return in
}

// inspection is what the parts of an appraisal share.
type inspection struct {
	van    data.Van
	books  *data.Books
	policy data.Policy
	asOf   data.Date
	bands  DampBands
	points []point
	damp   []dampPoint
	done   []doneJob  // work that was done
	faults []*Finding // of the systems whose papers they make history
	proofs []proof    // by duty; see evidence

	twinFront, twinRear bool // which axles have twin wheels
}

// scratch is what a van's points and papers are laid out in, which a large yard
// needs twenty thousand times. Nothing of it is left in an Assessment.
type scratch struct {
	points []point
	damp   []dampPoint
	docs   []data.Document
}

var scratches = sync.Pool{New: func() any { return new(scratch) }}

// giveBack empties it for the next van.
func (r *scratch) giveBack() {
	clear(r.points)
	clear(r.damp)
	clear(r.docs)
	r.points, r.damp, r.docs = r.points[:0], r.damp[:0], r.docs[:0]
	scratches.Put(r)
}

// point is one (checkpoint, position) with its latest reading.
type point struct {
	*data.Reading
	book  *data.Checkpoint
	older []data.Reading // earlier readings of the same point, oldest first
}

// latest groups readings into points, in their order, in an empty slice.
func latest(readings []data.Reading, books *data.Books, points []point) []point {
	points = slices.Grow(points, len(readings))
	first := 0
	for i := range readings {
		r := &readings[i]
		if n := len(points); n > 0 && points[n-1].Checkpoint == r.Checkpoint && points[n-1].Position == r.Position {
			points[n-1].Reading, points[n-1].older = r, readings[first:i]
			continue
		}
		first = i
		book, ok := books.Checkpoint(r.Checkpoint)
		if !ok {
			book = &data.Checkpoint{Code: r.Checkpoint, Title: r.Checkpoint}
		}
		points = append(points, point{Reading: r, book: book})
	}
	return points
}

// run returns where the points of a checkpoint stand among all, which are sorted
// by it.
func (in *inspection) run(checkpoint string) (first, end int) {
	first = sort.Search(len(in.points), func(i int) bool { return in.points[i].Checkpoint >= checkpoint })
	end = first
	for end < len(in.points) && in.points[end].Checkpoint == checkpoint {
		end++
	}
	return first, end
}

// number is the value of a reading where it is a finite number.
func number(r *data.Reading) (float64, bool) {
	x := r.Number.Value
	return x, r.Number.Known && x-x == 0 // false for NaN and the infinities
}
