package prep

import (
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// Job is one piece of work on one van: a labour-book job with the units,
// body and progress of that van in it.
type Job struct {
	StockID string
	Code    string
	Title   string
	Skill   string
	Bay     string
	Gate    string
	Caution string

	Places  []string // positions or areas the work is on, sorted; empty for the whole van
	Units   float64  // of the labour book's unit
	Because []string // findings and papers that ask for it, in a fixed order

	Factor      float64  // what finished jobs have taught: the labour book's hours are multiplied by it; 1 once closed
	Book        Estimate // labour hours for this van before any were spent, Factor in them
	HoursP50    decimal.Decimal
	HoursP80    decimal.Decimal
	HoursSpent  decimal.Decimal
	HoursLeft   decimal.Decimal // at p50; zero when done or dropped
	State       data.JobState
	Again       bool   // was done once and is asked for again: HoursSpent went into the first time
	Technician  string // who began it; blank where it was not begun
	DoneOn      data.Date
	Since       data.Date // day of the last word on it; unknown where it has no date
	DryingHours float64
	Absorbs     []string // codes of jobs that it takes over
	After       []string // codes of jobs on the same van that come first
	Parts       []data.PartUse

	LabourCost data.Money // HoursP50 × the policy's rate, to the penny
	PartsCost  data.Money // to the penny
}

// Cost returns labour and parts together.
func (j Job) Cost() data.Money { return j.LabourCost.Add(j.PartsCost) }

// Open reports whether work remains.
func (j Job) Open() bool { return j.State != data.JobDone && j.State != data.JobDropped }

// Sums are what jobs come to together.
type Sums struct {
	Hours, HoursLeft decimal.Decimal // at p50; what remains of them
	Labour, Parts    data.Money
}

// SumsOf adds jobs up.
func SumsOf(jobs []Job) Sums {
	var s Sums
	for i := range jobs {
		j := &jobs[i]
		s.Hours, s.HoursLeft = s.Hours.Add(j.HoursP50), s.HoursLeft.Add(j.HoursLeft)
		s.Labour, s.Parts = s.Labour.Add(j.LabourCost), s.Parts.Add(j.PartsCost)
	}
	return s
}

// Total sums labour and parts over jobs.
func Total(jobs []Job) data.Money {
	s := SumsOf(jobs)
	return s.Labour.Add(s.Parts)
}

// left returns the estimate of what remains of the job's hours.
func (j Job) left() Estimate {
	if !j.Open() {
		return Estimate{}
	}
	spent := j.HoursSpent.InexactFloat64()
	if spent == 0 || j.Again {
		return j.Book
	}
	lo, mid, hi := j.Book.Left(spent, 0.02), j.Book.Left(spent, 0.5), j.Book.Left(spent, 0.98)
	return Estimate{lo, mid, hi}
}
