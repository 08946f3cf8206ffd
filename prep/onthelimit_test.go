package prep

import (
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep/schedule"
)

// A defect that was added to a cost can be taken out again, where it is less likely than
// not; what is left is the cost as it was.
func TestADefectIsTakenOutAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		was := gammaMasses(rapid.Float64Range(20, 3000).Draw(t, "mean"), rapid.Float64Range(10, 400).Draw(t, "sd")).spread(100)
		chance := rapid.Float64Range(0.001, 0.45).Draw(t, "chance")
		pounds := rapid.Float64Range(1, 2500).Draw(t, "pounds")
		rest, ok := was.with(chance, pounds).without(chance, pounds)
		if !ok {
			t.Fatal("a defect that is less likely than not can't be taken out")
		}
		for _, at := range []float64{0.1, 0.5, 0.8, 0.95} {
			if got, want := rest.Quantile(at), was.Quantile(at); !near(got, want, 0.5) {
				t.Errorf("£%v with a chance of %v taken out: at %v £%v, want £%v", pounds, chance, at, got, want)
			}
		}
	})
	for _, pounds := range []float64{5, 10, 19, 20, 35} { // within the first cell of £20, and beside it
		was := masses{0.5, 0.3, 0.2}.spread(100)
		rest, ok := was.with(0.4, pounds).without(0.4, pounds)
		if !ok || !near(rest.Quantile(0.5), was.Quantile(0.5), 1e-6) || !near(rest.Quantile(0.9), was.Quantile(0.9), 1e-6) {
			t.Errorf("£%v taken out: %v, want %v", pounds, rest.below, was.below)
		}
	}
	sure := masses{0.5, 0.5}.spread(0)
	for chance, want := range map[float64]bool{0.499: true, 0.5: false, 0.6: false} {
		if _, ok := sure.without(chance, 40); ok != want {
			t.Errorf("a chance of %v can be taken out: %v, want %v", chance, ok, want)
		}
	}
	for _, chance := range []float64{0, -0.1} {
		if got := sure.with(chance, 40); !slices.Equal(got.below, sure.below) {
			t.Errorf("a defect with a chance of %v changes the cost to %v", chance, got.below)
		}
	}
	if got := sure.with(0.25, 40); len(got.below) != 4 {
		t.Errorf("a defect of two cells makes %d cells of two, want 4", len(got.below))
	}
	if got := (masses{0, 1}).spread(200).Quantile(0); got != 200 {
		t.Errorf("the least of a cost with an empty first cell: £%v, want the floor", got)
	}
	if got := (masses{0}).trim(); len(got) != 1 {
		t.Errorf("a cost without a cell: %v", got)
	}
}

// Two sealants at £10 and two hours at £30.
func TestAHiddenDefectBringsAllItsParts(t *testing.T) {
	if got := hiddenCost("reseal", data.PanelVan, books(t), 30); got != 80 {
		t.Errorf("£%v, want £80", got)
	}
}

// Two jobs tell how far apart jobs are; five move what is expected.
func TestHowManyJobsTeachSomething(t *testing.T) {
	double := math.Log(2)
	for n, want := range map[int]float64{1: 1.5, 4: 1.5, 5: math.Exp((10*math.Log(1.5) + 5*double) / 15)} {
		if got := factorOf("", "", slices.Repeat([]float64{double}, n), math.Log(1.5), 10).Factor; !near(got, want, 1e-12) {
			t.Errorf("%d jobs: %v, want %v", n, got, want)
		}
	}
	if got := factorOf("", "", []float64{1}, 0, 10).Spread; got != 0 {
		t.Errorf("one job is %v apart", got)
	}
	if got, want := factorOf("", "", []float64{0, 1}, 0, 10).Spread, math.Exp(math.Sqrt(0.5)); !near(got, want, 1e-12) {
		t.Errorf("two jobs are %v apart, want %v", got, want)
	}
	// A factor for all work needs two skills of five jobs each.
	kinds := func(a, b int) int {
		all := Calibrate(slices.Concat(took(a, "strip", "damp", 8), took(b, "rcd", "electrical", 2))).factors
		return len(slices.DeleteFunc(slices.Clone(all), func(f Factor) bool { return f.Skill != "" }))
	}
	for _, tt := range []struct{ a, b, want int }{{5, 5, 1}, {5, 4, 0}, {4, 5, 0}} {
		if got := kinds(tt.a, tt.b); got != tt.want {
			t.Errorf("%d and %d jobs: %d factors for all, want %d", tt.a, tt.b, got, tt.want)
		}
	}
}

// Work that only the workshop's list names, and that is done at places of which it says
// none, teaches nothing; work that is done once a van does. Hours of nothing are none.
func TestWhatAnUnaskedJobTeaches(t *testing.T) {
	done := func(job string, hours float64) data.Progress {
		return data.Progress{StockID: "V1", Job: job, State: data.JobDone, HoursSpent: data.Some(hours)}
	}
	for _, status := range []data.Status{data.Owned, data.Sold} {
		a := appraise.Assessment{Van: van(status)}
		got := NewRecord(books(t)).Finished(a, []data.Progress{done("rcd", 2), done("tyre-replace", 1), done("strip", 3), done("gas-test", 0), done("electrical-test", 4)})
		want := []Finished{{"electrical-test", "electrical", 2, 4}, {"rcd", "electrical", 1, 2}}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-want +got)\n%s", status, diff)
		}
	}
}

// What was paid for parts teaches where something was paid for parts that the book knows.
func TestPaymentsThatTeachNothing(t *testing.T) {
	yard := func(progress data.Progress, cost string) *data.Yard {
		y := &data.Yard{Books: books(t), Vans: []data.Van{{StockID: "V1"}}, Progress: map[string][]data.Progress{"V1": {progress}}}
		if cost != "" {
			y.Costs = map[string][]data.Cost{"V1": {{Kind: data.PartsCost, Amount: decimal.RequireFromString(cost)}}}
		}
		return y
	}
	job := func(code, paid string) data.Progress {
		p := data.Progress{Job: code, State: data.JobDone}
		if paid != "" {
			p.PartsSpent = data.Some(decimal.RequireFromString(paid))
		}
		return p
	}
	for _, tt := range []struct {
		name string
		yard *data.Yard
		want []Spent
	}{
		{"£15 for a hose of £12.50", yard(job("gas-hose", "15"), ""), []Spent{{"hose", 12.5, 15}}},
		{"nothing paid for a hose", yard(job("gas-hose", "0"), ""), nil},
		{"paid for a job without parts", yard(job("rcd", "15"), ""), nil},
		{"of the van, £15", yard(job("gas-hose", ""), "15"), []Spent{{"", 12.5, 15}}},
		{"of the van, nothing", yard(job("gas-hose", ""), "0"), nil},
		{"of the van, without parts in the book", yard(job("rcd", ""), "15"), nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, PartsSpent(tt.yard)); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// A price three times the book's, or a third of it, is still one; a part that came on the
// day on which it was ordered tells nothing of the wait.
func TestOrdersOnTheLimit(t *testing.T) {
	order := func(cost string, days int) []data.Order { // three times: fewer have no word
		on := data.NewDate(2026, 1, 5)
		return slices.Repeat([]data.Order{{Part: "sealant", Quantity: 1, UnitCost: data.Some(decimal.RequireFromString(cost)), OrderedOn: on, ArrivedOn: on.AddDays(days)}}, 3)
	}
	count := func(orders []data.Order, price bool) (n int) {
		for _, f := range LearnSupply(orders, nil, books(t)).Factors() {
			if f.Price == price && f.Part == "sealant" {
				n += f.Orders
			}
		}
		return n
	}
	for cost, want := range map[string]int{"30": 3, "30.01": 0, "3.34": 3, "3.33": 0} {
		if got := count(order(cost, 3), true); got != want {
			t.Errorf("£%s for a part of £10 counts %d times, want %d", cost, got, want)
		}
	}
	for days, want := range map[int]int{0: 0, 1: 3, 9: 3, 10: 0} { // of three in the book
		if got := count(order("10", days), false); got != want {
			t.Errorf("%d days count %d times, want %d", days, got, want)
		}
	}
}

// Of what is coming a van's own is taken before stock's, each until it is used up, and the
// last of it says when all is there.
func TestWhatIsComingIsTakenInTurn(t *testing.T) {
	s := &stock{coming: []coming{{vanPart{"", "hose"}, thursday.AddDays(2), 5}, {vanPart{"V1", "hose"}, thursday.AddDays(9), 2}}}
	for _, tt := range []struct {
		id   string
		ask  int
		got  int
		days int
	}{
		{"V1", 3, 3, 9}, // two of its own and one of stock's
		{"V1", 1, 1, 2}, // its own are gone: stock's, in two days
		{"V2", 9, 3, 2}, // three are left
		{"V2", 1, 0, -1},
	} {
		got, due := s.takeComing(tt.id, "hose", tt.ask)
		if got != tt.got || tt.days >= 0 && due != thursday.AddDays(tt.days) {
			t.Errorf("%s asks for %d: %d by %v, want %d in %d days", tt.id, tt.ask, got, due, tt.got, tt.days)
		}
	}
	s.arrived = map[vanPart]int{{"V1", "hose"}: 3}
	for k, want := range []int{2, 1, 0} { // of three two, then the last one, then none
		if got := s.takeArrived(vanPart{"V1", "hose"}, 2); got != want {
			t.Errorf("take %d of what came: %d, want %d", k, got, want)
		}
	}
	none := []Job{{StockID: "V1", Code: "x", State: data.JobDone, Parts: []data.PartUse{{Part: "hose"}, {Part: "tyre", Qty: 2}}}}
	if got := FittedParts(none); len(got) != 1 || got[0].Part != "tyre" {
		t.Errorf("fitted: %v, want two tyres", got)
	}
}

// A job that is told to begin before an order could be in has the part on the shelf: of
// three days, at the last minute of the second, and not on the third.
func TestWhoHasThePartOnTheShelf(t *testing.T) {
	first, second := oneSealant(wanted(t, "V1", 30, nil, "reseal")), oneSealant(wanted(t, "V2", 10, nil, "reseal"))
	books := books(t)
	work := []VanJobs{first, second}
	there := newStock(work, small("Pat"), books, thursday)
	for begin, has := range map[int]string{3*day - 1: "V2", 3 * day: "V1"} {
		s := shareStock(work, there, books, map[jobKey]int{{"V2", "reseal"}: begin}, thursday)
		for _, id := range []string{"V1", "V2"} {
			if waits := s.wait[jobKey{id, "reseal"}] > 0; waits == (id == has) {
				t.Errorf("V2 told to begin at minute %d: %s waits %v", begin, id, waits)
			}
		}
	}
	// What came for the van itself leaves the shelf to others.
	shop := small("Pat")
	shop.Orders = []data.Order{{Part: "sealant", StockID: "V2", Quantity: 1, OrderedOn: thursday.AddDays(-9), ArrivedOn: thursday.AddDays(-1)}}
	s := shareStock(work, newStock(work, shop, books, thursday), books, map[jobKey]int{{"V2", "reseal"}: 480}, thursday)
	if len(s.wait) != 0 {
		t.Errorf("waits: %v, want none", s.wait)
	}
	// Two are wanted, one came for it: it claims one from the shelf and no more.
	two := wanted(t, "V2", 10, nil, "reseal")
	work = []VanJobs{first, two}
	s = shareStock(work, newStock(work, shop, books, thursday), books, map[jobKey]int{{"V2", "reseal"}: 480}, thursday)
	if s.wait[jobKey{"V2", "reseal"}] != 0 || s.wait[jobKey{"V1", "reseal"}] != 3 {
		t.Errorf("waits: %v, want V1 to wait three days", s.wait)
	}
}

// A job claims of the shelf what it lacks and no more: of five hoses one, where it wants
// two and one came for it, which leaves four.
func TestAClaimLeavesTheRest(t *testing.T) {
	hoses := func(id string, worth int64, qty int) VanJobs {
		w := wanted(t, id, worth, nil, "gas-hose")
		for i := range w.Jobs {
			for k := range w.Jobs[i].Parts {
				w.Jobs[i].Parts[k].Qty = qty
			}
		}
		return w
	}
	books, shop := books(t), small("Pat")
	shop.Orders = []data.Order{{Part: "hose", StockID: "V2", Quantity: 1, OrderedOn: thursday.AddDays(-9), ArrivedOn: thursday.AddDays(-1)}}
	work := []VanJobs{hoses("V1", 30, 4), hoses("V2", 10, 2)}
	s := shareStock(work, newStock(work, shop, books, thursday), books, map[jobKey]int{{"V2", "gas-hose"}: 480}, thursday)
	if len(s.wait) != 0 {
		t.Errorf("waits: %v, want none", s.wait)
	}
	work = []VanJobs{hoses("V1", 30, 5), hoses("V2", 10, 2)}
	s = shareStock(work, newStock(work, shop, books, thursday), books, map[jobKey]int{{"V2", "gas-hose"}: 480}, thursday)
	if s.wait[jobKey{"V1", "gas-hose"}] != 3 || s.wait[jobKey{"V2", "gas-hose"}] != 0 {
		t.Errorf("waits: %v, want V1 to wait three days for its fifth", s.wait)
	}
}

// A job of which the book has no hours teaches nothing.
func TestAJobWithoutHoursInTheBook(t *testing.T) {
	books := orderBook(t, "none,None,gas,,0,0,0,0,,,,,van,,,\nsome,Some,gas,,2,2,2,0,,,,,van,,,\n")
	done := func(job string) data.Progress {
		return data.Progress{StockID: "V1", Job: job, State: data.JobDone, HoursSpent: data.Some(3.0)}
	}
	for _, status := range []data.Status{data.Owned, data.Sold} {
		got := NewRecord(books).Finished(appraise.Assessment{Van: van(status)}, []data.Progress{done("none"), done("some")})
		if want := []Finished{{"some", "gas", 2, 3}}; !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", status, got, want)
		}
	}
}

// A larger job that was done on the day on which the smaller was asked for covers it; one
// that was done the day before does not.
func TestWhatALargerJobCovers(t *testing.T) {
	asked := data.NewDate(2026, 3, 10)
	for days, want := range map[int][]string{0: {"tyre-set"}, -1: {"tyre-replace", "tyre-set"}} {
		a := appraise.Assessment{Van: van(data.Ready), Requests: []appraise.JobRequest{{Job: "tyre-replace", Place: "offside-rear", Units: 1, AskedOn: asked}}}
		jobs := Jobs(a, []data.Progress{{Job: "tyre-set", State: data.JobDone, DoneOn: asked.AddDays(days)}}, books(t), data.DefaultPolicy(), Calibration{})
		if got := codes(jobs); !slices.Equal(got, want) {
			t.Errorf("done %d days after it was asked for: %v, want %v", days, got, want)
		}
	}
}

// Work on the body or on damp walls makes a ready van dirty; gas work does not. A van
// that is not ready is valeted in any case.
func TestWhoIsValetedAgain(t *testing.T) {
	for _, tt := range []struct {
		name   string
		status data.Status
		job    string
		want   bool
	}{
		{"ready, with damp work", data.Ready, "strip", true},
		{"ready, with gas work", data.Ready, "gas-hose", false},
		{"ready, with nothing to do", data.Ready, "", false},
		{"owned, with nothing to do", data.Owned, "", true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := appraise.Assessment{Van: van(tt.status)}
			if tt.job != "" {
				a.Requests = []appraise.JobRequest{{Job: tt.job, Place: "roof", Units: 1}}
			}
			jobs := Jobs(a, nil, books(t), data.DefaultPolicy(), Calibration{})
			if got := slices.Contains(codes(jobs), "valet"); got != tt.want {
				t.Errorf("valeted: %v, want %v", got, tt.want)
			}
			for _, j := range jobs {
				if want := map[string][]string{"strip": {"roof"}}[j.Code]; !slices.Equal(j.Places, want) {
					t.Errorf("%s at %q, want %q", j.Code, j.Places, want)
				}
			}
		})
	}
}

// orderBook has jobs that touch and prove something.
func orderBook(t *testing.T, rows string) *data.Books {
	t.Helper()
	b, err := data.LoadBooks(fstest.MapFS{
		"labour.csv":      {Data: []byte("job,title,skill,bay,hours_low,hours_likely,hours_high,drying_hours,after,parts,gate,absorbs,per,caution,touches,proves\n" + rows)},
		"parts.csv":       {Data: []byte("part,title,unit_cost,in_stock,lead_days,supplier\nx,X,1,1,1,S\n")},
		"checkpoints.csv": {Data: []byte("checkpoint,title,zone,unit,worn_at,defect_at,unsafe_at,direction,job,source\nawning,Awning,outside,,,,,,,\"common practice, no source\"\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A job that the book puts after a test comes after the work that the test covers, though
// the van has no such test; work that touches no wall keeps out of the order from outside
// in.
func TestOrderThroughATestThatIsNotWanted(t *testing.T) {
	books := orderBook(t, `close,Close,bodywork,,1,1,1,0,look,,,,van,,,
dig,Dig,gas,,1,1,1,0,,,,,van,,gas,
look,Look,gas,,1,1,1,0,,,,,van,,,gas
tap,Tap,habitation,,1,1,1,0,,,,,van,,water,
trim,Trim,bodywork,,1,1,1,0,,,,,van,,interior,
`)
	jobs := []Job{{Code: "close"}, {Code: "dig"}, {Code: "tap"}, {Code: "trim"}}
	linkOrder(jobs, books)
	got := map[string][]string{}
	for _, j := range jobs {
		got[j.Code] = j.After
	}
	if diff := cmp.Diff(map[string][]string{"close": {"dig"}, "dig": nil, "tap": nil, "trim": nil}, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	with := append(jobs, Job{Code: "look"})
	slices.SortFunc(with, func(a, b Job) int { return strings.Compare(a.Code, b.Code) })
	linkOrder(with, books)
	if !precedes(with, "dig", "look") || !precedes(with, "look", "close") {
		t.Errorf("the test does not stand between: %+v", with)
	}

	// The longest test that proves gas and nothing else is asked for after gas work; of two
	// as long the first of the book, and a quick one where there is no other.
	for rows, want := range map[string]string{
		"a,A,gas,,1,2,2,0,,,,,van,,,gas\nb,B,gas,,1,2,2,0,,,,,van,,,gas\nc,C,gas,,9,9,9,0,,,,,van,,,gas;water\n": "a",
		"a,A,gas,,1,1,2,0,,,,,van,,,gas\nb,B,gas,,1,2,2,0,,,,,van,,,gas\n":                                       "b",
		"a,A,gas,,0.1,0.2,0.3,0,,,,,van,,,gas\n":                                                                 "a",
		"a,A,gas,,0.1,0.2,0.3,0,,,,,van,,,water\n":                                                               "",
	} {
		if got := testOf("gas", orderBook(t, rows)); got != want {
			t.Errorf("%q: %q, want %q", rows, got, want)
		}
	}
}

// A point whose look moves nothing is not worth a look.
func TestALookThatMovesNothing(t *testing.T) {
	untested := []appraise.Untested{{Checkpoint: "awning", System: "body", Chance: 0.3, Job: "strip"}}
	policy := data.DefaultPolicy()
	cost := CostOf(nil, untested, data.PanelVan, books(t), policy)
	if got := LookNext(cost, nil, untested, data.PanelVan, books(t), policy, 1); len(got) != 1 {
		t.Errorf("%d looks, want one", len(got))
	}
	if got := LookNext(cost, nil, untested, data.PanelVan, books(t), policy, 0); len(got) != 0 {
		t.Errorf("a bid that does not hang on preparation: %v", got)
	}
}

// Looking back on a van, a defect that a later reading found came to the job of its point
// and to no other.
func TestWhatALaterReadingFound(t *testing.T) {
	books := builtIn(t)
	v := van(data.Ready)
	v.Acquired, v.Equipment = data.NewDate(2026, 1, 5), slices.Clone(data.EquipmentWords)
	progress := []data.Progress{{Job: "photographs", State: data.JobDone}}
	found := data.Reading{Checkpoint: "awning", TakenOn: v.Acquired.AddDays(3), Verdict: data.Defect}
	point, ok := books.Checkpoint("awning")
	if !ok || point.Job == "" {
		t.Fatal("the book has no job for the awning")
	}
	came := 0
	for _, h := range HiddenJobs(v, []data.Reading{found}, nil, progress, books, data.DefaultPolicy()) {
		if h.Came {
			came++
			if h.code != point.Job {
				t.Errorf("%s came, and was not found", h.code)
			}
		}
	}
	if came != 1 {
		t.Errorf("%d jobs came, want the awning's", came)
	}
	if got := HiddenJobs(v, nil, nil, progress, books, data.DefaultPolicy()); slices.ContainsFunc(got, func(h HiddenJob) bool { return h.Came }) || len(got) < 10 {
		t.Errorf("of %d jobs some came though nothing was found", len(got))
	}
	if got := hiddenJobs([]appraise.Untested{{Job: "a", Chance: 0}, {Job: "b", Chance: 0.1}}, func(string) bool { return false }); len(got) != 1 {
		t.Errorf("a point without a chance may hide a job: %v", got)
	}
}

// What the engine makes of hours on the second day: the break is at that day's noon.
func TestTheBreakOfTheSecondDay(t *testing.T) {
	w := small("Pat")
	got := w.hours(w.Team[0], thursday, 2, 30)
	want := schedule.Calendar{{From: 480, To: 720}, {From: 750, To: 990}, {From: day + 480, To: day + 720}, {From: day + 750, To: day + 990}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// Work that waits and the van's own, over what the workshop has in a week, with bays of
// the kind only.
func TestWeeksOfABottleneck(t *testing.T) {
	shop := small("Pat") // two bays of each kind: 80 hours a week; Pat has 40 for everything
	for i := range shop.Bays {
		if shop.Bays[i].Kind == "habitation" {
			shop.Bays[i].Count = 1 // 40 hours a week
		}
	}
	l := NewLoad([]VanJobs{longHours(wanted(t, "V1", 10, nil, "strip"), 30)}, shop)
	for need, want := range map[Need]float64{{Bay: "habitation"}: 40, {Bay: "ramp"}: 80, {Skill: "damp"}: 40} {
		if got := l.weekly(need); got != want {
			t.Errorf("%s: %v hours a week, want %v", need, got, want)
		}
	}
	if got := l.waiting; len(got) != 2 || got[Need{Skill: "damp"}] != 30 || got[Need{Bay: "habitation"}] != 30 {
		t.Errorf("waiting: %v", got)
	}
	// Of two like it one needs 20 hours of gas work: 10 on average, less than the 30 that
	// wait for damp work; 100 would be 50.
	like := func(hours float64) []VanJobs {
		return []VanJobs{longHours(wanted(t, "V2", 10, nil, "gas-test"), hours), longHours(wanted(t, "V3", 10, nil, "strip"), 1)}
	}
	none := Job{Code: "drive", Skill: "mechanical", State: data.JobOpen, Book: Estimate{1, 1, 1}}
	if worst, ok := l.Bottleneck([]VanJobs{{Jobs: []Job{none}}}); !ok || worst != (Need{Skill: "mechanical"}) {
		t.Errorf("a job without a bay: %v", worst)
	}
	for hours, want := range map[float64]string{20: "bay habitation", 200: "bay habitation"} {
		if worst, _ := l.Bottleneck(like(hours)); worst.String() != want {
			t.Errorf("with %v hours: %s, want %s", hours, worst, want)
		}
	}
	for i := range shop.Bays {
		shop.Bays[i].Count = 9
	}
	l = NewLoad([]VanJobs{longHours(wanted(t, "V1", 10, nil, "strip"), 30)}, shop)
	for hours, want := range map[float64]string{20: "skill damp", 55: "skill damp", 80: "skill gas"} { // 10, 27.5 and 40 of gas beside 30.5
		if worst, _ := l.Bottleneck(like(hours)); worst.String() != want {
			t.Errorf("with %v hours: %s, want %s", hours, worst, want)
		}
	}
}
