package prep

import (
	"math"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// modelOf is a workshop with its work as it is planned on Thursday, by the small book.
func modelOf(t testing.TB, shop Workshop, work ...VanJobs) *planModel {
	t.Helper()
	return modelOn(t, thursday, shop, work...)
}

func modelOn(t testing.TB, day data.Date, shop Workshop, work ...VanJobs) *planModel {
	t.Helper()
	in := planInput{
		work: slices.Clone(work), shop: shop, books: books(t), policy: quick(), asOf: day,
		known: map[Estimate][]float64{}, hiddenOf: map[string][]hiddenWork{},
	}
	in.stock = newStock(in.work, shop, in.books, day)
	slices.SortFunc(in.work, byNeed)
	return in.buildProblem(nil)
}

// vanAt is the place of a van in the model.
func vanAt(t testing.TB, p *planModel, id string) int {
	t.Helper()
	w := slices.IndexFunc(p.work, func(v VanJobs) bool { return v.Van.StockID == id })
	if w < 0 {
		t.Fatalf("no van %s", id)
	}
	return w
}

// taskAt is the task of a van's job in the model.
func taskAt(t testing.TB, p *planModel, id, job string) int {
	t.Helper()
	for i := range p.tasks {
		for _, j := range p.jobs(i) {
			if j.StockID == id && j.Code == job {
				return i
			}
		}
	}
	t.Fatalf("no job %s of %s", job, id)
	return 0
}

func promisedOn(w VanJobs, on data.Date) VanJobs { w.Van.PromisedOn = on; return w }

const day = minutesPerDay

// A van that nobody else is in the way of: its longest wait for parts, then its work at
// eight hours a day, so that an hour of work is three of the clock.
func TestAVanAloneInTheWorkshop(t *testing.T) {
	p := modelOf(t, small("Pat"),
		wanted(t, "V1", 30, nil, "strip"),
		wanted(t, "V2", 20, nil, "strip", "reseal"),
		wanted(t, "V3", 10, nil, "tyre-replace", "reseal", "gas-test"))
	for id, want := range map[string]int{
		"V1": 4 * 60 * 3,                 // four hours of work
		"V2": 3*day + (4+2)*60*3,         // sealant in three days, then six hours
		"V3": 7*day + (0.5+2+1.5)*60*3.0, // a tyre in seven, which the sealant's three are within
	} {
		if got := p.alone(vanAt(t, p, id)); got != want {
			t.Errorf("%s: %d minutes, want %d", id, got, want)
		}
	}
}

// Vans that come in go before one that is worth less a day for its hours, and behind all
// that are promised.
func TestWhomNewcomersGoBefore(t *testing.T) {
	begun := wanted(t, "V5", 20, nil, "strip")
	begun.Jobs[0].HoursLeft = decimal.NewFromInt(1)
	late := promisedOn(wanted(t, "V6", 1, nil, "strip"), thursday.AddDays(20))
	p := modelOf(t, small("Pat"),
		wanted(t, "V1", 60, nil, "strip"), wanted(t, "V2", 50, nil, "strip"), wanted(t, "V3", 20, nil, "strip"), wanted(t, "V4", 20, nil, "strip"), begun, late)
	o := p.outlook()
	n := o.newcomers(o.byRule(pounds))
	const hours = 4.0
	for _, tt := range []struct {
		name  string
		worth float64 // a day per hour
		want  int     // vans in hand before it
	}{
		{"the best of all waits for what is promised", 100, 1},
		{"promised as well", math.Inf(1), 1},
		{"worth as much as the first", 60 / hours, 3}, // V1, V5 for the hour that is left, V6
		{"between the first two", 55 / hours, 3},
		{"worth as much as the second", 50 / hours, 4},
		{"worth less than any", 1, 6},
	} {
		if got := n.ahead(tt.worth); got != tt.want {
			t.Errorf("%s: behind %d vans, want %d", tt.name, got, tt.want)
		}
	}
}

// Newcomers come as often as of late, each with all the work of one in hand, what is done
// of it already too, and their parts take as long as the book says.
func TestVansThatComeInLater(t *testing.T) {
	shop := small("Pat")
	shop.Arrivals = 0.5
	van := wanted(t, "V1", 30, nil, "strip", "reseal")
	done := &van.Jobs[slices.IndexFunc(van.Jobs, func(j Job) bool { return j.Code == "strip" })]
	done.State, done.HoursLeft = data.JobDone, decimal.Zero
	dropped := *done
	dropped.Code, dropped.State = "gas-test", data.JobDropped
	van.Jobs = append(van.Jobs, dropped)
	var work []VanJobs
	for range 40 {
		other := van
		other.Van.StockID = "V" + string(rune('A'+len(work)/10)) + string(rune('0'+len(work)%10))
		other.Jobs = slices.Clone(van.Jobs)
		for i := range other.Jobs {
			other.Jobs[i].StockID = other.Van.StockID
		}
		work = append(work, other)
	}
	o := modelOf(t, shop, work...).outlook()
	n := o.newcomers(o.byRule(pounds))
	came, futures := 0, 20
	for k := range futures {
		future, key := n.draw(k)
		if len(key) != len(future.Tasks) {
			t.Fatalf("future %d: %d keys for %d tasks", k, len(key), len(future.Tasks))
		}
		added := future.Tasks[len(o.problem.Tasks):]
		if len(added)%2 != 0 {
			t.Fatalf("future %d: %d tasks, want two for each van: strip and reseal", k, len(added))
		}
		came += len(added) / 2
		for i := 0; i < len(added); i += 2 {
			first, second := added[i], added[i+1]
			if first.Group != second.Group || first.Group < len(work) {
				t.Errorf("future %d: groups %d and %d, want one of its own", k, first.Group, second.Group)
			}
			arrived := min(first.Release, second.Release)
			if wait := max(first.Release, second.Release) - arrived; wait != 3*day {
				t.Errorf("future %d: parts come after %d minutes, want three days", k, wait)
			}
			if arrived < day || arrived > (newcomerDays+1)*day {
				t.Errorf("future %d: it comes in at minute %d, want a later day", k, arrived)
			}
		}
		again, _ := n.draw(k)
		if !slices.EqualFunc(future.Tasks, again.Tasks, func(a, b schedule.Task) bool { return a.Release == b.Release && a.Name == b.Name }) {
			t.Errorf("future %d is not the same twice", k)
		}
	}
	// 180 days at one in two days: 90 in each future; the room of two tasks for each in
	// hand leaves 80 at most.
	if mean := float64(came) / float64(futures); mean < 35 || mean > 80 {
		t.Errorf("%v vans come in a future", mean)
	}
	n.shop.Arrivals = 0
	if future, _ := n.draw(0); len(future.Tasks) != len(o.problem.Tasks) {
		t.Errorf("%d vans come in where none did of late", len(future.Tasks)-len(o.problem.Tasks))
	}
}

// Ready four times in five: in how many futures.
func TestReadyInFourFuturesOfFive(t *testing.T) {
	tests := []struct {
		name    string
		minutes []int
		want    int // 0: unknown
	}{
		{"of five the fourth", []int{9, 1, 3, 2, 4}, 4},
		{"of five four are enough", []int{4, 1, 2, -1, 3}, 4},
		{"of five three are too few", []int{1, -1, 2, -1, 3}, 0},
		{"of twelve the tenth", []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, 10},
		{"of twelve nine are too few", []int{1, 2, 3, 4, 5, 6, 7, 8, 9, -1, -1, -1}, 0},
		{"no future tells nothing", nil, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got, ok := fourOfFive(tt.minutes); got != tt.want || ok != (tt.want > 0) {
				t.Errorf("got %d, %t, want %d", got, ok, tt.want)
			}
		})
	}
}

// What comes in later pushes back what it goes before, and nothing else; a promised van
// may wait until its day.
func TestNewcomersPushBackTheDayThatIsTold(t *testing.T) {
	plan := func(arrivals float64) map[string]data.Date {
		shop := small("Pat")
		shop.Arrivals = arrivals
		p := modelOf(t, shop,
			wanted(t, "V1", 90, nil, "strip"), wanted(t, "V2", 90, nil, "strip"), wanted(t, "V3", 90, nil, "strip"),
			wanted(t, "V4", 1, nil, "strip", "reseal"), promisedOn(wanted(t, "V5", 5, nil, "strip"), thursday.AddDays(30)))
		o := p.outlook()
		late, err := o.readyP80(t.Context(), o.byRule(pounds))
		if err != nil {
			t.Fatal(err)
		}
		told := map[string]data.Date{}
		for w, day := range late {
			told[p.work[w].Van.StockID] = day
		}
		return told
	}
	none, many := plan(0), plan(0.8)
	if none["V4"].IsZero() || !many["V4"].IsZero() && many["V4"] <= none["V4"] {
		t.Errorf("the van that is worth least is told %v, and %v where others come in", none["V4"], many["V4"])
	}
	if none["V1"] != many["V1"] {
		t.Errorf("the first van is told %v, and %v where others come in", none["V1"], many["V1"])
	}
	if want := thursday.AddDays(30); none["V5"] != want {
		t.Errorf("the promised van is told %v, want its day %v", none["V5"], want)
	}
}
