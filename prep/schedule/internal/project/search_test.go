package project

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// drawProject draws a project whose successors all have larger numbers.
func drawProject(t *rapid.T) Project {
	n := rapid.IntRange(0, 12).Draw(t, "tasks")
	resources := rapid.IntRange(0, 3).Draw(t, "resources")
	var p Project
	for range resources {
		p.Capacities = append(p.Capacities, rapid.IntRange(1, 5).Draw(t, "capacity"))
	}
	for i := range n {
		p.Durations = append(p.Durations, rapid.IntRange(0, 6).Draw(t, "duration"))
		demand := make([]int, resources)
		for r := range demand {
			demand[r] = rapid.IntRange(0, p.Capacities[r]).Draw(t, "demand")
		}
		p.Demands = append(p.Demands, demand)
		var successors []int
		for j := i + 1; j < n; j++ {
			if rapid.IntRange(0, 4).Draw(t, "arc") == 0 {
				successors = append(successors, j)
			}
		}
		p.Successors = append(p.Successors, successors)
	}
	return p
}

func TestEveryScheduleVerifiesAndIsRepeatable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProject(t)
		o := Options{Schedules: rapid.IntRange(1, 60).Draw(t, "schedules"), Seed: rapid.Uint64().Draw(t, "seed")}
		got, err := Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(p, got); err != nil {
			t.Fatal(err)
		}
		if got.Schedules > o.Schedules {
			t.Fatalf("%d schedules of %d", got.Schedules, o.Schedules)
		}
		again, err := Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(again, got); diff != "" {
			t.Fatal(diff)
		}
	})
}

// bruteForce tries every list; the serial scheme reaches an optimum from one
// of them. It places tasks by counting periods, apart from the search.
func bruteForce(p Project) int {
	n := len(p.Durations)
	before := make([][]int, n)
	total := 0
	for i, successors := range p.Successors {
		total += p.Durations[i]
		for _, j := range successors {
			before[j] = append(before[j], i)
		}
	}
	held := make([][]int, total+1)
	for t := range held {
		held[t] = make([]int, len(p.Capacities))
	}
	finish := make([]int, n)
	for i := range finish {
		finish[i] = -1
	}
	best := total
	var branch func(placed, makespan int)
	branch = func(placed, makespan int) {
		if makespan >= best && placed > 0 {
			return
		}
		if placed == n {
			best = makespan
			return
		}
	next:
		for i := range n {
			if finish[i] >= 0 {
				continue
			}
			start := 0
			for _, j := range before[i] {
				if finish[j] < 0 {
					continue next
				}
				start = max(start, finish[j])
			}
			for t := start; t < start+p.Durations[i]; t++ {
				for r, c := range p.Capacities {
					if held[t][r]+p.Demands[i][r] > c {
						start = t + 1
						break
					}
				}
			}
			hold := func(sign int) {
				for t := start; t < start+p.Durations[i]; t++ {
					for r, d := range p.Demands[i] {
						held[t][r] += sign * d
					}
				}
			}
			hold(1)
			finish[i] = start + p.Durations[i]
			branch(placed+1, max(makespan, finish[i]))
			finish[i] = -1
			hold(-1)
		}
	}
	branch(0, 0)
	return best
}

func TestTheSearchFindsTheOptimumOfSmallProjects(t *testing.T) {
	cases := 0
	rapid.Check(t, func(t *rapid.T) {
		p := drawProject(t)
		if len(p.Durations) > 8 {
			t.Skip("too large for brute force")
		}
		got, err := Solve(context.Background(), p, Options{Schedules: 2_000, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		want := bruteForce(p)
		if got.Makespan != want || got.LowerBound > want {
			t.Fatalf("makespan %d, lower bound %d, optimum %d", got.Makespan, got.LowerBound, want)
		}
		cases++
	})
	if cases < 20 {
		t.Errorf("only %d cases", cases)
	}
}

// TestBothFormsOfThePassAgree has more lanes than a word holds; the two
// forms of the pass must agree where both apply.
func TestBothFormsOfThePassAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		p := jobShop(ft06)
		for i := range p.Durations {
			p.Durations[i] = rng.IntN(9)
		}
		narrow := newNetwork(p)
		for range 6 {
			p.Capacities = append(p.Capacities, maxCapacity)
			for i := range p.Demands {
				p.Demands[i] = append(p.Demands[i], rng.IntN(2))
			}
		}
		wide := newNetwork(p)
		if narrow.words != 1 || wide.words < 2 {
			t.Fatalf("%d and %d words", narrow.words, wide.words)
		}
		l := newLists(narrow, rng)
		d := newSide(0, len(narrow.duration), &narrow.before, &narrow.after, newBounds(narrow).tail)
		list := make([]int32, len(narrow.duration))
		l.sample(list, &d, false)
		a, b := make([]int32, len(list)), make([]int32, len(list))
		newPass(narrow).serial(list, a, &narrow.before)
		newPass(wide).serial(list, b, &wide.before)
		if diff := cmp.Diff(b, a); diff != "" {
			t.Fatal(diff)
		}
	}
}

func TestProjectsThatMakeNoSense(t *testing.T) {
	one := func(change func(*Project)) Project {
		p := Project{
			Durations:  []int{1, 2},
			Successors: [][]int{{1}, nil},
			Demands:    [][]int{{1}, {2}},
			Capacities: []int{2},
		}
		change(&p)
		return p
	}
	for _, c := range []struct {
		name string
		in   Project
		want error
	}{
		{"all is well", one(func(*Project) {}), nil},
		{"a demand is missing", one(func(p *Project) { p.Demands[0] = nil }), ErrShape},
		{"a list is missing", one(func(p *Project) { p.Successors = nil }), ErrShape},
		{"negative duration", one(func(p *Project) { p.Durations[1] = -1 }), ErrRange},
		{"durations too long", one(func(p *Project) { p.Durations = []int{MaxHorizon, 1} }), ErrRange},
		{"negative demand", one(func(p *Project) { p.Demands[1][0] = -1 }), ErrRange},
		{"more than there is", one(func(p *Project) { p.Demands[1][0] = 3 }), ErrInfeasible},
		{"unknown successor", one(func(p *Project) { p.Successors[1] = []int{2} }), ErrRange},
		{"a cycle", one(func(p *Project) { p.Successors[1] = []int{0} }), ErrCycle},
		{"a task after itself", one(func(p *Project) { p.Successors[1] = []int{1} }), ErrCycle},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := Solve(context.Background(), c.in, Options{Schedules: 5}); !errors.Is(err, c.want) {
				t.Errorf("error %v, want %v", err, c.want)
			}
		})
	}
}

func TestACancelledSearchReturnsWhatItHas(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := jobShop(ft10)
	got, err := Solve(ctx, p, Options{Schedules: 1_000_000})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, got); err != nil {
		t.Fatal(err)
	}
	if got.Schedules > 1_000 {
		t.Errorf("%d schedules after the cancellation", got.Schedules)
	}
}

func TestVerifyFindsWhatIsWrong(t *testing.T) {
	p := Project{
		Durations:  []int{2, 3},
		Successors: [][]int{nil, nil},
		Demands:    [][]int{{1}, {1}},
		Capacities: []int{1},
	}
	for _, c := range []struct {
		name string
		in   Schedule
		ok   bool
	}{
		{"one after the other", Schedule{Starts: []int{0, 2}, Makespan: 5}, true},
		{"both at once", Schedule{Starts: []int{0, 1}, Makespan: 4}, false},
		{"wrong makespan", Schedule{Starts: []int{0, 2}, Makespan: 4}, false},
		{"before the start", Schedule{Starts: []int{-1, 2}, Makespan: 5}, false},
		{"a start is missing", Schedule{Starts: []int{0}, Makespan: 2}, false},
		{"bound above", Schedule{Starts: []int{0, 2}, Makespan: 5, LowerBound: 6}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := Verify(p, c.in); (err == nil) != c.ok {
				t.Errorf("error %v", err)
			}
		})
	}
	p.Successors[0] = []int{1}
	if Verify(p, Schedule{Starts: []int{3, 0}, Makespan: 5}) == nil {
		t.Error("precedence is not checked")
	}
}

// middling draws a project of the size and tightness of a hard J30: 30
// tasks of 1 to 10 periods, four resources.
func middling() Project {
	rng := rand.New(rand.NewPCG(30, 4))
	p := Project{Capacities: []int{12, 14, 11, 13}}
	for i := range 30 {
		demand := make([]int, 4)
		demand[rng.IntN(4)] = 1 + rng.IntN(10)
		demand[rng.IntN(4)] = 1 + rng.IntN(10)
		p.Demands = append(p.Demands, demand)
		p.Durations = append(p.Durations, 1+rng.IntN(10))
		var successors []int
		for j := i + 1; j < min(i+12, 30); j++ {
			if rng.IntN(7) == 0 {
				successors = append(successors, j)
			}
		}
		p.Successors = append(p.Successors, successors)
	}
	return p
}

func breeder() *search {
	net := newNetwork(middling())
	p := newProgress(net, math.MaxInt, 0)
	p.bound = 0
	s := newSearch(net, p, rand.New(rand.NewPCG(1, 1)))
	s.populateOnly(40)
	return s
}

func (s *search) populateOnly(members int) {
	for k := range s.sides {
		s.sides[k].members = s.sides[k].members[:members]
	}
	s.populate(context.Background())
}

func TestBreedingTakesNoMemory(t *testing.T) {
	s := breeder()
	turn := 0
	allocs := testing.AllocsPerRun(2_000, func() {
		s.breed(context.Background(), turn)
		turn = 1 - turn
	})
	if allocs != 0 {
		t.Errorf("%v allocations a child", allocs)
	}
}

// BenchmarkBreed is the speed of breeding alone: two passes a child, with
// crossover, shifts, sorting and the comparison with a whole population.
func BenchmarkBreed(b *testing.B) {
	s := breeder()
	turn := 0
	b.ReportAllocs()
	for b.Loop() {
		s.breed(context.Background(), turn)
		turn = 1 - turn
	}
	b.ReportMetric(2*float64(b.N)/b.Elapsed().Seconds(), "schedules/s")
}
