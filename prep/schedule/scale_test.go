package schedule

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// fleet draws a problem of the size and kind that the engine is made for:
// items of about eight jobs in chains with drying lags, a milestone with a
// weight at the end of each, people with one to four of nine skills, and four
// kinds of places.
func fleet(items, people int, seed uint64) Problem {
	const skills = 9
	rng := rand.New(rand.NewPCG(seed, 3))
	p := Problem{Resources: []Resource{{Capacity: 3}, {Capacity: 4}, {Capacity: 2}, {Capacity: 2}}}
	for w := range people {
		worker := Worker{Hours: week(8 + items*12/people/5)}
		for s := range skills {
			if s%people == w || w%skills == s || rng.IntN(4) == 0 {
				worker.Skills = append(worker.Skills, s)
			}
		}
		p.Workers = append(p.Workers, worker)
	}
	for item := range items {
		last := Task{Skill: None, Group: None, Weight: 500 + rng.IntN(4000)}
		if rng.IntN(6) == 0 {
			last.Due, last.LateWeight = rng.IntN(30*1440), 5000
		}
		first := len(p.Tasks)
		for k := range 6 + rng.IntN(4) {
			a := Task{Duration: 15 * (1 + rng.IntN(20)), Skill: rng.IntN(skills), Group: item}
			if rng.IntN(3) > 0 {
				a.Uses = []Demand{{rng.IntN(4), 1}}
			}
			if rng.IntN(5) == 0 {
				a.Release = rng.IntN(20) * 1440
			}
			if k > 0 && rng.IntN(3) > 0 {
				lag := 0
				if rng.IntN(4) == 0 {
					lag = 24 * 60
				}
				a.After = []Link{{first + rng.IntN(k), lag}}
			}
			last.After = append(last.After, Link{len(p.Tasks), 0})
			p.Tasks = append(p.Tasks, a)
		}
		p.Tasks = append(p.Tasks, last)
	}
	return p
}

func TestLargePlansBeatTheFirstRuleAndVerify(t *testing.T) {
	if testing.Short() {
		t.Skip("many schedules")
	}
	p := fleet(60, 8, 1)
	first, err := Solve(context.Background(), p, Options{Objective: WeightedCompletion, Schedules: 1})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := Solve(context.Background(), p, Options{Objective: WeightedCompletion, Schedules: 2_000})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, plan); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d tasks: %d, at first %d, bound %d, gap %.1f %%",
		len(p.Tasks), plan.Value, first.Value, plan.LowerBound, 100*plan.Gap())
	if plan.Value >= first.Value {
		t.Errorf("value %d after the search, %d before", plan.Value, first.Value)
	}
}

func BenchmarkSolveDefault(b *testing.B) {
	for _, size := range []struct{ items, people int }{{60, 8}, {500, 8}} {
		p := fleet(size.items, size.people, 1)
		b.Run(fmt.Sprintf("%d tasks", len(p.Tasks)), func(b *testing.B) {
			var plan Plan
			for b.Loop() {
				var err error
				plan, err = Solve(context.Background(), p, Options{Objective: WeightedCompletion})
				if err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(100*plan.Gap(), "%gap")
			b.ReportMetric(float64(plan.Schedules), "schedules")
			b.ReportMetric(float64(plan.Schedules)*float64(b.N)/b.Elapsed().Seconds(), "schedules/s")
		})
	}
}

func BenchmarkDecode(b *testing.B) {
	p := fleet(60, 8, 1)
	m := compile(p)
	d := newDecoder(m, WeightedCompletion)
	order := m.topological(m.rules()[0])
	b.ReportAllocs()
	for b.Loop() {
		d.decode(order, nil)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "schedules/s")
}
