package schedule

// None stands for no worker, no skill or no group.
const None = -1

// Problem is what is to be planned. Tasks, workers, resources, skills and
// groups are numbered from 0; names serve only messages.
type Problem struct {
	Tasks     []Task
	Workers   []Worker
	Resources []Resource

	// Travel[a][b] is the minutes of work that a worker spends to get from site a to
	// site b between two tasks of one shift; nil: none. No way by a third site is
	// shorter. Stretches off of more than ShiftApart minutes part a worker's hours into
	// shifts; each begins at whatever site the work is.
	Travel     [][]int
	ShiftApart int
}

// Task is a piece of work that one worker does from beginning to end. The
// end of a worker's day interrupts it; the same worker resumes it. Meanwhile
// it keeps its resources and its group.
type Task struct {
	Name     string
	Duration int      // minutes of work, 0 for a milestone, which takes no worker and no place
	Skill    int      // skill that the worker needs; None: no worker, it runs day and night
	Uses     []Demand // places taken from start to finish
	After    []Link
	Release  int // earliest start

	// Site is where the worker must be to begin, and Leaves where the task leaves the
	// worker. They count only for a problem with Travel.
	Site, Leaves int

	// Group, if not None, keeps tasks apart: no two of one group overlap.
	// A lag between two of them leaves the group free.
	Group int

	// Weight is the cost of each day that passes until the finish, and
	// LateWeight of each day past Due as well. Both count only for
	// WeightedCompletion.
	Weight     int
	Due        int
	LateWeight int

	// Pinned work comes before all other: it starts at the first moment from
	// Release on at which Worker, if not None, its places and group are free.
	// Pins are placed by Release, then by number, after what they depend on.
	Pinned bool
	Worker int // the only worker allowed when Pinned; None: any with the skill
}

// Link says that a task starts no sooner than Lag minutes of elapsed time,
// 0 or more, after task Pred has finished.
type Link struct {
	Pred int
	Lag  int
}

// Demand is an amount, above 0, of a resource.
type Demand struct {
	Resource int
	Amount   int
}

// Worker does one task at a time, during its hours.
type Worker struct {
	Name   string
	Skills []int
	Hours  Calendar
}

// Resource is a number of like places, held day and night by the tasks
// in them.
type Resource struct {
	Name     string
	Capacity int
	Closed   []Closure // stretches with fewer places, in any order
}

// Closure takes Amount places away for a while.
type Closure struct {
	Interval
	Amount int
}

// Objective is what a plan is judged by. Lower is better.
type Objective int

const (
	// Makespan is the finish of the last task, in minutes.
	Makespan Objective = iota
	// WeightedCompletion is the sum of Weight × finish + LateWeight × minutes
	// past Due: in weight units × minutes, so divide by 1,440 for a cost.
	WeightedCompletion
)
