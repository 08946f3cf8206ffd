package prep

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// thursday is a working day, and so is the day after; a bank holiday, Good
// Friday, is two weeks on.
var thursday = data.NewDate(2026, 3, 19)

func builtIn(t testing.TB) *data.Books {
	t.Helper()
	b, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// quick is the default policy with a short search.
func quick() data.Policy {
	p := data.DefaultPolicy()
	p.PlanSchedules = 40
	p.MoveMinutes, p.BreakMinutes = 0, 0 // tests of their own have them
	return p
}

// drawYard makes a small workshop and its vans, with wants and progress from
// the labour book.
func drawYard(t *rapid.T, books *data.Books, asOf data.Date) ([]VanJobs, Workshop) {
	yard := &data.Yard{Books: books}
	for i := range rapid.IntRange(1, 4).Draw(t, "people") {
		p := data.Technician{Name: fmt.Sprintf("P%d", i), Skills: rapid.SliceOfNDistinct(rapid.SampledFrom(data.Skills), 1, 9, rapid.ID).Draw(t, "skills")}
		for d := range p.Hours {
			p.Hours[d] = rapid.SampledFrom([]float64{0, 4, 7.5, 8, 8, 8}).Draw(t, "hours")
		}
		yard.Team = append(yard.Team, p)
	}
	for i, kind := range data.BayKinds {
		if n := rapid.IntRange(0, 2).Draw(t, kind); n > 0 {
			yard.Bays = append(yard.Bays, data.Bay{Name: fmt.Sprintf("B%d", i), Kind: kind, Count: n})
		}
	}
	for range rapid.IntRange(0, 3).Draw(t, "absences") {
		from := asOf.AddDays(rapid.IntRange(-1, 10).Draw(t, "away from"))
		yard.Absences = append(yard.Absences, data.Absence{
			Technician: rapid.SampledFrom([]string{"", "P0", "P1"}).Draw(t, "who is away"),
			From:       from, To: from.AddDays(rapid.IntRange(0, 5).Draw(t, "days away")),
		})
	}
	var work []VanJobs
	for i := range rapid.IntRange(1, 5).Draw(t, "vans") {
		work = append(work, drawVan(t, books, asOf, fmt.Sprintf("V%d", i)))
	}
	shop := NewWorkshop(yard, "england-wales")
	if rapid.Bool().Draw(t, "sites") {
		drawSites(t, work, &shop, books)
	}
	return work, shop
}

// drawSites parts a workshop over two sites. Some people and bays serve both.
func drawSites(t *rapid.T, work []VanJobs, shop *Workshop, books *data.Books) {
	site := func(what string) string {
		return rapid.SampledFrom([]string{"", "Saltmere", "Thornholt"}).Draw(t, "site of "+what)
	}
	for i := range shop.Team {
		shop.Team[i].Site = site(shop.Team[i].Name)
	}
	for i := range shop.Bays {
		shop.Bays[i].Site = site(shop.Bays[i].Name)
	}
	for i := range work {
		work[i].Van.Site = site(work[i].Van.StockID)
		work[i].Jobs = shop.WithTransfer(work[i].Van, work[i].Jobs, books, data.DefaultPolicy(), Calibration{})
	}
}

func drawVan(t *rapid.T, books *data.Books, asOf data.Date, id string) VanJobs {
	v := data.Van{StockID: id, Status: rapid.SampledFrom([]data.Status{data.Owned, data.Preparing}).Draw(t, "status"), Body: data.LowProfile}
	if rapid.IntRange(0, 3).Draw(t, "promised") == 0 {
		v.PromisedOn = asOf.AddDays(rapid.IntRange(-3, 20).Draw(t, "promised in"))
	}
	v.Acquired = asOf.AddDays(-rapid.IntRange(1, 50).Draw(t, "days held"))
	a := appraise.Assessment{Van: v}
	codes := rapid.SliceOfNDistinct(rapid.IntRange(0, len(books.Labour)-1), 0, 6, rapid.ID).Draw(t, "jobs")
	var progress []data.Progress
	for _, k := range codes {
		j := books.Labour[k]
		if j.Code == transferJob {
			continue // drawSites has it where it is needed
		}
		place := ""
		if j.Per == "position" || j.Per == "area" {
			place = rapid.SampledFrom([]string{"front", "nearside-rear"}).Draw(t, "place")
		}
		a.Requests = append(a.Requests, appraise.JobRequest{Job: j.Code, Place: place, Units: 1, Because: "drawn"})
		if rapid.IntRange(0, 2).Draw(t, "has progress") > 0 {
			continue
		}
		p := data.Progress{StockID: id, Job: j.Code, State: rapid.SampledFrom(data.JobStates).Draw(t, "state")}
		if p.State == data.JobStarted || p.State == data.JobDone {
			p.HoursSpent = data.Some(rapid.Float64Range(0, 5).Draw(t, "spent"))
			p.Technician = rapid.SampledFrom([]string{"", "P0", "P1", "gone"}).Draw(t, "by")
			p.DoneOn = asOf.AddDays(-rapid.IntRange(0, 3).Draw(t, "done days ago"))
		}
		progress = append(progress, p)
	}
	worth := decimal.NewFromInt(int64(rapid.IntRange(0, 90).Draw(t, "a day")))
	return VanJobs{Van: v, Jobs: Jobs(a, progress, books, data.DefaultPolicy(), Calibration{}), ValuePerDay: worth}
}

func mustPlan(t interface {
	Helper()
	Fatal(...any)
}, work []VanJobs, shop Workshop, books *data.Books, asOf data.Date, previous []Block) Plan {
	t.Helper()
	plan, err := PlanWorkshop(context.Background(), work, shop, books, quick(), asOf, previous)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

func TestPlansKeepTheRules(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		work, shop := drawYard(t, books, thursday)
		plan := mustPlan(t, work, shop, books, thursday, nil)
		if err := checkPlan(plan, work, shop, books, thursday); err != nil {
			t.Fatal(err)
		}
		if plan.Gain.IsNegative() {
			t.Errorf("the plan is said to lose %s against a rule", plan.Gain)
		}
	})
}

func TestOrderOfTheInputChangesNothing(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		work, shop := drawYard(t, books, thursday)
		want := mustPlan(t, work, shop, books, thursday, nil)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "shuffle"), 1))
		rng.Shuffle(len(work), func(i, j int) { work[i], work[j] = work[j], work[i] })
		yard := &data.Yard{Team: shop.Team, Bays: shop.Bays, Absences: shop.Absences}
		rng.Shuffle(len(yard.Team), func(i, j int) { yard.Team[i], yard.Team[j] = yard.Team[j], yard.Team[i] })
		rng.Shuffle(len(yard.Bays), func(i, j int) { yard.Bays[i], yard.Bays[j] = yard.Bays[j], yard.Bays[i] })
		rng.Shuffle(len(yard.Absences), func(i, j int) {
			yard.Absences[i], yard.Absences[j] = yard.Absences[j], yard.Absences[i]
		})
		again := NewWorkshop(yard, shop.Region)
		again.DefaultBays, again.DefaultTeam = shop.DefaultBays, shop.DefaultTeam
		got := mustPlan(t, work, again, books, thursday, nil)
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatal(diff)
		}
	})
}

// small is a workshop of one person who can do everything, in a bay of each
// kind, from eight to four on weekdays.
func small(people ...string) Workshop {
	yard := &data.Yard{}
	for _, name := range people {
		yard.Team = append(yard.Team, data.Technician{Name: name, Skills: data.Skills, Hours: [7]float64{0, 8, 8, 8, 8, 8, 0}})
	}
	for _, kind := range data.BayKinds {
		yard.Bays = append(yard.Bays, data.Bay{Name: kind, Kind: kind, Count: 2})
	}
	return NewWorkshop(yard, "none")
}

// wanted is a van with wants and progress, by the small test book.
func wanted(t testing.TB, id string, worth int64, progress []data.Progress, jobs ...string) VanJobs {
	a := appraise.Assessment{Van: data.Van{StockID: id, Status: data.Ready, Body: data.PanelVan}}
	for _, code := range jobs {
		a.Requests = append(a.Requests, appraise.JobRequest{Job: code, Place: "roof", Units: 1})
	}
	w := VanJobs{Van: a.Van, ValuePerDay: decimal.NewFromInt(worth), Jobs: Jobs(a, progress, books(t), data.DefaultPolicy(), Calibration{})}
	w.Jobs = slices.DeleteFunc(w.Jobs, func(j Job) bool { // keep the cases short
		return j.Code == "valet" && !slices.Contains(jobs, "valet")
	})
	w.Van.Status = data.Owned
	return w
}

// starts gives the first block of each job, as V1 reseal: Mon 09:30 P0.
func starts(plan Plan) []string {
	var out []string
	seen := map[jobKey]bool{}
	for _, b := range plan.Blocks {
		if key := (jobKey{b.StockID, b.Job}); !seen[key] {
			seen[key] = true
			out = append(out, fmt.Sprintf("%s %s: %s %s", b.StockID, b.Job, b.Start.Format("Mon 2 15:04"), b.Technician))
		}
	}
	return out
}

// oneSealant makes a job's first part one piece.
func oneSealant(w VanJobs) VanJobs { w.Jobs[0].Parts[0].Qty = 1; return w }

// tenHours makes the first job ten hours long, to the minute.
func tenHours(w VanJobs) VanJobs {
	w.Jobs[0].Book, w.Jobs[0].HoursLeft = Estimate{10, 10, 10}, decimal.NewFromInt(10)
	return w
}

// Days are of March 2026: Thursday the 19th. Each case can be followed by hand
// from the small book: strip 4 h, dry 1 h and 48 h of drying, reseal 2 h with
// two sealants of which one is on the shelf and others take 3 days, tyre 0.5 h
// and 7 days, hose 0.5 h from the shelf.
func TestWorkshopByHand(t *testing.T) {
	promised := func(w VanJobs, on data.Date) VanJobs { w.Van.PromisedOn = on; return w }
	tests := []struct {
		name string
		work []VanJobs
		shop Workshop
		want []string
		row  func(t *testing.T, plan Plan)
	}{
		{"drying runs over the weekend while nobody works",
			[]VanJobs{wanted(t, "V1", 10, []data.Progress{{Job: "strip", State: data.JobDone}}, "strip", "dry", "reseal")},
			small("Pat"),
			// Dry ends on Thursday at nine, and the wall is dry on Saturday at
			// nine; the sealant is in on Sunday.
			[]string{"V1 dry: Thu 19 08:00 Pat", "V1 reseal: Mon 23 08:00 Pat"}, nil},
		{"what was done yesterday dries from four in the afternoon",
			[]VanJobs{wanted(t, "V1", 10, []data.Progress{
				{Job: "strip", State: data.JobDone}, {Job: "dry", State: data.JobDone, DoneOn: thursday.AddDays(-1)},
				{Job: "reseal", State: data.JobStarted, Technician: "Pat"}, // its parts are with it
			}, "strip", "dry", "reseal")},
			small("Pat"),
			[]string{"V1 reseal: Mon 23 08:00 Pat"}, nil}, // Wednesday 16:00 + 48 h is Friday 16:00
		{"order holds over a job that was called off",
			[]VanJobs{wanted(t, "V1", 10, []data.Progress{
				{Job: "dry", State: data.JobDropped},
				{Job: "reseal", State: data.JobStarted, Technician: "Pat"},
			}, "strip", "dry", "reseal")},
			small("Pat"),
			[]string{"V1 strip: Thu 19 08:00 Pat", "V1 reseal: Thu 19 12:00 Pat"}, nil},
		{"the dearer van goes first",
			[]VanJobs{wanted(t, "V1", 10, nil, "strip"), wanted(t, "V2", 40, nil, "strip")},
			small("Pat"),
			[]string{"V2 strip: Thu 19 08:00 Pat", "V1 strip: Thu 19 12:00 Pat"}, nil},
		{"a promised van jumps the queue",
			[]VanJobs{promised(wanted(t, "V1", 10, nil, "strip", "valet"), thursday), wanted(t, "V2", 40, nil, "strip", "valet")},
			small("Pat"),
			[]string{"V1 strip: Thu 19 08:00 Pat", "V1 valet: Thu 19 12:00 Pat", "V2 strip: Fri 20 08:00 Pat", "V2 valet: Fri 20 12:00 Pat"},
			func(t *testing.T, plan Plan) {
				if got := plan.Queue[0]; got.Van.StockID != "V1" || got.ReadyOn != thursday {
					t.Errorf("first is %s on %v", got.Van.StockID, got.ReadyOn)
				}
			}},
		{"a part's lead time delays only the job that needs it",
			[]VanJobs{wanted(t, "V1", 10, nil, "tyre-replace", "strip")},
			small("Pat"),
			[]string{"V1 strip: Thu 19 08:00 Pat", "V1 tyre-replace: Thu 26 08:00 Pat"},
			func(t *testing.T, plan Plan) {
				want := []PartNeed{{Part: plan.Parts[0].Part, Needed: 1, ToOrder: 1, Total: decimal.NewFromInt(100), OrderBy: thursday, StockIDs: []string{"V1"}}}
				if diff := cmp.Diff(want, plan.Parts); diff != "" {
					t.Error(diff)
				}
				if got := plan.Queue[0].WaitingFor; !slices.Equal(got, []string{"part tyre"}) {
					t.Errorf("waits for %q", got)
				}
			}},
		{"the last part goes where it is needed most",
			[]VanJobs{oneSealant(wanted(t, "V1", 10, nil, "reseal")), oneSealant(wanted(t, "V2", 40, nil, "reseal"))},
			small("Pat", "Sam"),
			[]string{"V2 reseal: Thu 19 08:00 Pat", "V1 reseal: Mon 23 08:00 Pat"},
			func(t *testing.T, plan Plan) {
				if got := plan.Parts[0]; got.Needed != 2 || got.ToOrder != 1 || !slices.Equal(got.StockIDs, []string{"V1"}) {
					t.Errorf("to order: %+v", got)
				}
			}},
		{"a job that waiting for parts waits for them though the shelf holds some",
			[]VanJobs{wanted(t, "V1", 10, []data.Progress{{Job: "gas-hose", State: data.JobAwaitingParts}}, "gas-hose")},
			small("Pat"),
			[]string{"V1 gas-hose: Mon 23 08:00 Pat", "V1 gas-test: Mon 23 08:30 Pat"}, // 3 days are to Sunday
			func(t *testing.T, plan Plan) {
				if got := plan.Queue[0].WaitingFor; !slices.Equal(got, []string{"part hose"}) {
					t.Errorf("waits for %q", got)
				}
			}},
		{"work that has begun stays with whoever began it",
			[]VanJobs{
				wanted(t, "V1", 10, []data.Progress{{Job: "strip", State: data.JobStarted, HoursSpent: data.Some(1.0), Technician: "Sam"}}, "strip"),
				wanted(t, "V2", 90, nil, "strip"),
			},
			small("Pat", "Sam"),
			[]string{"V2 strip: Thu 19 08:00 Pat", "V1 strip: Thu 19 08:00 Sam"}, nil},
		{"work over a night is one person's",
			[]VanJobs{tenHours(wanted(t, "V1", 10, nil, "strip"))},
			small("Pat", "Sam"),
			[]string{"V1 strip: Thu 19 08:00 Pat"},
			func(t *testing.T, plan Plan) {
				last := plan.Blocks[len(plan.Blocks)-1]
				if len(plan.Blocks) != 2 || last.Technician != "Pat" || !last.Finish.Equal(thursday.AddDays(1).Time().Add(10*time.Hour)) {
					t.Errorf("got %+v", plan.Blocks)
				}
			}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plan := mustPlan(t, tt.work, tt.shop, books(t), thursday, nil)
			if err := checkPlan(plan, tt.work, tt.shop, books(t), thursday); err != nil {
				t.Error(err)
			}
			got := starts(plan)
			slices.Sort(got)
			slices.Sort(tt.want)
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
			if tt.row != nil {
				tt.row(t, plan)
			}
		})
	}
}

func TestAVanWithImpossibleWorkIsNotLost(t *testing.T) {
	shop := small("Pat")
	shop.Team[0].Skills = slices.DeleteFunc(slices.Clone(data.Skills), func(s string) bool { return s == "gas" })
	work := []VanJobs{wanted(t, "V1", 10, nil, "gas-hose", "strip"), wanted(t, "V2", 5, nil, "strip")}
	plan := mustPlan(t, work, shop, books(t), thursday, nil)
	if err := checkPlan(plan, work, shop, books(t), thursday); err != nil {
		t.Error(err)
	}
	row := plan.Queue[1] // the van that can be finished comes first
	want := []string{"gas-hose: nobody here has the skill gas", "gas-test: nobody here has the skill gas"}
	if row.Van.StockID != "V1" || !slices.Equal(row.WaitingFor, want) {
		t.Errorf("%s waits for %q, want V1 for %q", row.Van.StockID, row.WaitingFor, want)
	}
	if first := plan.Blocks[0]; first.StockID != "V1" || first.Job != "strip" {
		t.Errorf("the dearer van's other work is not first, but %s %s", first.StockID, first.Job)
	}
	if plan.Gap > 0.0001 {
		t.Errorf("a gap of %v: the impossible work is counted in it", plan.Gap)
	}
}

func TestADefaultWorkshopIsNamed(t *testing.T) {
	plan := mustPlan(t, []VanJobs{wanted(t, "V1", 10, nil, "strip")}, NewWorkshop(&data.Yard{}, "none"), books(t), thursday, nil)
	if want := "planned with a default team and default bays: the yard names none"; plan.WorkshopNote != want {
		t.Errorf("got %q, want %q", plan.WorkshopNote, want)
	}
	if len(plan.Blocks) == 0 || !strings.HasPrefix(plan.Blocks[0].Technician, "default ") {
		t.Errorf("got %+v", plan.Blocks)
	}
}
