package prep

import (
	"context"
	"slices"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// real is the default policy with a short search: vans are brought in, people
// have a break.
func real() data.Policy {
	p := data.DefaultPolicy()
	p.PlanSchedules = 40
	return p
}

func planWith(t *testing.T, policy data.Policy, work []VanJobs, shop Workshop) Plan {
	t.Helper()
	plan, err := PlanWorkshop(context.Background(), work, shop, books(t), policy, thursday, nil)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// spans gives each block as V1 strip: 08:15-12:00 Pat, ramp 1.
func spans(plan Plan) []string {
	var out []string
	for _, b := range plan.Blocks {
		out = append(out, b.StockID+" "+b.Job+": "+b.Start.Format("15:04")+"-"+b.Finish.Format("15:04")+" "+b.Technician+", "+b.Bay)
	}
	return out
}

// atSites gives the workshop of small two sites: its bays and people are at
// Saltmere, and Thornholt has one person and the bays named.
func atSites(w Workshop, kinds ...string) Workshop {
	for i := range w.Bays {
		w.Bays[i].Site = "Saltmere"
	}
	for i := range w.Team {
		w.Team[i].Site = "Saltmere"
	}
	for _, kind := range kinds {
		w.Bays = append(w.Bays, data.Bay{Name: "far " + kind, Kind: kind, Count: 1, Site: "Thornholt"})
	}
	w.Team = append(w.Team, data.Technician{Name: "Tom", Skills: []string{"damp", "mechanical"}, Hours: w.Team[0].Hours, Site: "Thornholt"})
	return w
}

// longHours makes the first job so many hours long, to the minute.
func longHours(w VanJobs, hours float64) VanJobs {
	w.Jobs[0].Book, w.Jobs[0].HoursLeft = Estimate{hours, hours, hours}, decimal.NewFromFloat(hours)
	return w
}

func TestVansAreBroughtInAndPeopleHaveABreak(t *testing.T) {
	van := longHours(wanted(t, "V1", 10, nil, "strip"), 4)
	got := spans(planWith(t, real(), []VanJobs{van}, small("Pat")))
	want := []string{"V1 strip: 08:15-12:00 Pat, habitation 1", "V1 strip: 12:30-12:45 Pat, habitation 1"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

func TestTheBreakMakesALongDayEndLater(t *testing.T) {
	for _, c := range []struct {
		name  string
		hours float64
		pause int
		want  []string
	}{
		{"eight hours with half an hour", 8, 30, []string{"08:00-12:00", "12:30-16:30"}},
		{"six hours have none", 6, 30, []string{"08:00-14:00"}},
		{"twenty minutes take two quarters of an hour", 7, 20, []string{"08:00-12:00", "12:30-15:30"}},
		{"none is set", 8, 0, []string{"08:00-16:00"}},
		{"hours are whole quarters", 4.1, 30, []string{"08:00-12:00"}},
		{"a day of twenty-four hours ends at midnight", 24, 30, []string{"00:00-12:00", "12:30-00:00"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := small("Pat")
			w.Team[0].Hours[time.Thursday] = c.hours
			var got []string
			for _, v := range w.hours(w.Team[0], thursday, 1, c.pause) {
				at := func(minute int) string {
					return thursday.Time().Add(time.Duration(minute) * time.Minute).Format("15:04")
				}
				got = append(got, at(v.From)+"-"+at(v.To))
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func TestSmallJobsOfOnePersonShareAVisit(t *testing.T) {
	job := func(code, skill, bay string, hours float64, after ...string) Job {
		return Job{StockID: "V1", Code: code, Skill: skill, Bay: bay, State: data.JobOpen, HoursLeft: decimal.NewFromFloat(hours), After: after}
	}
	for _, c := range []struct {
		name string
		jobs []Job
		want [][]int
	}{
		{"two small ones", []Job{job("a", "gas", "ramp", 0.5), job("b", "gas", "ramp", 0.5)}, [][]int{{0, 1}}},
		{"in their order", []Job{job("a", "gas", "ramp", 0.5, "b"), job("b", "gas", "ramp", 0.5)}, [][]int{{1, 0}}},
		{"not in two bays", []Job{job("a", "gas", "ramp", 0.5), job("b", "gas", "valet", 0.5)}, [][]int{{0}, {1}}},
		{"not with two skills", []Job{job("a", "gas", "ramp", 0.5), job("b", "damp", "ramp", 0.5)}, [][]int{{0}, {1}}},
		{"not a long one", []Job{job("a", "gas", "ramp", 0.5), job("b", "gas", "ramp", 1.5)}, [][]int{{0}, {1}}},
		{"no more than four hours", []Job{
			job("a", "gas", "", 1), job("b", "gas", "", 1), job("c", "gas", "", 1), job("d", "gas", "", 1), job("e", "gas", "", 1),
		}, [][]int{{0, 1, 2, 3}, {4}}},
		{"not where other work comes between", []Job{
			job("a", "gas", "", 0.5), job("b", "damp", "", 0.5, "a"), job("c", "gas", "", 0.5, "b"),
		}, [][]int{{0}, {1}, {2}}},
		{"not where two visits would wait for each other", []Job{
			job("a", "gas", "", 0.5), job("b", "damp", "", 0.5, "a"), job("c", "damp", "", 0.5), job("d", "gas", "", 0.5, "c"),
		}, [][]int{{0}, {1, 2}, {3}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := (&planModel{}).visits(VanJobs{Van: data.Van{StockID: "V1"}, Jobs: c.jobs})
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func TestAVanIsWorkedOnAtItsOwnSite(t *testing.T) {
	at := func(site string, w VanJobs) VanJobs { w.Van.Site = site; return w }
	for _, c := range []struct {
		name string
		work VanJobs
		shop Workshop
		want []string
	}{
		{"where its site has bay and people", at("Thornholt", longHours(wanted(t, "V1", 10, nil, "strip"), 2)), atSites(small("Pat"), "habitation"),
			[]string{"V1 strip: 08:15-10:15 Tom, far habitation"}},
		{"driven where it lacks the bay", at("Thornholt", longHours(wanted(t, "V1", 10, nil, "strip"), 2)), atSites(small("Pat"), "ramp"),
			[]string{"V1 transfer: 08:00-09:00 Tom, ", "V1 strip: 09:15-11:15 Pat, habitation 1"}},
		{"a site that is not known is the one with most bays", at("Nowhere", longHours(wanted(t, "V1", 10, nil, "strip"), 2)), atSites(small("Pat"), "habitation"),
			[]string{"V1 strip: 08:15-10:15 Pat, habitation 1"}},
		{"a bay without a site serves every site", at("Thornholt", longHours(wanted(t, "V1", 10, nil, "strip"), 2)), func() Workshop {
			w := atSites(small("Pat"), "ramp")
			for i := range w.Bays {
				if w.Bays[i].Kind == "habitation" {
					w.Bays[i].Site = ""
				}
			}
			return w
		}(), []string{"V1 strip: 08:15-10:15 Tom, habitation 1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.work.Jobs = c.shop.WithTransfer(c.work.Van, c.work.Jobs, books(t), real(), Calibration{})
			if diff := cmp.Diff(c.want, spans(planWith(t, real(), []VanJobs{c.work}, c.shop))); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

func TestWhatTheWorkshopLacksIsSaidWithTheVansItStops(t *testing.T) {
	shop := small("Pat")
	shop.Team[0].Skills = []string{"mechanical", "bodywork", "tyres"}
	work := []VanJobs{wanted(t, "V1", 10, nil, "gas-hose"), wanted(t, "V2", 10, nil, "gas-hose"), wanted(t, "V3", 10, nil, "tyre-replace")}
	plan := planWith(t, real(), work, shop)
	want := []Shortfall{{Lacks: "nobody here has the skill gas", StockIDs: []string{"V1", "V2"}}}
	if diff := cmp.Diff(want, plan.Shortfalls); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if text := want[0].String(); text != "nobody here has the skill gas: V1, V2" {
		t.Error(text)
	}
}

// The small book's tyre has a lead time of seven days and none on the shelf.
func TestPartsThatWereOrderedArePlannedWith(t *testing.T) {
	const tyre = "tyre"
	order := func(stockID string, due, arrived data.Date) data.Order {
		return data.Order{Part: tyre, StockID: stockID, Quantity: 1, OrderedOn: thursday.AddDays(-10), DueOn: due, ArrivedOn: arrived}
	}
	awaiting := data.Progress{Job: "tyre-replace", State: data.JobAwaitingParts}
	dated := awaiting
	dated.On = thursday.AddDays(-5)
	for _, c := range []struct {
		name     string
		progress []data.Progress
		orders   []data.Order
		start    string // of V1's tyre
		toOrder  int
	}{
		{"nothing was ordered", nil, nil, "Thu 26", 1},
		{"due on Monday", nil, []data.Order{order("V1", thursday.AddDays(4), 0)}, "Mon 23", 0},
		{"due on Monday, for stock", nil, []data.Order{order("", thursday.AddDays(4), 0)}, "Mon 23", 0},
		{"for another van", nil, []data.Order{order("V9", thursday.AddDays(4), 0)}, "Thu 26", 1},
		{"overdue: tomorrow at best", nil, []data.Order{order("V1", thursday.AddDays(-1), 0)}, "Fri 20", 0},
		{"without a due day: the book's days from the order", nil, []data.Order{order("V1", 0, 0)}, "Fri 20", 0},
		{"has arrived", nil, []data.Order{order("V1", thursday.AddDays(-1), thursday.AddDays(-1))}, "Thu 19", 0},
		{"has arrived in stock", nil, []data.Order{order("", thursday.AddDays(-1), thursday)}, "Thu 19", 0},
		{"arrives after the day is not there yet", nil, []data.Order{order("V1", thursday.AddDays(4), thursday.AddDays(1))}, "Mon 23", 0},
		{"said to await parts: they are on order", []data.Progress{awaiting}, nil, "Thu 26", 0},
		{"said so five days ago", []data.Progress{dated}, nil, "Mon 23", 0}, // seven days are to Saturday
		{"said so, and they have arrived", []data.Progress{dated}, []data.Order{order("V1", 0, thursday)}, "Thu 19", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			shop := small("Pat")
			shop.Orders = c.orders
			plan := planWith(t, real(), []VanJobs{wanted(t, "V1", 10, c.progress, "tyre-replace")}, shop)
			if got := plan.Blocks[0].Start.Format("Mon 2"); got != c.start {
				t.Errorf("begins on %s, want %s", got, c.start)
			}
			toOrder := 0
			for _, p := range plan.Parts {
				toOrder += p.ToOrder
			}
			if toOrder != c.toOrder {
				t.Errorf("%d to order, want %d", toOrder, c.toOrder)
			}
		})
	}
}

// Worked by hand: what was counted and came, less what was fitted, day by day and
// never below nothing. Common practice, no source.
func TestFittedPartsLeaveTheStock(t *testing.T) {
	day := func(n int) data.Date { return thursday.AddDays(n) }
	came := func(stockID string, qty int, on data.Date) data.Order {
		return data.Order{Part: "tyre", StockID: stockID, Quantity: qty, OrderedOn: day(-60), ArrivedOn: on}
	}
	fitted := func(stockID string, qty int, on data.Date) Fitted { return Fitted{stockID, "tyre", qty, on} }
	for _, c := range []struct {
		name    string
		counted int
		on      data.Date
		orders  []data.Order
		fitted  []Fitted
		want    int
	}{
		{"what was counted", 4, 0, nil, nil, 4},
		{"a job of a van that is gone", 4, 0, nil, []Fitted{fitted("G1", 3, day(-9))}, 1},
		{"a job without a day", 4, 0, nil, []Fitted{fitted("G1", 3, 0)}, 1},
		{"more than was there: somebody fetched it", 1, 0, nil, []Fitted{fitted("G1", 3, day(-9))}, 0},
		{"and what comes after it is there", 1, 0, []data.Order{came("", 2, day(-3))}, []Fitted{fitted("G1", 3, day(-9))}, 2},
		{"came on the day on which it was fitted", 0, 0, []data.Order{came("", 2, day(-9))}, []Fitted{fitted("G1", 2, day(-9))}, 0},
		{"came for the van", 4, 0, []data.Order{came("G1", 3, day(-10))}, []Fitted{fitted("G1", 3, day(-9))}, 4},
		{"came for the van, one too few", 4, 0, []data.Order{came("G1", 2, day(-10))}, []Fitted{fitted("G1", 3, day(-9))}, 3},
		{"counted after that", 4, day(-5), []data.Order{came("", 2, day(-8))}, []Fitted{fitted("G1", 3, day(-9)), fitted("G1", 1, 0)}, 4},
		{"counted on that day", 4, day(-9), []data.Order{came("", 2, day(-9))}, []Fitted{fitted("G1", 3, day(-9))}, 4},
		{"counted the day before", 4, day(-10), []data.Order{came("", 2, day(-9))}, []Fitted{fitted("G1", 3, day(-9))}, 3},
		{"comes tomorrow", 4, 0, []data.Order{came("", 2, day(1))}, nil, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := &data.Books{Parts: []data.Part{{Code: "tyre", InStock: c.counted, CountedOn: c.on}}}
			if got := newStock(nil, Workshop{Orders: c.orders, Fitted: c.fitted}, b, thursday).shelf["tyre"]; got != c.want {
				t.Errorf("%d in stock, want %d", got, c.want)
			}
		})
	}
	builtIn, err := data.Load(t.Context(), fstest.MapFS{"vans.csv": {Data: []byte("stock_id,maker,model,body,first_registered,mileage,status\n")}}, data.LoadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	hose, _ := builtIn.Books.Part("gas-hose-hp")
	for days, want := range map[int]int{-30: hose.InStock, -29: hose.InStock - 2} {
		shop := Workshop{Fitted: []Fitted{{"G1", hose.Code, 2, day(days)}}}
		if got := newStock(nil, shop, builtIn.Books, thursday).shelf[hose.Code]; got != want || hose.InStock < 2 {
			t.Errorf("built-in book, two fitted %d days ago: %d in stock, want %d", -days, got, want)
		}
	}
}

func TestFittedPartsAreToOrder(t *testing.T) {
	shop := small("Pat")
	shop.Orders = []data.Order{{Part: "tyre", Quantity: 1, OrderedOn: thursday.AddDays(-9), ArrivedOn: thursday.AddDays(-2)}}
	done := data.Progress{Job: "tyre-replace", State: data.JobDone, DoneOn: thursday.AddDays(-1), HoursSpent: data.Some(0.5)}
	work := []VanJobs{wanted(t, "V1", 10, []data.Progress{done}, "tyre-replace"), wanted(t, "V2", 10, nil, "tyre-replace")}
	plan := planWith(t, real(), work, shop)
	if len(plan.Parts) != 1 || !slices.Equal(plan.Parts[0].StockIDs, []string{"V2"}) || plan.Parts[0].InStock != 0 {
		t.Errorf("to order: %+v", plan.Parts)
	}
	shop.Orders[0].Quantity = 3 // one in V1, one for V2, one to spare
	if plan = planWith(t, real(), work, shop); len(plan.Parts) != 0 {
		t.Errorf("to order: %+v", plan.Parts)
	}
}
