package prep

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// Finished is a job whose hours are on record: what the book gave for that van,
// at its middle, and what was spent.
type Finished struct {
	Job, Skill  string
	Book, Spent float64 // labour hours, above 0
}

// Record tells what finished jobs took and what a labour book gives for them.
// It is never written to, and may be shared between goroutines.
type Record struct {
	books *data.Books
	// middle is the book's p50 of one unit of a job on a body. A yard has tens
	// of thousands of finished jobs, of a few hundred kinds.
	middle map[jobOnBody]float64
}

type jobOnBody struct {
	job  string
	body data.Body
}

// NewRecord reckons the middles of a labour book.
func NewRecord(books *data.Books) Record {
	r := Record{books, make(map[jobOnBody]float64, len(books.Labour)*len(data.Bodies))}
	for i := range books.Labour {
		job := &books.Labour[i]
		for _, body := range data.Bodies {
			r.middle[jobOnBody{job.Code, body}] = bookHours(job, body, 1).Quantile(0.5)
		}
	}
	return r
}

// Finished returns the jobs of one van that are done, by code, with the hours
// they took and an extent that is known. A job per place that only a progress
// row names has no such extent and is left out. Of a sold van only progress rows
// name jobs, and its condition is not looked at.
func (r Record) Finished(a appraise.Assessment, progress []data.Progress) []Finished {
	if !slices.ContainsFunc(progress, func(p data.Progress) bool { return done(&p) }) {
		return nil
	}
	if a.Van.Status == data.Sold {
		return r.ofSold(a.Van.Body, progress)
	}
	drafts := gather(a, progress, r.books)
	var out []Finished
	for _, code := range sortedCodes(drafts) {
		d := drafts[code]
		if d.progress == nil || !done(d.progress) || d.guessed {
			continue
		}
		book := 0.0
		if _, units := d.extent(); units == 1 {
			book = r.middle[jobOnBody{code, a.Van.Body}]
		} else {
			book = d.estimate(a.Van.Body).Quantile(0.5)
		}
		if book > 0 {
			out = append(out, Finished{code, d.book.Skill, book, d.progress.HoursSpent.Value})
		}
	}
	return out
}

// ofSold is Finished for a van of which the progress rows say everything.
func (r Record) ofSold(body data.Body, progress []data.Progress) []Finished {
	var out []Finished
	for i := range progress {
		p := &progress[i]
		if !done(p) {
			continue
		}
		job, ok := r.books.Job(p.Job)
		if book := r.middle[jobOnBody{p.Job, body}]; ok && book > 0 && (job.Per == "" || job.Per == "van") {
			if out == nil {
				out = make([]Finished, 0, len(progress))
			}
			out = append(out, Finished{p.Job, job.Skill, book, p.HoursSpent.Value})
		}
	}
	slices.SortFunc(out, func(a, b Finished) int { return cmp.Compare(a.Job, b.Job) })
	return out
}

// done reports whether a job is done and its hours are known.
func done(p *data.Progress) bool {
	return p.State == data.JobDone && p.HoursSpent.Known && p.HoursSpent.Value > 0
}
