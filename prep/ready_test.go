package prep

import (
	"math"
	"slices"
	"testing"
	"time"

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

// Later vans go before one that is worth less a day for its hours: of those in hand the
// share that does, none where the van is promised.
func TestShareOfVansThatOvertake(t *testing.T) {
	begun := wanted(t, "V5", 20, nil, "strip")
	begun.Jobs[0].HoursLeft = decimal.NewFromInt(1)
	late := promisedOn(wanted(t, "V6", 1, nil, "strip"), thursday.AddDays(20))
	p := modelOf(t, small("Pat"),
		wanted(t, "V1", 60, nil, "strip"), wanted(t, "V2", 50, nil, "strip"), wanted(t, "V3", 20, nil, "strip"), wanted(t, "V4", 20, nil, "strip"), begun, late)
	for id, want := range map[string]float64{
		"V1": 0, "V2": 1.0 / 6, // of six, V1 alone is worth more
		"V3": 2.0 / 6, "V4": 2.0 / 6, // what is worth the same does not overtake
		"V5": 0, // 20 for the hour that is left is more than 60 for four
		"V6": 0,
	} {
		if got := p.overtaken(vanAt(t, p, id)); got != want {
			t.Errorf("%s: %v, want %v", id, got, want)
		}
	}
}

// Two vans, one with six hours of damp work and one with three of tyres, say what others
// bring: at one a day, seven a week, 7 × 6 / 2 = 21 hours of damp work and 10.5 of tyres.
func TestTimeThatLaterVansTake(t *testing.T) {
	week := func(hours float64) (h [7]float64) {
		h[time.Monday], h[time.Tuesday] = hours/2, hours/2
		return h
	}
	shop := small("any")
	shop.Team = []data.Technician{
		{Name: "Kim", Skills: []string{"damp"}, Hours: week(20)},
		{Name: "Lee", Skills: []string{"damp", "tyres"}, Hours: week(10)},
		{Name: "Pat", Skills: []string{"tyres"}, Hours: week(40)},
		{Name: "Sam", Skills: []string{"damp"}, Hours: week(40)},
	}
	shop.Arrivals = 1
	damp, tyres := longHours(wanted(t, "V1", 10, nil, "strip"), 6), longHours(wanted(t, "V2", 20, nil, "tyre-replace"), 3)
	for _, v := range []*VanJobs{&damp, &tyres} {
		v.Jobs[0].HoursP50 = v.Jobs[0].HoursLeft
	}
	dropped := tyres.Jobs[0] // what was dropped takes nobody's time
	dropped.Code, dropped.State, dropped.HoursP50, dropped.HoursLeft = "tyre-set", data.JobDropped, decimal.NewFromInt(100), decimal.Zero
	tyres.Jobs = append(tyres.Jobs, dropped)
	p := modelOf(t, shop, damp, tyres)
	busy := p.busyWithArrivals()
	// 70 hours a week of damp work: 0.3 of each of them; 50 of tyres: 0.21; Lee has both.
	for id, want := range map[string]float64{
		"V1": (0.3 + 0.3 + 0.51) / 3, // Kim, Sam, Lee
		"V2": (0.21 + 0.51) / 2,      // Pat, Lee
	} {
		if got := busy(vanAt(t, p, id)); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s waits for people of whom %v is taken, want %v", id, got, want)
		}
	}

	// Whoever has no hours takes none: where nobody has any, nothing is said to be taken.
	idle := shop
	idle.Team = []data.Technician{{Name: "Tom", Skills: []string{"gas"}}}
	p = modelOf(t, idle, wanted(t, "V1", 10, nil, "gas-test"))
	if got := p.busyWithArrivals()(0); got != 0 {
		t.Errorf("of nobody's time %v is taken", got)
	}

	// A van that needs both waits for those who have less time: for those of damp work.
	both := longHours(wanted(t, "V1", 10, nil, "strip", "tyre-replace"), 6)
	for i := range both.Jobs {
		both.Jobs[i].HoursP50 = decimal.NewFromInt([]int64{6, 3}[i])
	}
	p = modelOf(t, shop, both, wanted(t, "V2", 5, nil)) // of two vans one has the work of both above
	if got, want := p.busyWithArrivals()(vanAt(t, p, "V1")), (0.3+0.3+0.51)/3; math.Abs(got-want) > 1e-9 {
		t.Errorf("with work of both kinds %v, want %v", got, want)
	}
	if got := p.busyWithArrivals()(vanAt(t, p, "V2")); got != 0 {
		t.Errorf("without work %v, want 0", got)
	}
}

// Ready four times in five: in how many futures, and what vans that come in later add.
func TestReadyInFourFuturesOfFive(t *testing.T) {
	shop := small("Pat")
	shop.Arrivals = 0.25 // 1.75 vans a week, 4 hours each of Pat's 40: 0.175 of the time
	p := modelOf(t, shop, wanted(t, "V1", 30, nil, "strip"), wanted(t, "V2", 20, nil, "strip"))
	days := func(d ...int) (minutes []int) {
		for _, d := range d {
			minutes = append(minutes, d*day)
		}
		return minutes
	}
	tests := []struct {
		name    string
		futures int
		first   []int // of V1, which nothing overtakes
		want    data.Date
	}{
		{"of five the fourth", 5, days(9, 1, 3, 2, 4), thursday.AddDays(3)}, // the last minute of the fourth day is that day's
		{"of five four are enough", 5, days(4, 1, 2, 3), thursday.AddDays(3)},
		{"of five three are too few", 5, days(1, 2, 3), 0},
		{"of twelve the tenth", 12, days(1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12), thursday.AddDays(9)},
		{"of twelve nine are too few", 12, days(1, 2, 3, 4, 5, 6, 7, 8, 9), 0},
		{"no future tells nothing", 0, nil, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o := &outlook{planModel: p, futures: make([]schedule.Problem, tt.futures)}
			if got := o.readyP80(foreseen{finish: [][]int{tt.first, nil}}); got[0] != tt.want || !got[1].IsZero() {
				t.Errorf("got %v, want %v and an unknown day", got, tt.want)
			}
		})
	}

	// V2 alone takes 12 hours of the clock, so that of ten days nine and a half are the
	// queue. Of the vans that come, half overtake it and take half of what Pat has for
	// them, 0.0875: 9.5 / 0.9125 = 10.4 and 0.5, which is 10.9 days: the eleventh day.
	o := &outlook{planModel: p, futures: make([]schedule.Problem, 5)}
	if got := p.busyWithArrivals()(1); math.Abs(got-0.175) > 1e-9 {
		t.Fatalf("Pat gives later vans %v of the time, want 0.175", got)
	}
	if got, want := o.readyP80(foreseen{finish: [][]int{nil, days(10, 10, 10, 10, 10)}})[1], thursday.AddDays(10); got != want {
		t.Errorf("overtaken, it is ready by %v, want %v", got, want)
	}
	// Four times out of five is the most that others can take: with a crowd at the door
	// 9.5 / 0.2 = 47.5 and 0.5 are 48 days.
	crowd := *p
	crowd.shop.Arrivals = 100
	o.planModel = &crowd
	if got, want := o.readyP80(foreseen{finish: [][]int{nil, days(10, 10, 10, 10, 10)}})[1], thursday.AddDays(47); got < want.AddDays(-1) || got > want {
		t.Errorf("with a crowd at the door by %v, want %v", got, want)
	}
	// What is ready as soon as if it were alone has no queue for others to lengthen.
	if got := o.readyP80(foreseen{finish: [][]int{nil, {60, 60, 60, 60, 60}}})[1]; got != thursday {
		t.Errorf("without a queue ready by %v, want %v", got, thursday)
	}
}
