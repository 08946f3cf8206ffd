package data

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
	HoursSpent Opt[float64]
	DoneOn     Date
	Technician string
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
}

// maxHoursSpent is more than any one job on a van has taken. Common practice,
// no source.
const maxHoursSpent = 1000

// parseProgress returns a parser of progress.csv that keeps the jobs of a van
// apart.
func parseProgress(vans *vanIndex, books *Books) rowParser[rawProgress, Progress] {
	return func(raw *rawProgress, c *cells, at Source) Progress {
		p := Progress{
			StockID:    vans.find(c, raw.StockID),
			Job:        findJob(c, books, raw.Job),
			State:      needWord(c, "state", raw.State, JobStates),
			HoursSpent: c.number("hours_spent", raw.HoursSpent, 0, maxHoursSpent),
			DoneOn:     c.past("done_on", raw.DoneOn),
			Technician: c.label("technician", raw.Technician),
			Source:     at,
		}
		if p.StockID != "" {
			c.unique("job", p.Job, p.StockID, p.Job)
		}
		return p
	}
}

// findJob reads the code of a labour job in any spelling of it.
func findJob(c *cells, books *Books, value string) string {
	value = trim(value)
	if !c.need("job", value, "a code of the labour book") {
		return ""
	}
	for _, spelling := range []string{value, foldWord(value)} {
		if i, ok := books.job[spelling]; ok {
			return books.Labour[i].Code
		}
	}
	c.refuse("job", value, "job.unknown", "a code of the labour book"+didYouMean(c, "job", value, books.jobCodes()))
	return ""
}
