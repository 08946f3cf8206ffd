package prep

import (
	"iter"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// linkOrder fills After with the jobs that come first on this van: those that
// the labour book names, and those that follow from what jobs touch and prove.
//
// The book's chain runs through jobs that this van does not have: the valet
// follows the engine's repair by way of a road test that was not asked for. Where
// a book names a job first that by what it touches would come later, the book
// stands.
func linkOrder(jobs []Job, books *data.Books) {
	o := newOrder(jobs, books)
	for last := range jobs {
		o.eachNamed(last, func(first int) { o.link(first, last) })
	}
	for last := range jobs {
		o.eachDerived(last, func(first int) { o.link(first, last) })
	}
	for i := range jobs {
		slices.Sort(jobs[i].After)
	}
}

// order is the precedence of one van's jobs while it is worked out.
type order struct {
	jobs  []Job
	books *data.Books
	book  []*data.LabourJob // of each job
	// follows[a] holds the jobs that come after a, directly or not.
	follows []bitset
}

// bitset is a set of small numbers.
type bitset []uint64

func (b bitset) has(i int) bool { return b[i/64]&(1<<(i%64)) != 0 }
func (b bitset) add(i int)      { b[i/64] |= 1 << (i % 64) }
func (b bitset) join(other bitset) {
	for k := range b {
		b[k] |= other[k]
	}
}

func newOrder(jobs []Job, books *data.Books) *order {
	o := &order{jobs: jobs, books: books, book: make([]*data.LabourJob, len(jobs)), follows: make([]bitset, len(jobs))}
	for i := range jobs {
		o.book[i], _ = books.Job(jobs[i].Code)
		o.follows[i] = make(bitset, len(jobs)/64+1)
		jobs[i].After = nil
	}
	return o
}

// link puts one job after another, unless it is so already or the other way
// round.
func (o *order) link(first, last int) {
	if first == last || o.follows[first].has(last) || o.follows[last].has(first) {
		return
	}
	o.jobs[last].After = append(o.jobs[last].After, o.jobs[first].Code)
	for i := range o.follows {
		if i == first || o.follows[i].has(first) {
			o.follows[i].add(last)
			o.follows[i].join(o.follows[last])
		}
	}
}

// eachNamed calls do for the jobs of the van that the book names before one.
func (o *order) eachNamed(last int, do func(first int)) {
	o.eachBefore(o.book[last], func(book *data.LabourJob) {
		if i := o.find(book.Code); i >= 0 {
			do(i)
		}
	})
}

// eachDerived calls do for the jobs of the van that touch what one proves, or
// what a job proves that the van lacks and the book names before it; and for
// those that lie further out than it does.
func (o *order) eachDerived(last int, do func(first int)) {
	tests := func(book *data.LabourJob) {
		for i := range o.jobs {
			if touchesWhat(o.book[i], book) {
				do(i)
			}
		}
	}
	tests(o.book[last])
	o.eachBefore(o.book[last], func(book *data.LabourJob) {
		if o.find(book.Code) < 0 {
			tests(book)
		}
	})
	if depth := depthOf(o.book[last]); depth > 0 {
		for i := range o.jobs {
			if d := depthOf(o.book[i]); 0 < d && d < depth {
				do(i)
			}
		}
	}
}

// eachBefore calls do for the jobs that the book names before one, and through
// those that the van lacks for the ones before them.
func (o *order) eachBefore(book *data.LabourJob, do func(*data.LabourJob)) {
	seen := map[string]bool{}
	var walk func(book *data.LabourJob)
	walk = func(book *data.LabourJob) {
		for _, code := range book.After {
			before, ok := o.books.Job(code)
			if !ok || seen[code] {
				continue
			}
			seen[code] = true
			do(before)
			if o.find(code) < 0 {
				walk(before)
			}
		}
	}
	walk(book)
}

// find returns which of the van's jobs, which are sorted, has a code; -1 for
// none.
func (o *order) find(code string) int {
	i, found := slices.BinarySearchFunc(o.jobs, code, func(j Job, code string) int {
		switch {
		case j.Code < code:
			return -1
		case j.Code > code:
			return 1
		}
		return 0
	})
	if !found {
		return -1
	}
	return i
}

// touchesWhat reports whether a job touches a system that a test proves.
func touchesWhat(job, test *data.LabourJob) bool {
	return slices.ContainsFunc(job.Touches, func(system string) bool { return slices.Contains(test.Proves, system) })
}

// depthOf says how far in a job works on a wall: 1 the joints that keep water
// out, which touch body and damp; 2 drying and repair of what got wet, which
// touch damp; 3 what stands before it, which touches the interior. 0 is elsewhere.
// Work goes from outside in: a leak is stopped before the wall is dried, and the
// wall repaired before furniture goes back.
func depthOf(job *data.LabourJob) int {
	touches := func(system string) bool { return slices.Contains(job.Touches, system) }
	switch {
	case touches("damp") && touches("body"):
		return 1
	case touches("damp"):
		return 2
	case touches("interior"):
		return 3
	}
	return 0
}

// comesAfter yields the jobs that come before j on its van. A job that is done
// or dropped hands on those before it: reseal still follows strip when the
// drying between them was called off.
func comesAfter(jobs []Job, j Job) iter.Seq[Job] {
	return func(yield func(Job) bool) {
		seen := map[string]bool{j.Code: true}
		todo := slices.Clone(j.After)
		for len(todo) > 0 {
			code := todo[0]
			todo = todo[1:]
			if seen[code] {
				continue
			}
			seen[code] = true
			before := jobOf(jobs, code)
			if before.Code == "" {
				continue
			}
			if !yield(before) {
				return
			}
			if !before.Open() {
				todo = append(todo, before.After...)
			}
		}
	}
}

// jobOf returns the job of a code; the zero Job where the van has none.
func jobOf(jobs []Job, code string) Job {
	i := slices.IndexFunc(jobs, func(j Job) bool { return j.Code == code })
	if i < 0 {
		return Job{}
	}
	return jobs[i]
}
