package prep

import (
	"math"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// How foremen take vans without a plan.
func TestVansByTheRules(t *testing.T) {
	came := func(w VanJobs, days int) VanJobs { w.Van.Acquired = thursday.AddDays(-days); return w }
	p := modelOf(t, small("Pat"),
		came(longHours(wanted(t, "V1", 40, nil, "strip"), 8), 30),                                  // 5 an hour
		came(longHours(wanted(t, "V2", 30, nil, "strip"), 3), 10),                                  // 10 an hour
		came(promisedOn(longHours(wanted(t, "V3", 12, nil, "strip"), 2), thursday.AddDays(9)), 20), // 6 an hour
		came(promisedOn(longHours(wanted(t, "V4", 1, nil, "strip"), 1), thursday.AddDays(3)), 20),  // 1 an hour
	)
	for rule, want := range map[int][]string{
		0: {"V1", "V3", "V4", "V2"}, // as they came; of one day by number
		1: {"V2", "V3", "V1", "V4"},
		2: {"V4", "V3", "V2", "V1"},
		3: {"V4", "V3", "V1", "V2"}, // what is promised first, then as they came
	} {
		t.Run(Rules[rule], func(t *testing.T) {
			var got []string
			for _, w := range p.vansBy(p.ruleRank(rule)) {
				got = append(got, p.work[w].Van.StockID)
			}
			if !slices.Equal(got, want) {
				t.Errorf("got %v, want %v", got, want)
			}
			o := p.outlook()
			var turns []string // of the work: a van's is done before the next one's
			for _, i := range o.byRule(rule) {
				if id := p.work[o.vanOf(i)].Van.StockID; !slices.Contains(turns, id) {
					turns = append(turns, id)
				}
			}
			if !slices.Equal(turns, want) {
				t.Errorf("their work comes in the order %v, want %v", turns, want)
			}
		})
	}
}

// Pounds a day per hour left; a day of a promised van counts for five more the less time
// is to spare (after Vepsalainen and Morton, from memory). A strip of four hours takes
// twelve of the clock, half a day.
func TestHowUrgentAVanIs(t *testing.T) {
	p := modelOf(t, small("Pat"),
		wanted(t, "V1", 20, nil, "strip"),
		promisedOn(wanted(t, "V2", 20, nil, "strip"), thursday.AddDays(3)),  // to the end of that day: four, three and a half to spare
		promisedOn(wanted(t, "V3", 20, nil, "strip"), thursday.AddDays(-1)), // past: a whole 20 and 100
		promisedOn(wanted(t, "V4", 0, nil, "strip"), thursday.AddDays(-9)),  // worth nothing: late, of a penny
		wanted(t, "V5", 20, nil),                                            // nothing left to do counts as six minutes
	)
	for id, want := range map[string]float64{
		"V1": 2000.0 / 4,
		"V2": (2000 + 10_000*math.Exp(-3.5/4)) / 4,
		"V3": 12_000.0 / 4,
		"V4": 5.0 / 4,
		"V5": 2000 / 0.1,
	} {
		if got := -p.urgent(4)(vanAt(t, p, id)); math.Abs(got-want) > 1e-6*want {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}

// Pence a day times minutes: the engine's units. 20 pounds a day for two days of the
// clock, and five times as much for what is past the promised day.
func TestWhatAPlanCosts(t *testing.T) {
	p := modelOf(t, small("Pat"),
		wanted(t, "V1", 20, nil, "strip"),
		promisedOn(wanted(t, "V2", 10, nil, "strip"), thursday), // to the end of Thursday
	)
	at := make([]schedule.Assignment, len(p.tasks))
	finish := func(id string, minute int) {
		at[p.ready[vanAt(t, p, id)]] = schedule.Assignment{Worker: schedule.None, Start: minute, Finish: minute}
	}
	finish("V1", 2*day)
	finish("V2", day)
	if got, want := p.value(at), 2000*2*day+1000*day; got != want {
		t.Errorf("on the promised day: %d, want %d", got, want)
	}
	finish("V2", 3*day)
	if got, want := p.value(at), 2000*2*day+1000*3*day+5000*2*day; got != want {
		t.Errorf("two days late: %d, want %d", got, want)
	}
	finish("V1", -1)
	if got, want := p.value(at), 2000*p.days*day+1000*3*day+5000*2*day; got != want {
		t.Errorf("never ready counts as ready at the end: %d, want %d", got, want)
	}
}

// Hours of a year ahead: half a year, and twice the weeks that the scarcest skill needs.
func TestHowFarThePlanLooks(t *testing.T) {
	shop := small("Pat") // 40 hours a week of everything
	if got := horizonDays(nil, shop); got != 182 {
		t.Errorf("without work %d days, want half a year", got)
	}
	long := longHours(wanted(t, "V1", 20, nil, "strip"), 100) // two and a half weeks, three
	if got, want := horizonDays([]VanJobs{long, wanted(t, "V2", 5, nil, "tyre-replace")}, shop), 182+14*3; got != want {
		t.Errorf("with 100 hours %d days, want %d", got, want)
	}
	if got, want := horizonDays([]VanJobs{longHours(wanted(t, "V1", 20, nil, "strip"), 1e7)}, shop), 20*365; got != want {
		t.Errorf("with ten million hours %d days, want %d", got, want)
	}
	shop.Team[0].Skills = []string{"tyres"}
	if got := horizonDays([]VanJobs{long}, shop); got != 182 {
		t.Errorf("with nobody who can do it %d days, want half a year", got)
	}
}

// What was finished dries on from the end of its day, four in the afternoon.
func TestUntilWhenFinishedWorkDries(t *testing.T) {
	job := Job{State: data.JobDone, DoneOn: thursday.AddDays(-1), DryingHours: 48}
	tests := []struct {
		name   string
		change func(*Job)
		want   int
	}{
		{"done yesterday: to Friday at four", func(*Job) {}, day + 16*60},
		{"done today: to Saturday at four", func(j *Job) { j.DoneOn = thursday }, 2*day + 16*60},
		{"done on Monday: dry since Wednesday", func(j *Job) { j.DoneOn = thursday.AddDays(-3) }, 0},
		{"an hour and a half", func(j *Job) { j.DryingHours, j.DoneOn = 1.5, thursday }, 16*60 + 90},
		{"nothing to dry", func(j *Job) { j.DryingHours = 0 }, 0},
		{"nobody wrote when", func(j *Job) { j.DoneOn = 0 }, 0},
		{"not done", func(j *Job) { j.State = data.JobStarted }, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			j := job
			tt.change(&j)
			if got := dryUntil(j, thursday); got != tt.want {
				t.Errorf("got %d, want %d", got, tt.want)
			}
		})
	}
}

// The last minute of a day belongs to it.
func TestTheDayOfAMinute(t *testing.T) {
	for minute, want := range map[int]data.Date{0: thursday, 1: thursday, day: thursday, day + 1: thursday.AddDays(1), 2 * day: thursday.AddDays(1)} {
		if got := dayOf(minute, thursday); got != want {
			t.Errorf("minute %d: %v, want %v", minute, got, want)
		}
	}
}

// What is worth waiting behind a job: its own van and those that come after on the same
// person, each once.
func TestWhatWaitsBehindAJob(t *testing.T) {
	p := modelOf(t, small("Pat", "Sam"),
		wanted(t, "V1", 10, nil, "strip", "gas-test"), wanted(t, "V2", 20, nil, "strip"), promisedOn(wanted(t, "V3", 1, nil, "strip"), thursday))
	plan := schedule.Plan{Assignments: make([]schedule.Assignment, len(p.tasks))}
	for i := range plan.Assignments {
		plan.Assignments[i] = schedule.Assignment{Worker: schedule.None, Start: 3000, Finish: 3000}
	}
	put := func(id, job string, worker, start int) int {
		i := taskAt(t, p, id, job)
		plan.Assignments[i] = schedule.Assignment{Worker: worker, Start: start, Finish: start + 60}
		return i
	}
	first, second, last := put("V1", "strip", 0, 0), put("V2", "strip", 0, 100), put("V1", "gas-test", 0, 200)
	other := put("V3", "strip", 1, 50)
	got := p.behind(plan)
	// V3 is worth a pound a day, and five more past its promised day.
	for task, want := range map[int]float64{first: 3000, second: 3000, last: 1000, other: 600} {
		if got[task] != want {
			t.Errorf("behind %s: %v, want %v", p.problem.Tasks[task].Name, got[task], want)
		}
	}
	if got[p.ready[0]] != 0 {
		t.Errorf("behind being ready: %v, want nothing", got[p.ready[0]])
	}
}

// What may be eased, the most promising first: hours to the least that they may be, and
// waits for parts, of which a fifth counts, and a quarter of that where the work begins
// more than a day after its parts are in.
func TestWhatMayBeEased(t *testing.T) {
	hours := lasting(wanted(t, "V1", 10, nil, "strip"), Estimate{2, 4, 6}, "4")
	sure := wanted(t, "V2", 10, nil, "strip")
	tyre := wanted(t, "V3", 20, nil, "tyre-replace")
	p := modelOf(t, small("Pat", "Sam", "Kim"), hours, sure, tyre)
	h, s, w := taskAt(t, p, "V1", "strip"), taskAt(t, p, "V2", "strip"), taskAt(t, p, "V3", "tyre-replace")
	plan := schedule.Plan{Assignments: make([]schedule.Assignment, len(p.tasks))}
	for i := range plan.Assignments {
		plan.Assignments[i].Worker = schedule.None
	}
	place := func(start int) {
		plan.Assignments[h] = schedule.Assignment{Worker: 0, Start: 0, Finish: 240}
		plan.Assignments[s] = schedule.Assignment{Worker: 1, Start: 0, Finish: 240}
		plan.Assignments[w] = schedule.Assignment{Worker: 2, Start: start, Finish: start + 30}
	}
	for _, tt := range []struct {
		name  string
		start int
		want  []relief
	}{
		{"the tyre waits a week: 2,016 of its minutes for a van at 20", 7*day + 480, []relief{{w, 99, 1, 7 * day / 5.0 * 2000}, {h, h, 120, 120 * 1000}}},
		{"begun a day after it came: it still counts in full", 8 * day, []relief{{w, 99, 1, 7 * day / 5.0 * 2000}, {h, h, 120, 120 * 1000}}},
		{"begun later: a quarter", 8*day + 1, []relief{{w, 99, 1, 7 * day / 5.0 * 2000 / 4}, {h, h, 120, 120 * 1000}}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			place(tt.start)
			if got := p.reliefs(plan, map[int]int{w: 99}); !slices.Equal(got, tt.want) {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
		})
	}

	// Drying until the second day is no wait for parts: five days of it count.
	p.tasks[w].dryAt = 2 * day
	place(7*day + 480)
	if got, want := p.reliefs(plan, map[int]int{w: 99})[0].promise, 5*day/5.0*2000; got != want {
		t.Errorf("dry after two days: %v, want %v", got, want)
	}
	p.tasks[w].dryAt = 0

	// A wait is a task of its own only where parts come after what dries, and the job is in the plan.
	problem, with, wait := p.withWaits(plan)
	if len(wait) != 1 || wait[w] != len(p.tasks) || problem.Tasks[wait[w]].Duration != 7*day || len(with.Assignments) != len(p.tasks)+1 || problem.Tasks[w].Release != 0 {
		t.Errorf("waits %v, %+v", wait, problem.Tasks[len(p.tasks):])
	}
	p.tasks[w].dryAt = 7 * day
	if _, _, wait := p.withWaits(plan); len(wait) != 0 {
		t.Errorf("what dries as long as its parts take waits for no part: %v", wait)
	}
}

// The first day on which work that lacks a part would begin is the one for which it is
// wanted, whichever van is first.
func TestWhenAPartIsWantedFirst(t *testing.T) {
	p := modelOf(t, small("Pat", "Sam"), wanted(t, "V1", 10, nil, "tyre-replace"), wanted(t, "V2", 20, nil, "tyre-replace"), wanted(t, "V3", 30, nil, "tyre-replace"))
	for _, starts := range [][3]int{{9, 8, 10}, {8, 9, 10}, {10, 9, 8}} {
		plan := schedule.Plan{Assignments: make([]schedule.Assignment, len(p.tasks))}
		for k, id := range []string{"V1", "V2", "V3"} {
			plan.Assignments[taskAt(t, p, id, "tyre-replace")] = schedule.Assignment{Start: starts[k]*day + 480, Finish: starts[k]*day + 510}
		}
		if got := p.firstUse(plan)["tyre"]; got != thursday.AddDays(8) {
			t.Errorf("begun on the days %v: wanted for %v, not the eighth", starts, got)
		}
	}
}

// A visit's hours are its blocks', and bringing the van in is in none.
func TestHoursOfABlock(t *testing.T) {
	plan := planWith(t, real(), []VanJobs{longHours(wanted(t, "V1", 10, nil, "strip"), 4)}, small("Pat"))
	sum := decimal.Zero
	for _, b := range plan.Blocks {
		if want := decimal.NewFromFloat(b.Finish.Sub(b.Start).Hours()); !b.Hours.Equal(want) {
			t.Errorf("from %v to %v are %s h, want %s", b.Start, b.Finish, b.Hours, want)
		}
		sum = sum.Add(b.Hours)
	}
	if !sum.Equal(decimal.NewFromInt(4)) {
		t.Errorf("%s hours in all, want 4", sum)
	}
}
