package schedule

import (
	"context"
	"math/rand/v2"
	"testing"
)

// alwaysThere draws a problem whose people are always there, with places that
// hold one task at a time.
func alwaysThere(rng *rand.Rand, tasks int) (Problem, int) {
	p, horizon := smallProblem(rng, tasks)
	for w := range p.Workers {
		p.Workers[w].Hours = Calendar{{0, horizon}}
	}
	for r := range p.Resources {
		p.Resources[r] = Resource{Capacity: 1}
	}
	return p, horizon
}

// The optimum is that of brute force over all orders and people, by minute-by-
// minute books that share nothing with the search.
func TestTheSearchWithoutCalendarsFindsTheOptimumOfSmallProblems(t *testing.T) {
	cases := 240
	if testing.Short() {
		cases = 80
	}
	without, proven := 0, 0
	for c := range cases {
		p, horizon := alwaysThere(rand.New(rand.NewPCG(uint64(c), 23)), 3+c%5)
		if _, ok := compile(p).constant(Makespan); ok {
			without++
		}
		plan, err := Solve(context.Background(), p, Options{Objective: Makespan, Schedules: 3_000, Seed: 1})
		if err != nil {
			t.Fatalf("case %d: %v", c, err)
		}
		if err := Verify(p, plan); err != nil {
			t.Fatalf("case %d: %v", c, err)
		}
		if want := bruteForce(p, Makespan, horizon); plan.Value != want || plan.LowerBound > want {
			t.Errorf("case %d: value %d, bound %d, optimum %d", c, plan.Value, plan.LowerBound, want)
		}
		if plan.LowerBound == plan.Value {
			proven++
		}
	}
	t.Logf("%d of %d without calendars, %d proven by the bound", without, cases, proven)
	if without < cases*9/10 {
		t.Errorf("only %d of %d problems went to the search without calendars", without, cases)
	}
}

func TestProblemsWithCalendarsAreToldFromOthers(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Problem)
		want   bool
	}{
		{"always there", func(*Problem) {}, true},
		{"a night", func(p *Problem) { p.Workers[0].Hours = Calendar{{0, 5}, {9, 100}} }, false},
		{"gone before all could be done one by one", func(p *Problem) { p.Workers[0].Hours = Calendar{{0, 6}} }, false},
		{"starts late", func(p *Problem) { p.Workers[0].Hours = Calendar{{1, 100}} }, false},
		{"a pin", func(p *Problem) { p.Tasks[0].Pinned, p.Tasks[0].Worker = true, 0 }, false},
		{"a place that is closed for a while", func(p *Problem) { p.Resources[0].Closed = []Closure{{Interval{1, 2}, 1}} }, false},
		{"people, and places that hold several tasks", func(p *Problem) {
			p.Resources[0].Capacity = 2
			for i := range p.Tasks {
				p.Tasks[i].Uses = []Demand{{0, 1}}
			}
		}, false},
		{"a skill that nobody has", func(p *Problem) { p.Tasks[1].Skill = 3 }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Problem{
				Workers:   []Worker{{Skills: []int{0}, Hours: Calendar{{0, 100}}}},
				Resources: []Resource{{Capacity: 1}},
				Tasks: []Task{
					{Duration: 3, Skill: 0, Group: None},
					{Duration: 4, Skill: 0, Group: None, After: []Link{{Pred: 0, Lag: 2}}},
				},
			}
			c.change(&p)
			if _, ok := compile(p).constant(Makespan); ok != c.want {
				t.Errorf("without calendars: %v", ok)
			}
			if _, ok := compile(p).constant(WeightedCompletion); ok {
				t.Error("weights are not counted by the search without calendars")
			}
		})
	}
}
