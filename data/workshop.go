package data

import (
	"slices"
	"time"
)

// Skills and BayKinds are the closed lists of team.csv, bays.csv and the
// labour book.
var (
	Skills = []string{
		"mechanical", "habitation", "gas", "electrical", "bodywork", "damp", "tyres", "valet",
		"photography",
	}
	BayKinds = []string{"ramp", "habitation", "bodywork", "valet"}
	Gates    = []string{"roadworthy", "habitation", "presentation"}
)

// Technician is one row of team.csv.
type Technician struct {
	Name   string
	Skills []string
	Hours  [7]float64 // by time.Weekday, 0 to 24
	Source Source
}

// HasSkill reports whether the technician may be given work of that skill.
func (t Technician) HasSkill(skill string) bool {
	return slices.Contains(t.Skills, skill)
}

// HoursOn returns the working hours of a weekday.
func (t Technician) HoursOn(d time.Weekday) float64 { return t.Hours[d] }

// Bay is one row of bays.csv: Count places of one kind.
type Bay struct {
	Name   string
	Kind   string
	Count  int
	Source Source
}

// Absence is one row of absence.csv. Both days are inside it; a blank
// Technician is everybody.
type Absence struct {
	Technician string
	From, To   Date
	Source     Source
}

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
