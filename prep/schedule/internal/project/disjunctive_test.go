package project

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// machines draws a project in which every resource holds one user at a time.
// Tasks may need several resources or none, take no time, and wait for
// any with smaller numbers.
func machines(rng *rand.Rand, tasks int) Project {
	resources := 1 + rng.IntN(3)
	var p Project
	for range resources {
		p.Capacities = append(p.Capacities, 1+rng.IntN(3))
	}
	arcs := 2 + rng.IntN(8)
	for i := range tasks {
		p.Durations = append(p.Durations, rng.IntN(8))
		demand := make([]int, resources)
		for r, c := range p.Capacities {
			if rng.IntN(resources+1) < 2 {
				demand[r] = c/2 + 1 + rng.IntN(c-c/2)
			}
		}
		p.Demands = append(p.Demands, demand)
		var successors []int
		for j := i + 1; j < tasks; j++ {
			if rng.IntN(arcs) == 0 {
				successors = append(successors, j)
			}
		}
		p.Successors = append(p.Successors, successors)
	}
	return p
}

// withPeople adds people of whom one or more can do each task.
func withPeople(rng *rand.Rand, p *Project) {
	p.People = rng.IntN(4)
	for range p.Durations {
		var able []int
		for w := range p.People {
			if rng.IntN(2) == 0 {
				able = append(able, w)
			}
		}
		p.Able = append(p.Able, able)
	}
}

// whoNow returns the resource that stands for the person of each task.
func (o *orders) whoNow() []int32 {
	who := make([]int32, len(o.hands))
	for i, s := range o.hands {
		if s >= 0 {
			who[i] = o.slots.to[s]
		}
	}
	return who
}

func TestMachinesAreToldFromOtherResources(t *testing.T) {
	for _, c := range []struct {
		name      string
		durations []int
		demands   [][]int
		want      bool
	}{
		{"two of a resource do not fit", []int{1, 1}, [][]int{{2}, {2}}, true},
		{"the two smallest needs do not fit", []int{1, 1, 1}, [][]int{{3}, {1}, {3}}, true},
		{"two of three fit", []int{1, 1, 1}, [][]int{{3}, {1}, {2}}, false},
		{"what takes no time does not count", []int{1, 0, 1}, [][]int{{3}, {1}, {2}}, true},
		{"nothing clashes", []int{1, 1}, [][]int{{3}, {0}}, false},
		{"nothing to do", nil, nil, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Project{Durations: c.durations, Demands: c.demands, Capacities: []int{3}}
			p.Successors = make([][]int, len(p.Durations))
			// Between two others, so that what takes no time is kept.
			for i := 1; i < len(p.Durations); i++ {
				p.Successors[i-1] = []int{i}
			}
			if got := disjunctive(newNetwork(p)); got != c.want {
				t.Errorf("disjunctive: %v", got)
			}
		})
	}
}

// TestTabuSearchFindsTheOptimumOfSmallProjects compares with brute force over
// all lists.
func TestTabuSearchFindsTheOptimumOfSmallProjects(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	searched, proven := 0, 0
	for range 600 {
		p := machines(rng, 2+rng.IntN(6))
		if !disjunctive(newNetwork(p)) {
			continue
		}
		searched++
		got, err := Solve(context.Background(), p, Options{Schedules: 2_000, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(p, got); err != nil {
			t.Fatalf("%+v: %v", p, err)
		}
		want := bruteForce(p)
		if got.Makespan != want || got.LowerBound > want {
			t.Errorf("%+v: makespan %d, lower bound %d, optimum %d", p, got.Makespan, got.LowerBound, want)
		}
		if got.LowerBound == got.Makespan {
			proven++
		}
	}
	t.Logf("%d projects, %d proven by the bound", searched, proven)
	if searched < 100 {
		t.Errorf("only %d projects", searched)
	}
}

// TestMovesKeepTheGraphRight makes allowed moves one after another; after each
// the schedule kept up to date must be the one computed afresh, and right.
func TestMovesKeepTheGraphRight(t *testing.T) {
	made, handed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		p := machines(rng, rapid.IntRange(2, 25).Draw(t, "tasks"))
		withPeople(rng, &p)
		net := newNetwork(p)
		if !disjunctive(net) {
			t.Skip("not all machines")
		}
		s := newTabuSearch(net, newProgress(net, math.MaxInt, 0), rng)
		s.sample(s.begin, &s.elite, false)
		s.allot()
		s.load(s.begin, s.hand)
		fresh := newOrders(net)
		for range 40 {
			path := s.criticalPath(nil, s.makespan(), rng)
			open := s.moves(nil, path)
			var others []reassignment
			s.reassignments(path, func(m reassignment) { others = append(others, m) })
			if len(open)+len(others) == 0 {
				break
			}
			var m any
			estimate := int32(0)
			if k := rng.IntN(len(open) + len(others)); k < len(open) {
				m, estimate = open[k], s.estimate(open[k])
				s.apply(open[k])
			} else {
				other := others[k-len(open)]
				m, estimate = other, other.estimate
				s.reassign(other)
				handed++
			}
			made++
			fresh.load(s.list, s.whoNow())
			if diff := cmp.Diff(fresh.head, s.head); diff != "" {
				t.Fatalf("heads after %+v: %s", m, diff)
			}
			if diff := cmp.Diff(fresh.tail, s.tail); diff != "" {
				t.Fatalf("tails after %+v: %s", m, diff)
			}
			if !slices.Equal(fresh.next, s.next) || !slices.Equal(fresh.prev, s.prev) {
				t.Fatalf("orders after %+v do not follow the list", m)
			}
			if estimate <= 0 {
				t.Fatalf("estimate %d of %+v", estimate, m)
			}
			s.best = math.MaxInt32
			s.note()
			s.bound = 0
			if err := Verify(p, s.result(p, net)); err != nil {
				t.Fatalf("after %+v: %v", m, err)
			}
		}
	})
	if made < 200 || handed < 50 {
		t.Errorf("only %d moves, %d of them to other people", made, handed)
	}
}

// TestEstimatesOfASwapAreNeverAboveTheMakespan rests on the known property that the
// longest way through two neighbours that change places is a lower bound of
// the new makespan, which is that way or one that avoids both.
func TestEstimatesOfASwapAreNeverAboveTheMakespan(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	p := jobShop(ft10)
	net := newNetwork(p)
	s := newTabuSearch(net, newProgress(net, math.MaxInt, 0), rng)
	s.sample(s.begin, &s.elite, false)
	s.allot()
	s.load(s.begin, s.hand)
	swaps, exact := 0, 0
	for range 2_000 {
		open := s.moves(nil, s.criticalPath(nil, s.makespan(), rng))
		m := open[rng.IntN(len(open))]
		swap := s.next[s.slot(m.u, m.resource)] == m.v
		estimate := s.estimate(m)
		s.apply(m)
		if !swap {
			continue
		}
		swaps++
		if estimate > s.makespan() {
			t.Fatalf("estimate %d of %+v, makespan %d", estimate, m, s.makespan())
		}
		if estimate == s.makespan() {
			exact++
		}
	}
	if swaps < 200 || exact < swaps/4 {
		t.Errorf("%d of %d swaps exact", exact, swaps)
	}
}

func TestMachineSchedulesAreRepeatable(t *testing.T) {
	p := jobShop(ft10)
	o := Options{Schedules: 5_000, Seed: 9}
	a, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if a.Schedules != o.Schedules {
		t.Errorf("%d schedules, want %d", a.Schedules, o.Schedules)
	}
	b, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Error(diff)
	}
}

func climber() *tabuSearch {
	net := newNetwork(jobShop(ft10))
	p := newProgress(net, math.MaxInt, 0)
	p.bound = 0
	s := newTabuSearch(net, p, rand.New(rand.NewPCG(1, 1)))
	s.sample(s.begin, &s.elite, false)
	s.allot()
	s.load(s.begin, s.hand)
	s.local.makespan = math.MaxInt32
	return s
}

func TestClimbingTakesNoMemory(t *testing.T) {
	s := climber()
	allocs := testing.AllocsPerRun(2_000, func() {
		s.moveOn()
		s.note()
	})
	if allocs != 0 {
		t.Errorf("%v allocations a schedule", allocs)
	}
}

// BenchmarkClimb is the speed of the tabu search on FT10: a schedule with the
// estimates of all moves before it.
func BenchmarkClimb(b *testing.B) {
	s := climber()
	b.ReportAllocs()
	for b.Loop() {
		s.moveOn()
		s.note()
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "schedules/s")
}

// A task that takes no time may fall into the middle of one that holds
// all of a resource: the bound must not set them one after the other.
func TestTheBoundLetsMomentsFallIntoOtherWork(t *testing.T) {
	p := Project{
		Durations:  []int{3, 0, 3, 6},
		Successors: [][]int{{1}, {2}, nil, nil},
		Demands:    [][]int{{0}, {1}, {0}, {1}},
		Capacities: []int{1},
	}
	got, err := Solve(context.Background(), p, Options{Schedules: 50})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, got); err != nil {
		t.Fatal(err)
	}
	if got.Makespan != 6 || got.LowerBound != 6 {
		t.Errorf("makespan %d, lower bound %d, want 6", got.Makespan, got.LowerBound)
	}
}
