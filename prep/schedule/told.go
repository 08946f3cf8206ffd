package schedule

// Told is what somebody has been told of a task, and what it costs, in units of the
// plan's value, to say otherwise.
type Told struct {
	Task, Worker int
	Day          Interval // in which it was to begin
	Start        int
	Move         int // another worker or day
	Retime       int // the same worker and day, another start
}

// change is what saying otherwise costs in a plan.
func (t *Told) change(at []Assignment) int {
	switch a := at[t.Task]; {
	case a.Worker != t.Worker || a.Start < t.Day.From || a.Start >= t.Day.To:
		return t.Move
	case a.Start != t.Start:
		return t.Retime
	}
	return 0
}
