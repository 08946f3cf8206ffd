package schedule

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// drawProblem draws a problem in which anything may go wrong: skills that
// nobody has, places that do not exist, calendars that end too soon, pins.
func drawProblem(t *rapid.T) Problem {
	seed := rapid.Uint64().Draw(t, "seed")
	n := rapid.IntRange(0, 14).Draw(t, "tasks")
	rng := rand.New(rand.NewPCG(seed, 11))
	p, _ := smallProblem(rng, n)
	if rapid.Bool().Draw(t, "sites") {
		spread(rng, &p)
	}
	for w := range p.Workers {
		if rapid.IntRange(0, 3).Draw(t, "short calendar") == 0 {
			p.Workers[w].Hours = p.Workers[w].Hours[:rapid.IntRange(0, 6).Draw(t, "days")]
		}
	}
	for i := range p.Tasks {
		switch a := &p.Tasks[i]; rapid.IntRange(0, 12).Draw(t, "oddity") {
		case 0:
			a.Skill = 7 // nobody has it
		case 1:
			a.Uses = []Demand{{1, 3}}
		case 2, 3:
			a.Pinned, a.Worker = true, rapid.IntRange(None, len(p.Workers)-1).Draw(t, "pinned worker")
		}
	}
	return p
}

func TestEveryPlanVerifiesAndIsRepeatable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		o := Options{
			Objective: Objective(rapid.IntRange(0, 1).Draw(t, "objective")),
			Schedules: rapid.IntRange(1, 80).Draw(t, "schedules"),
			Seed:      rapid.Uint64().Draw(t, "search seed"),
		}
		plan, err := Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(p, plan); err != nil {
			t.Fatal(err)
		}
		if plan.Schedules > o.Schedules {
			t.Fatalf("%d schedules of %d", plan.Schedules, o.Schedules)
		}
		again, err := Solve(context.Background(), p, o)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(again, plan); diff != "" {
			t.Fatal(diff)
		}
	})
}

func TestATrailChangesNoPlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 17))
		p, _ := smallProblem(rng, rapid.IntRange(0, 40).Draw(t, "tasks"))
		if rapid.Bool().Draw(t, "sites") {
			spread(rng, &p)
		}
		objective := Objective(rapid.IntRange(0, 1).Draw(t, "objective"))
		limit := rapid.IntRange(1, 80).Draw(t, "schedules")
		seed := rapid.Uint64().Draw(t, "search seed")
		find := func(every int) Plan {
			s := newSearch(newDecoder(compile(p), objective), limit, seed, 0)
			if every > 0 {
				s.trail = trailOf(s.model, every)
			}
			for _, key := range s.rules() {
				s.startFrom(s.topological(key), nil)
			}
			s.run(context.Background())
			s.decode(s.best.order, s.best.force)
			return s.plan(s.lower, s.made)
		}
		if diff := cmp.Diff(find(0), find(rapid.IntRange(1, 6).Draw(t, "every"))); diff != "" {
			t.Fatalf("(-without +with a trail)\n%s", diff)
		}
	})
}

func TestNoUnplacedWorkHasRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		plan, err := Arrange(p, WeightedCompletion, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := Verify(p, plan); err != nil {
			t.Fatal(err)
		}
		for _, u := range plan.Unplaced {
			a := p.Tasks[u.Task]
			waits := slices.ContainsFunc(a.After, func(l Link) bool { return !plan.Assignments[l.Pred].Placed() })
			possible := false
			for w := range p.Workers {
				possible = possible || (slices.Contains(p.Workers[w].Skills, a.Skill) && len(p.Workers[w].Hours) > 20)
			}
			tooBig := slices.ContainsFunc(a.Uses, func(d Demand) bool { return d.Amount > p.Resources[d.Resource].Capacity })
			if !waits && possible && !tooBig && !a.Pinned {
				t.Fatalf("task %d could have been placed: %s", u.Task, u.Reason)
			}
		}
	})
}

func TestReplayWithTheSameDurationsIsNoLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, _ := smallProblem(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 5)), 9)
		plan, err := Solve(context.Background(), p, Options{Objective: WeightedCompletion, Schedules: 50})
		if err != nil {
			t.Fatal(err)
		}
		r, err := NewReplay(p, plan)
		if err != nil {
			t.Fatal(err)
		}
		durations := make([]int, len(p.Tasks))
		for i, a := range p.Tasks {
			durations[i] = a.Duration
		}
		got, err := r.Run(durations)
		if err != nil {
			t.Fatal(err)
		}
		for i, a := range got {
			if a.Finish > plan.Assignments[i].Finish {
				t.Fatalf("task %d finishes at %d, planned %d", i, a.Finish, plan.Assignments[i].Finish)
			}
		}
		for i := range durations {
			durations[i] = 2*durations[i] + 1
			p.Tasks[i].Duration *= 2
			if p.Tasks[i].Duration > 0 {
				p.Tasks[i].Duration++
			}
		}
		longer, err := r.Run(durations)
		if err != nil {
			t.Fatal(err)
		}
		again := Plan{Assignments: slices.Clone(longer), Objective: Makespan}
		for _, a := range again.Assignments {
			again.Value = max(again.Value, a.Finish)
			if !a.Placed() {
				t.Skip("the longer work does not fit into the hours")
			}
		}
		if err := Verify(p, again); err != nil {
			t.Fatal(err)
		}
	})
}

// TestVerifyFindsWhatIsWrong breaks one rule of a good plan at a time.
func TestVerifyFindsWhatIsWrong(t *testing.T) {
	p := Problem{
		Tasks: []Task{
			{Duration: 60, Skill: 0, Group: 0, Uses: []Demand{{0, 1}}},
			{Duration: 60, Skill: 1, Group: 0, After: []Link{{0, 30}}},
			{Duration: 60, Skill: 0, Group: None, Release: 700, Uses: []Demand{{0, 1}}},
			{Skill: None, Group: None, After: []Link{{1, 0}}, Weight: 3, Due: 600, LateWeight: 2},
		},
		Workers:   []Worker{{Skills: []int{0}, Hours: week(1)}, {Skills: []int{1, 0}, Hours: week(1)}},
		Resources: []Resource{{Capacity: 1}},
	}
	good, err := Arrange(p, WeightedCompletion, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, good); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		change func(*Plan)
	}{
		{"a lag is cut short", func(x *Plan) { x.Assignments[1].Start -= 10; x.Assignments[1].Finish -= 10 }},
		{"an unskilled worker", func(x *Plan) { x.Assignments[1].Worker = 0 }},
		{"nobody", func(x *Plan) { x.Assignments[0].Worker = None }},
		{"work before hours", func(x *Plan) { x.Assignments[0].Start -= 60; x.Assignments[0].Finish -= 60 }},
		{"too little work", func(x *Plan) { x.Assignments[0].Finish -= 10 }},
		{"before the release", func(x *Plan) { x.Assignments[2].Start = 640; x.Assignments[2].Finish = 700 }},
		{"one worker twice", func(x *Plan) { x.Assignments[1] = Assignment{1, 700, 760}; x.Assignments[2].Worker = 1 }},
		{"one place twice", func(x *Plan) {
			x.Assignments[0] = Assignment{1, 700, 760}
			x.Assignments[1] = Assignment{1, 800, 860}
			x.Assignments[3] = Assignment{None, 860, 860}
		}},
		{"wrong value", func(x *Plan) { x.Value++ }},
		{"bound above the value", func(x *Plan) { x.LowerBound = x.Value + 1 }},
		{"silently unplaced", func(x *Plan) { x.Assignments[2] = unplaced }},
		{"placed and unplaced", func(x *Plan) { x.Unplaced = []Unplaced{{2, "why"}} }},
		{"too few assignments", func(x *Plan) { x.Assignments = x.Assignments[:3] }},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := good
			bad.Assignments = slices.Clone(good.Assignments)
			c.change(&bad)
			if err := Verify(p, bad); !errors.Is(err, ErrPlan) {
				t.Errorf("error %v", err)
			}
		})
	}
}

func TestTheWayToAnotherSiteTakesTimeWithinAShift(t *testing.T) {
	const monday, tuesday = 9 * 60, 1440 + 9*60
	for _, c := range []struct {
		name          string
		first, second int // minutes of work
		leaves        int // site at which the first leaves the worker
		begin         int // of the second
	}{
		{"on the same day after the way", 60, 60, 0, monday + 60 + 45},
		{"over the break, which is no time for it", 3 * 60, 60, 0, monday + 3*60 + 30 + 45},
		{"the next day without", 8 * 60, 60, 0, tuesday},
		{"the next day without, where the day ends before the way does", 8*60 - 30, 60, 0, tuesday},
		{"none where the first took the worker there", 60, 60, 1, monday + 60},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Problem{
				Tasks: []Task{
					{Duration: c.first, Skill: 0, Group: None, Leaves: c.leaves},
					{Duration: c.second, Skill: 0, Group: None, Site: 1, Leaves: 1, After: []Link{{Pred: 0}}},
				},
				Workers:    []Worker{{Skills: []int{0}, Hours: Calendar{{monday, 12 * 60}, {12*60 + 30, 17*60 + 30}, {tuesday, tuesday + 8*60}}}},
				Travel:     [][]int{{0, 45}, {45, 0}},
				ShiftApart: 4 * 60,
			}
			plan, err := Solve(context.Background(), p, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if err := Verify(p, plan); err != nil || plan.Assignments[1].Start != c.begin {
				t.Errorf("the second begins at %d, want %d; error %v", plan.Assignments[1].Start, c.begin, err)
			}
			if sooner := plan.Assignments[1].Start - 15; c.leaves == 0 && c.begin < tuesday {
				plan.Assignments[1].Start, plan.Assignments[1].Finish = sooner, sooner+c.second
				if err := Verify(p, plan); !errors.Is(err, ErrPlan) {
					t.Errorf("a quarter of an hour too soon: error %v", err)
				}
			}
		})
	}
}

func TestTwoOfAGroupNeverOverlap(t *testing.T) {
	p := Problem{
		Tasks:   []Task{{Duration: 60, Skill: 0, Group: 4}, {Duration: 60, Skill: 1, Group: 4}},
		Workers: []Worker{{Skills: []int{0}, Hours: week(1)}, {Skills: []int{1}, Hours: week(1)}},
	}
	bad := Plan{Assignments: []Assignment{{0, 540, 600}, {1, 570, 630}}, Value: 630}
	if err := Verify(p, bad); !errors.Is(err, ErrPlan) {
		t.Errorf("error %v", err)
	}
	plan, err := Solve(context.Background(), p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := Verify(p, plan); err != nil || plan.Value != 660 {
		t.Errorf("value %d, error %v", plan.Value, err)
	}
}

// The stretches with a place free say what the profile says.
func TestOpenStretchesAnswerAsTheProfile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Resource{Capacity: rapid.IntRange(1, 3).Draw(t, "capacity")}
		for range rapid.IntRange(0, 2).Draw(t, "closings") {
			from := rapid.IntRange(0, 60).Draw(t, "closed from")
			r.Closed = append(r.Closed, Closure{Interval{from, from + rapid.IntRange(1, 20).Draw(t, "for")}, r.Capacity})
		}
		var b places
		b.restore(newProfile(r))
		for range rapid.IntRange(0, 30).Draw(t, "takes") {
			length := rapid.IntRange(1, 17).Draw(t, "length")
			at := rapid.IntRange(0, 80).Draw(t, "at")
			amount := rapid.IntRange(1, r.Capacity).Draw(t, "amount")
			want, ok := b.profile.from(at, length, amount)
			if got, found := b.from(at, length, amount); got != want && ok || found != ok {
				t.Fatalf("from(%d, %d, %d) = %d, %v; the profile says %d, %v: %v", at, length, amount, got, found, want, ok, b)
			}
			past, some := b.profile.clear(at, at+length, amount)
			got, found := b.clear(at, at+length, amount)
			if found && some && (past == at) != (got == at) || found && !ok || got < past && found {
				t.Fatalf("clear(%d, %d, %d) = %d, %v; the profile says %d, %v: %v", at, at+length, amount, got, found, past, some, b)
			}
			if found && got != at { // both go on to the same place
				a, _ := b.profile.from(past, length, amount)
				if c, _ := b.profile.from(got, length, amount); a != c {
					t.Fatalf("from %d on there is room at %d, from %d on at %d: %v", past, a, got, c, b)
				}
			}
			if ok {
				b.take(want, want+length, amount)
			}
		}
	})
}
