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
	v1, v2 := wide(wanted(t, "V1", 10, nil, "strip", "dry", "electrical-test")), wide(wanted(t, "V2", 10, nil, "strip"))
	for _, v := range []VanJobs{v1, v2} {
		for i := range v.Jobs {
			if v.Jobs[i].Skill == "damp" {
				v.Jobs[i].Skill = data.Skills[0] // the first there is, at the first site
			}
		}
	}
	p := modelOf(t, small("Pat"), v1, v2)
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
		if once, again := days(k), days(k); once != again {
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
		{"of two alike the first", small("Pat"), wanted(t, "V1", 10, nil, "rcd", "photographs"), "photographs"},
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

// What hidden work needs is the book's: its bay, with the way into it, the days until
// parts are in that are not on the shelf, and the time to dry.
func TestWhatHiddenWorkNeeds(t *testing.T) {
	v := wanted(t, "V1", 20, nil, "strip")
	for _, job := range []string{"reseal", "dry", "gas-hose", "transfer"} { // one sealant is there, five hoses, no bay for a drive
		v.Untested = append(v.Untested, appraise.Untested{Checkpoint: job, System: job, Chance: 0.3, Job: job})
	}
	in := planInput{
		work: []VanJobs{v}, shop: small("Pat"), books: books(t), policy: real(), asOf: thursday,
		known: map[Estimate][]float64{}, hiddenOf: map[string][]hiddenWork{},
	}
	in.stock = newStock(in.work, in.shop, in.books, thursday)
	p := in.buildProblem(nil)
	want := map[string]hiddenWork{
		"reseal":   {leadDays: 3, minutes: []int{2*60 + 15}},
		"dry":      {drying: 48 * 60, minutes: []int{60 + 15}},
		"gas-hose": {minutes: []int{45}}, // half an hour and a quarter
		"transfer": {minutes: []int{60}},
	}
	got := p.hiddenWork(0)
	if len(got) != len(want) {
		t.Fatalf("%d hidden jobs, want %d", len(got), len(want))
	}
	for _, h := range got {
		w := want[h.system]
		bay := h.system != "transfer"
		if h.leadDays != w.leadDays || h.drying != w.drying || h.minutes[0] != w.minutes[0] || h.minutes[strata-1] != w.minutes[0] || (len(h.uses) == 1) != bay {
			t.Errorf("%s: %+v, want %+v, in a bay %v", h.system, h, w, bay)
		}
	}
}

// A hidden job shows as often as its chance says; of one system two show together more
// often than by chance, of two systems not. It begins after the job that shows it and the
// wait for its parts, which come late one time in four, and the van dries after it.
func TestHiddenWorkOfAFuture(t *testing.T) {
	v := wanted(t, "V1", 20, nil, "strip")
	for job, system := range map[string]string{"reseal": "damp", "dry": "damp", "gas-hose": "gas"} {
		v.Untested = append(v.Untested, appraise.Untested{Checkpoint: job, System: system, Chance: 0.3, Job: job})
	}
	idle := wanted(t, "V2", 10, nil) // without a job that could show it
	idle.Untested = []appraise.Untested{{Checkpoint: "reseal", System: "damp", Chance: 0.3, Job: "reseal"}}
	p := modelOf(t, small("Pat"), v, idle)
	o := p.outlook()
	futures := manyFutures(o)
	damp, gas := p.floor.skill("damp", 0), p.floor.skill("gas", 0)
	// the work that shows, by its minutes: reseal 120, dry 60, hose 30
	find := func(f schedule.Problem, w, minutes, skill int) (schedule.Task, bool) {
		for k := range min(len(o.hidden[w]), mostHidden) {
			if task := f.Tasks[o.room[w]+k]; task.Duration == minutes && task.Skill == skill {
				return task, true
			}
		}
		return schedule.Task{}, false
	}
	has := func(minutes, skill int) func(schedule.Problem) bool {
		return func(f schedule.Problem) bool { _, ok := find(f, 0, minutes, skill); return ok }
	}
	reseal, dry, hose := has(120, damp), has(60, damp), has(30, gas)
	for name, shows := range map[string]func(schedule.Problem) bool{"reseal": reseal, "dry": dry, "hose": hose} {
		if got := shareOf(futures, shows); math.Abs(got-0.3) > 0.025 {
			t.Errorf("%s shows in %.3f of the futures, want 0.3", name, got)
		}
	}
	both := func(a, b func(schedule.Problem) bool) float64 {
		return shareOf(futures, func(f schedule.Problem) bool { return a(f) && b(f) })
	}
	// With a correlation of 0.1 of the normals behind them 0.3 and 0.3 come together in
	// 0.102 (the bivariate normal at −0.5244, from memory of its series: 0.09 + 0.1 φ²).
	if got, want := both(reseal, dry), 0.09+0.1*0.3477*0.3477; math.Abs(got-want) > 0.012 {
		t.Errorf("two of one system show together in %.4f, want %.4f", got, want)
	}
	if got := both(reseal, hose); math.Abs(got-0.09) > 0.012 {
		t.Errorf("two of two systems show together in %.4f, want 0.09", got)
	}
	lags := map[int]int{}
	for _, f := range futures {
		task, ok := find(f, 0, 120, damp)
		if !ok {
			continue
		}
		if len(task.After) != 1 || task.After[0].Pred != o.shows[0] {
			t.Fatalf("it follows %v, want the job that shows it", task.After)
		}
		lags[task.After[0].Lag/day]++
	}
	all := 0
	for lag, n := range lags {
		if all += n; lag < 3 || lag > 10 {
			t.Errorf("its parts take %d days, of 3 to 10", lag)
		}
	}
	if got := float64(lags[3]) / float64(all); math.Abs(got-0.75) > 0.04 {
		t.Errorf("its parts are in time in %.3f, want 0.75", got)
	}
	for _, f := range futures {
		lag := 0
		for _, link := range f.Tasks[o.ready[0]].After {
			lag = max(lag, link.Lag)
		}
		if want := map[bool]int{true: 48 * 60}[dry(f)]; lag != want {
			t.Fatalf("the van dries %d minutes after hidden work, want %d", lag, want)
		}
		if task, ok := find(f, 1, 120, damp); ok && (len(task.After) != 0 || task.Release < 3*day) {
			t.Fatalf("without a job to show it, it waits for %v from %d on; want its parts from now", task.After, task.Release)
		}
	}
}
