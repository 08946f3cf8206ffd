package prep

import (
	"math"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// manyFutures draws so many futures that a share of them is right to two hundredths or
// so: its standard error is at most 0.5 / √4,000 = 0.008.
func manyFutures(o *outlook) []schedule.Problem {
	hours := o.likelyMinutes()
	var out []schedule.Problem
	for k := range 4_000 {
		out = append(out, o.draw(uint64(k), hours))
	}
	return out
}

func shareOf(all []schedule.Problem, is func(schedule.Problem) bool) float64 {
	n := 0
	for _, f := range all {
		if is(f) {
			n++
		}
	}
	return float64(n) / float64(len(all))
}

// An order is late one time in four, by one to seven days, each as likely.
func TestOrdersThatComeLate(t *testing.T) {
	p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "tyre-replace"), wanted(t, "V2", 10, nil, "strip"))
	tyre, strip := taskAt(t, p, "V1", "tyre-replace"), taskAt(t, p, "V2", "strip")
	futures := manyFutures(p.outlook())
	for late := range 10 {
		want := 0.25 / 7
		switch {
		case late == 0:
			want = 0.75
		case late > 7:
			want = 0
		}
		got := shareOf(futures, func(f schedule.Problem) bool { return f.Tasks[tyre].Release == (7+late)*day })
		if math.Abs(got-want) > 0.03 || want == 0 && got > 0 || late > 0 && math.Abs(got-want) > 0.015 {
			t.Errorf("%d days late: %.3f, want %.3f", late, got, want)
		}
	}
	if got := shareOf(futures, func(f schedule.Problem) bool { return f.Tasks[strip].Release == 0 }); got != 1 {
		t.Errorf("work without parts waits for them in %.3f", 1-got)
	}
}

// Hours fall as the estimate says, each of the 24 strata as often. Of one skill on one van
// they run long together: z values correlate by betweenHours, which ranks show as
// 6/π·asin(ρ/2) (K. Pearson, from memory); on two vans they do not.
func TestHoursOfAFuture(t *testing.T) {
	wide := func(w VanJobs) VanJobs {
		for i := range w.Jobs {
			w.Jobs[i].Book, w.Jobs[i].HoursLeft = Estimate{2, 9, 40}, decimal.NewFromInt(9)
		}
		return w
	}
	p := modelOf(t, small("Pat"), wide(wanted(t, "V1", 10, nil, "strip", "dry", "electrical-test")), wide(wanted(t, "V2", 10, nil, "strip")))
	a, b := taskAt(t, p, "V1", "strip"), taskAt(t, p, "V1", "dry")
	other, far := taskAt(t, p, "V1", "electrical-test"), taskAt(t, p, "V2", "strip")
	hours, futures := p.likelyMinutes(), manyFutures(p.outlook())
	rank := func(f schedule.Problem, i int) float64 { return float64(slices.Index(hours[i], f.Tasks[i].Duration)) }
	if !slices.IsSorted(hours[a]) || len(slices.Compact(slices.Clone(hours[a]))) != strata {
		t.Fatalf("the strata are not apart: %v", hours[a])
	}
	for k := range strata {
		got := shareOf(futures, func(f schedule.Problem) bool { return rank(f, a) == float64(k) })
		if math.Abs(got-1.0/strata) > 0.013 {
			t.Errorf("stratum %d: %.3f, want %.3f", k, got, 1.0/strata)
		}
	}
	ranks := func(i int) []float64 {
		var out []float64
		for _, f := range futures {
			out = append(out, rank(f, i))
		}
		return out
	}
	for _, tt := range []struct {
		name string
		i, j int
		want float64
	}{
		{"one skill on one van", a, b, 6 / math.Pi * math.Asin(betweenHours/2)},
		{"two skills on one van", a, other, 0},
		{"one skill on two vans", a, far, 0},
	} {
		if got := correlation(ranks(tt.i), ranks(tt.j)); math.Abs(got-tt.want) > 0.05 {
			t.Errorf("%s: hours correlate by %.3f, want %.3f", tt.name, got, tt.want)
		}
	}
}

func correlation(x, y []float64) float64 {
	n := float64(len(x))
	var sx, sy, sxx, syy, sxy float64
	for i := range x {
		sx, sy, sxx, syy, sxy = sx+x[i], sy+y[i], sxx+x[i]*x[i], syy+y[i]*y[i], sxy+x[i]*y[i]
	}
	return (sxy - sx*sy/n) / math.Sqrt((sxx-sx*sx/n)*(syy-sy*sy/n))
}

// On three working days of a hundred somebody is away, the whole day, within ninety days;
// what lies further ahead stays.
func TestDaysOffSick(t *testing.T) {
	p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "strip"))
	hours := p.problem.Workers[0].Hours
	near, lost := 0, 0
	for _, v := range hours {
		if v.From < sickDays*day {
			near++
		}
	}
	if near == len(hours) {
		t.Fatal("the calendar ends within ninety days")
	}
	for _, f := range manyFutures(p.outlook()) {
		for _, v := range hours {
			if !slices.Contains(f.Workers[0].Hours, v) {
				lost++
				if v.From >= sickDays*day {
					t.Fatalf("a day off sick on day %d", v.From/day)
				}
			}
		}
	}
	if got := float64(lost) / float64(4_000*near); math.Abs(got-0.03) > 0.002 {
		t.Errorf("%.4f of the days are lost, want 0.03", got)
	}
}

// One future is the same whenever it is drawn, and no other is.
func TestAFutureHasItsNumber(t *testing.T) {
	o := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "tyre-replace"), wanted(t, "V2", 10, nil, "tyre-replace")).outlook()
	hours := o.likelyMinutes()
	days := func(number uint64) (n int) {
		for _, v := range o.draw(number, hours).Workers[0].Hours {
			n = n*31 + v.From/day
		}
		return n
	}
	for k := range uint64(50) {
		if days(k) != days(k) {
			t.Fatalf("future %d differs from itself", k)
		}
	}
	if days(1) == days(2) && days(2) == days(3) {
		t.Error("three futures are alike")
	}
}

// What is hidden shows when the first work is done: what has begun, else what waits least,
// else what is shortest; not what comes after other work, nor what nobody can do.
func TestWhatShowsHiddenWork(t *testing.T) {
	begun := []data.Progress{{Job: "electrical-test", State: data.JobStarted, Technician: "Pat"}}
	nobody := small("Pat")
	nobody.Team[0].Skills = []string{"tyres", "electrical"}
	for _, tt := range []struct {
		name string
		shop Workshop
		work VanJobs
		want string
	}{
		{"what has begun, though it is longer", small("Pat"), wanted(t, "V1", 10, begun, "gas-hose", "electrical-test"), "electrical-test"},
		{"what waits least, though it is longer", small("Pat"), wanted(t, "V1", 10, nil, "tyre-replace", "strip"), "strip"},
		{"the shortest of what can begin", small("Pat"), wanted(t, "V1", 10, nil, "strip", "electrical-test"), "electrical-test"},
		{"of a chain its first, though it is longer", small("Pat"), wanted(t, "V1", 10, nil, "strip", "dry"), "strip"},
		{"what somebody can do, though it waits", nobody, wanted(t, "V1", 10, nil, "tyre-replace", "strip"), "tyre-replace"},
		{"nothing to do shows nothing", small("Pat"), wanted(t, "V1", 10, nil), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := modelOf(t, tt.shop, wanted(t, "V0", 20, nil, "tyre-replace"), tt.work, wanted(t, "V2", 5, nil, "gas-hose"))
			got := p.firstTask(vanAt(t, p, "V1"))
			switch {
			case tt.want == "" && got != schedule.None, tt.want != "" && got != taskAt(t, p, "V1", tt.want):
				t.Errorf("got task %d", got)
			}
			if got := p.firstTask(0); got != 0 { // of the first van the very first task
				t.Errorf("of the first van: task %d, want 0", got)
			}
		})
	}
}

// Hidden work has room behind the vans' tasks, three jobs a van at most, and belongs to
// its van.
func TestRoomForHiddenWork(t *testing.T) {
	dry := wanted(t, "V2", 10, nil, "strip")
	damp := wanted(t, "V1", 20, nil, "strip")
	for _, job := range []string{"gas-hose", "rcd", "tyre-replace", "reseal"} {
		damp.Untested = append(damp.Untested, appraise.Untested{Checkpoint: job, System: job, Chance: 0.5, Job: job})
	}
	p := modelOf(t, small("Pat"), damp, dry)
	o := p.outlook()
	if got := len(o.problem.Tasks) - len(p.tasks); got != mostHidden {
		t.Fatalf("room for %d jobs, want %d", got, mostHidden)
	}
	for i := range o.problem.Tasks {
		want := 0
		if i < len(p.tasks) {
			want = p.tasks[i].van
		}
		if got := o.vanOf(i); got != want {
			t.Errorf("task %d is of van %d, want %d", i, got, want)
		}
	}
	// An order that keeps to a plan takes V2 first where it is to be ready first, and a
	// van that is not in the plan after all others, its hidden work with it.
	at := make([]schedule.Assignment, len(o.problem.Tasks))
	at[p.ready[0]], at[p.ready[1]] = schedule.Assignment{Start: 900, Finish: 900}, schedule.Assignment{Start: 300, Finish: 300}
	if got := o.vanOf(o.turns(at)[0]); got != 1 {
		t.Errorf("van %d comes first, want the one that is to be ready first", got)
	}
	at[p.ready[1]] = schedule.Assignment{Start: -1, Finish: -1}
	if got := o.vanOf(o.turns(at)[0]); got != 0 {
		t.Errorf("van %d comes first, want the one in the plan", got)
	}
}

// Bringing the van in is part of a job's time in every future, in whole quarters of an
// hour.
func TestHoursWithTheWayIntoTheBay(t *testing.T) {
	p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "strip", "gas-hose"))
	i := taskAt(t, p, "V1", "strip")
	p.tasks[i].bringIn = 15
	for _, m := range p.likelyMinutes()[i] {
		if m != 255 {
			t.Fatalf("%d minutes, want 240 and 15", m)
		}
	}
}

// How many futures: 15,000 tasks in all, but no fewer than 12 and no more than 40.
func TestHowManyFuturesAreDrawn(t *testing.T) {
	for tasks, want := range map[int]int{3: 40, 375: 40, 600: 25, 1250: 12, 5000: 12} {
		p := modelOf(t, small("Pat"), wanted(t, "V1", 10, nil, "strip"))
		for len(p.tasks) < tasks { // of vans without work
			p.tasks = append(p.tasks, jobTask{van: 1})
		}
		if got := len(p.outlook().futures); got != want {
			t.Errorf("%d tasks: %d futures, want %d", tasks, got, want)
		}
	}
}
