package schedule

import (
	"context"
	"errors"
	"strings"
	"testing"
)

func TestProblemsThatMakeNoSenseAreNamed(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Problem)
		want   string // blank: no error
	}{
		{"all is well", func(*Problem) {}, ""},
		{"negative duration", func(p *Problem) { p.Tasks[1].Duration = -1 }, "task 1 (dry): duration -1 is negative"},
		{"release before the origin", func(p *Problem) { p.Tasks[0].Release = -5 }, "task 0 (strip): release -5"},
		{"negative weight", func(p *Problem) { p.Tasks[0].LateWeight = -1 }, "negative"},
		{"unknown resource", func(p *Problem) { p.Tasks[0].Uses = []Demand{{1, 1}} }, "resource 1: there are 1"},
		{"nothing of a resource", func(p *Problem) { p.Tasks[0].Uses = []Demand{{0, 0}} }, "amount 0 of resource 0"},
		{"a resource twice", func(p *Problem) { p.Tasks[0].Uses = []Demand{{0, 1}, {0, 1}} }, "resource 0 is asked for twice"},
		{"unknown predecessor", func(p *Problem) { p.Tasks[0].After = []Link{{9, 0}} }, "predecessor 9"},
		{"negative lag", func(p *Problem) { p.Tasks[1].After = []Link{{0, -1}} }, "lag -1"},
		{"unknown pinned worker", func(p *Problem) { p.Tasks[0].Pinned, p.Tasks[0].Worker = true, 3 }, "worker 3: there are 1"},
		{"hours out of order", func(p *Problem) { p.Workers[0].Hours = Calendar{{5, 9}, {8, 12}} }, "worker 0 (Ann): working interval 1"},
		{"empty hours", func(p *Problem) { p.Workers[0].Hours = Calendar{{5, 5}} }, "is empty"},
		{"negative capacity", func(p *Problem) { p.Resources[0].Capacity = -1 }, "capacity -1"},
		{"closure backwards", func(p *Problem) { p.Resources[0].Closed = []Closure{{Interval{9, 3}, 1}} }, "closure"},
		{"a cycle", func(p *Problem) { p.Tasks[0].After = []Link{{1, 0}} }, "0 (strip) after 1 (dry) after 0 (strip)"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Problem{
				Tasks: []Task{
					{Name: "strip", Duration: 5, Group: None},
					{Name: "dry", Duration: 5, Skill: None, Group: None, After: []Link{{0, 0}}},
				},
				Workers:   []Worker{{Name: "Ann", Skills: []int{0}, Hours: Calendar{{0, 100}}}},
				Resources: []Resource{{Capacity: 1}},
			}
			c.change(&p)
			_, err := Solve(context.Background(), p, Options{Schedules: 3})
			switch {
			case c.want == "" && err != nil:
				t.Error(err)
			case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
				t.Errorf("error %v, want %q", err, c.want)
			}
			if c.name == "a cycle" && !errors.Is(err, ErrCycle) {
				t.Errorf("error %v is not ErrCycle", err)
			}
		})
	}
}

func TestImpossibleWorkIsReportedNotLost(t *testing.T) {
	p := Problem{
		Tasks: []Task{
			{Name: "gas", Duration: 5, Skill: 3, Group: None},
			{Name: "after gas", Duration: 5, Skill: 0, Group: None, After: []Link{{0, 0}}},
			{Name: "two ramps", Duration: 5, Skill: 0, Group: None, Uses: []Demand{{0, 2}}},
			{Name: "too long", Duration: 500, Skill: 0, Group: None},
			{Name: "pinned", Duration: 5, Skill: 1, Group: None, Pinned: true, Worker: 0},
			{Name: "fine", Duration: 5, Skill: 0, Group: None},
		},
		Workers:   []Worker{{Name: "Ann", Skills: []int{0}, Hours: Calendar{{0, 100}}}, {Skills: []int{1}}},
		Resources: []Resource{{Name: "ramp", Capacity: 1}},
	}
	plan, err := Solve(context.Background(), p, Options{Schedules: 3})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, plan); err != nil {
		t.Fatal(err)
	}
	want := []Unplaced{
		{0, "nobody has skill 3"},
		{1, "waits for task 0 (gas)"},
		{2, "needs 2 of resource 0 (ramp), which has 1"},
		{3, "no free working hours or places are left for it"},
		{4, "worker 0 (Ann) has not skill 1"},
	}
	if len(plan.Unplaced) != len(want) {
		t.Fatalf("unplaced: %v", plan.Unplaced)
	}
	for k, u := range plan.Unplaced {
		if u != want[k] {
			t.Errorf("unplaced %v, want %v", u, want[k])
		}
	}
}

func TestPinnedWorkComesFirst(t *testing.T) {
	p := Problem{
		Tasks: []Task{
			{Duration: 30, Skill: 0, Group: None, Weight: 100},
			{Duration: 10, Skill: 0, Group: None, Weight: 1, Pinned: true, Worker: 1, After: []Link{{2, 0}}},
			{Duration: 10, Skill: 0, Group: None},
		},
		Workers: []Worker{
			{Skills: []int{0}, Hours: Calendar{{20, 200}}},
			{Skills: []int{0}, Hours: Calendar{{0, 200}}},
		},
	}
	plan, err := Solve(context.Background(), p, Options{Objective: WeightedCompletion})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, plan); err != nil {
		t.Fatal(err)
	}
	if got := plan.Assignments[1]; got != (Assignment{1, 10, 20}) {
		t.Errorf("pinned work: %v", got)
	}
}

func TestArrangeFollowsTheOrderGiven(t *testing.T) {
	p := Problem{
		Tasks: []Task{
			{Duration: 10, Group: None}, {Duration: 20, Group: None}, {Duration: 30, Group: None},
		},
		Workers: []Worker{{Skills: []int{0}, Hours: Calendar{{0, 500}}}},
	}
	plan, err := Arrange(p, Makespan, []int{2, 0}, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{30, 40, 0} {
		if got := plan.Assignments[i].Start; got != want {
			t.Errorf("task %d starts at %d, want %d", i, got, want)
		}
	}
	for name, order := range map[string][]int{"unknown": {3}, "twice": {1, 1}} {
		if _, err := Arrange(p, Makespan, order, nil); err == nil {
			t.Errorf("order with a task %s is taken", name)
		}
	}
	if _, err := Arrange(p, Makespan, nil, []int{0, 5, 0}); err == nil {
		t.Error("a worker who does not exist is taken")
	}
}
