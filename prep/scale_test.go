package prep

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// fleet is a made-up workshop in full swing, of eight people: vans that want so
// many jobs of the built-in labour book, and what these bring with them.
func fleet(tb testing.TB, vans, wants int) ([]VanJobs, Workshop, *data.Books) {
	tb.Helper()
	books := builtIn(tb)
	rng := rand.New(rand.NewPCG(uint64(vans), 8))
	week := [7]float64{0, 8, 8, 8, 8, 8, 0}
	yard := &data.Yard{}
	for i, skills := range [][]string{
		{"mechanical", "tyres"}, {"mechanical", "tyres", "bodywork"}, {"habitation", "damp"}, {"habitation", "gas"},
		{"habitation", "electrical"}, {"gas", "electrical"}, {"bodywork", "damp"}, {"valet", "photography", "habitation"},
	} {
		yard.Team = append(yard.Team, data.Technician{Name: fmt.Sprintf("P%d", i), Skills: skills, Hours: week})
	}
	for kind, n := range map[string]int{"ramp": 3, "habitation": 4, "bodywork": 2, "valet": 2} {
		yard.Bays = append(yard.Bays, data.Bay{Name: kind, Kind: kind, Count: n})
	}
	var work []VanJobs
	for i := range vans {
		v := data.Van{
			StockID: fmt.Sprintf("V%04d", i), Status: data.Owned, Body: data.LowProfile,
			Acquired: thursday.AddDays(-rng.IntN(60)),
		}
		if rng.IntN(8) == 0 {
			v.PromisedOn = thursday.AddDays(5 + rng.IntN(40))
		}
		a := appraise.Assessment{Van: v}
		for range wants {
			a.Requests = append(a.Requests, appraise.JobRequest{Job: books.Labour[rng.IntN(len(books.Labour))].Code, Units: 1})
		}
		work = append(work, VanJobs{
			Van: v, ValuePerDay: decimal.NewFromInt(int64(8 + rng.IntN(60))),
			Jobs: Jobs(a, nil, books, data.DefaultPolicy(), Calibration{}),
		})
	}
	return work, NewWorkshop(yard, "england-wales"), books
}

// BenchmarkPlanWorkshop plans a fleet at the default budget: afresh, and on the
// next day, when people already work by the first plan.
func BenchmarkPlanWorkshop(b *testing.B) {
	for _, size := range []struct{ vans, wants int }{{60, 6}, {500, 7}} {
		work, shop, books := fleet(b, size.vans, size.wants)
		jobs := 0
		for _, w := range work {
			jobs += len(w.Jobs)
		}
		plan := func(b *testing.B, asOf data.Date, previous []Block) Plan {
			plan, err := PlanWorkshop(context.Background(), work, shop, books, data.DefaultPolicy(), asOf, previous)
			if err != nil {
				b.Fatal(err)
			}
			if len(plan.Queue) != len(work) || len(plan.Blocks) < jobs {
				b.Fatalf("%d vans and %d blocks planned", len(plan.Queue), len(plan.Blocks))
			}
			return plan
		}
		name := fmt.Sprintf("%d vans %d jobs", size.vans, jobs)
		b.Run(name+" afresh", func(b *testing.B) {
			var p Plan
			for b.Loop() {
				p = plan(b, thursday, nil)
			}
			report(b, p)
		})
		b.Run(name+" next day", func(b *testing.B) {
			first := plan(b, thursday, nil)
			var p Plan
			for b.Loop() {
				p = plan(b, thursday.AddDays(1), first.Blocks)
			}
			report(b, p)
		})
	}
}

func report(b *testing.B, p Plan) {
	b.ReportMetric(100*p.Gap, "%gap")
	b.ReportMetric(100*p.Likely.Plan.Gap(), "%likely-gap")
	b.ReportMetric(float64(p.Schedules), "schedules")
	b.ReportMetric(p.Gain.InexactFloat64(), "£gain")
}

func TestAFleetIsPlannedByTheRules(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of jobs")
	}
	work, shop, books := fleet(t, 60, 6)
	plan := mustPlan(t, work, shop, books, thursday, nil)
	if err := checkPlan(plan, work, shop, books, thursday); err != nil {
		t.Error(err)
	}
	if !plan.Gain.IsPositive() {
		t.Errorf("the plan gains %s over taking vans as they came", plan.Gain)
	}
	if len(plan.Delays) != mostDelays || !slices.IsSortedFunc(plan.Delays, func(a, b Delay) int { return b.Pounds.Cmp(a.Pounds) }) {
		t.Errorf("delays: %+v", plan.Delays)
	}
}
