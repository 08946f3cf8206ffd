package schedule

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// week is five days of 09:00 to 17:00, from minute 0 = Monday 00:00, repeated.
func week(weeks int) Calendar {
	var c Calendar
	for w := range weeks {
		for d := range 5 {
			day := (7*w + d) * 1440
			c = append(c, Interval{day + 9*60, day + 17*60})
		}
	}
	return c
}

func TestWorkRunsOverTheWeekendWithTheSameWorker(t *testing.T) {
	p := Problem{
		Tasks: []Task{
			{Duration: 35 * 60, Skill: 0, Group: None},
			{Duration: 10 * 60, Skill: 0, Group: None, After: []Link{{Pred: 0, Lag: 24 * 60}}},
		},
		Workers: []Worker{{Skills: []int{0}, Hours: week(3)}},
	}
	plan, err := Solve(context.Background(), p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, plan); err != nil {
		t.Fatal(err)
	}
	const friday, monday = 4 * 1440, 7 * 1440
	want := []Assignment{
		{Worker: 0, Start: 9 * 60, Finish: friday + 12*60},
		{Worker: 0, Start: monday + 9*60, Finish: monday + 1440 + 11*60},
	}
	if diff := cmp.Diff(plan.Assignments, want); diff != "" {
		t.Error(diff)
	}
}
