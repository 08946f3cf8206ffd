package data

import (
	"cmp"
	"slices"
	"strings"
)

// JobState is how far a job has come.
type JobState string

// The states of progress.csv.
const (
	JobOpen          JobState = "open"
	JobStarted       JobState = "started"
	JobAwaitingParts JobState = "awaiting-parts"
	JobDone          JobState = "done"
	JobDropped       JobState = "dropped"
)

// JobStates lists every JobState.
var JobStates = []JobState{JobOpen, JobStarted, JobAwaitingParts, JobDone, JobDropped}

// Progress is one row of progress.csv.
type Progress struct {
	StockID    string
	Job        string // a code of the labour book
	State      JobState
	HoursSpent Opt[float64] // in all so far
	DoneOn     Date
	Technician string
	On         Date       // the day of the row; unknown: before every dated one
	PartsSpent Opt[Money] // in all so far, ex VAT
	Note       string
	Source     Source
}

// rawProgress is a row of progress.csv as it was read.
type rawProgress struct {
	StockID    string `csv:"stock_id" need:"yes"`
	Job        string `csv:"job" need:"yes"`
	State      string `csv:"state" need:"yes"`
	HoursSpent string `csv:"hours_spent"`
	DoneOn     string `csv:"done_on"`
	Technician string `csv:"technician"`
	On         string `csv:"on" also:"date"`
	PartsSpent string `csv:"parts_spent"`
	Note       string `csv:"note"`
}

// maxHoursSpent is more than any one job on a van has taken. Common practice,
// no source.
const maxHoursSpent = 1000

// parseProgress returns a parser of progress.csv. A job may have many rows: of
// each the last word counts; see lastWords.
func parseProgress(vans *vanIndex, books *Books) rowParser[rawProgress, Progress] {
	return func(raw *rawProgress, c *cells, at Source) Progress {
		return Progress{
			StockID:    vans.find(c, raw.StockID),
			Job:        findJob(c, books, raw.Job),
			State:      needWord(c, "state", raw.State, JobStates),
			HoursSpent: c.hours("hours_spent", raw.HoursSpent, maxHoursSpent),
			DoneOn:     c.past("done_on", raw.DoneOn),
			Technician: c.label("technician", raw.Technician),
			On:         c.past("on", raw.On),
			PartsSpent: c.money("parts_spent", raw.PartsSpent),
			Note:       c.note("note", raw.Note),
			Source:     at,
		}
	}
}

// findJob reads the code of a labour job in any spelling of it.
func findJob(c *cells, books *Books, value string) string {
	value = trim(value)
	if !c.need("job", value, "a code of the labour book") {
		return ""
	}
	for _, spelling := range []string{value, wordForm(value)} {
		if i, ok := books.job[spelling]; ok {
			return books.Labour[i].Code
		}
	}
	c.refuse("job", value, "job.unknown", "a code of the labour book"+didYouMean(c, "job", value, books.jobCodes()))
	return ""
}

// lastWords parts the rows of a van, which come in the order in which they were
// read, into the last of each job and the earlier ones. The last is that of the
// latest On and, on one day, the one read last. Both are in the order of jobs.
func lastWords(rows []Progress) (last, earlier []Progress) {
	slices.SortStableFunc(rows, func(a, b Progress) int {
		return cmp.Or(strings.Compare(a.Job, b.Job), cmp.Compare(a.On, b.On))
	})
	for i, p := range rows {
		if i+1 < len(rows) && rows[i+1].Job == p.Job {
			earlier = append(earlier, p)
		} else {
			last = append(last, p)
		}
	}
	return last, earlier
}
