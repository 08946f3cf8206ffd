package peer

import (
	"encoding/json"
	"io"

	"github.com/vanwright/vanwright/prep/schedule"
)

// file is a workshop's problem with the engine's plan. Times are minutes after
// midnight of the first day; the value is in pence a day × minutes.
type file struct {
	About     string     `json:"about"`
	Name      string     `json:"name"`
	Jobs      int        `json:"jobs"`
	Tasks     []task     `json:"tasks"`
	Workers   []worker   `json:"workers"`
	Resources []resource `json:"resources"`
	Travel    [][]int    `json:"travel"` // minutes of work from site to site; null: no way takes time
	Apart     int        `json:"shift_apart"`
	Plan      plan       `json:"plan"`
}

const about = "Find start, finish and worker of each task so that the sum of weight × finish + late_weight × max(0, finish − due) is least. " +
	"One worker with the skill does a task from beginning to end, at any time within their hours, which alone interrupt it; a task of skill -1 runs day and night without a worker. " +
	"It starts at its release at the soonest, and lag minutes after the finish of each task in after. " +
	"From start to finish it holds one place of each resource in uses, and nothing else of its group goes on. A worker does one task at a time and, " +
	"between two of one shift at other sites (leaves of the one, site of the next), spends travel minutes of work on the way; stretches off of more than shift_apart minutes part shifts. " +
	"Bringing a van into a bay is in the durations, waits for parts in the releases, drying in the lags. All minutes are whole quarters of an hour."

type task struct {
	Name       string   `json:"name"`
	Duration   int      `json:"duration"`
	Skill      int      `json:"skill"`
	Uses       []int    `json:"uses"`
	After      [][2]int `json:"after"` // task, lag
	Release    int      `json:"release"`
	Group      int      `json:"group"`
	Site       int      `json:"site"`
	Leaves     int      `json:"leaves"`
	Weight     int      `json:"weight"`
	Due        int      `json:"due"`
	LateWeight int      `json:"late_weight"`
}

type worker struct {
	Name   string   `json:"name"`
	Skills []int    `json:"skills"`
	Hours  [][2]int `json:"hours"`
}

type resource struct {
	Name     string `json:"name"`
	Capacity int    `json:"capacity"`
}

type plan struct {
	Assignments [][3]int `json:"assignments"` // worker, start, finish
	Value       int      `json:"value"`
	LowerBound  int      `json:"lower_bound"`
	Schedules   int      `json:"schedules"`
	Seconds     float64  `json:"seconds"` // of the whole of planning, more than the search
}

// Write writes a problem in which nothing has begun and everything can be planned.
func Write(w io.Writer, name string, jobs int, p schedule.Problem, found schedule.Plan, seconds float64) error {
	f := file{About: about, Name: name, Jobs: jobs, Travel: p.Travel, Apart: p.ShiftApart}
	f.Plan = plan{Value: found.Value, LowerBound: found.LowerBound, Schedules: found.Schedules, Seconds: seconds}
	for i, t := range p.Tasks {
		out := task{
			Name: t.Name, Duration: t.Duration, Skill: t.Skill, Uses: []int{}, After: [][2]int{}, Release: t.Release,
			Group: t.Group, Site: t.Site, Leaves: t.Leaves, Weight: t.Weight, Due: t.Due, LateWeight: t.LateWeight,
		}
		for _, u := range t.Uses {
			out.Uses = append(out.Uses, u.Resource)
		}
		for _, l := range t.After {
			out.After = append(out.After, [2]int{l.Pred, l.Lag})
		}
		f.Tasks = append(f.Tasks, out)
		a := found.Assignments[i]
		f.Plan.Assignments = append(f.Plan.Assignments, [3]int{a.Worker, a.Start, a.Finish})
	}
	for _, x := range p.Workers {
		out := worker{Name: x.Name, Skills: x.Skills}
		for _, v := range x.Hours {
			out.Hours = append(out.Hours, [2]int{v.From, v.To})
		}
		f.Workers = append(f.Workers, out)
	}
	for _, r := range p.Resources {
		f.Resources = append(f.Resources, resource{r.Name, r.Capacity})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(f)
}
