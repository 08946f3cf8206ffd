package prep

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"github.com/vanwright/vanwright/data"
)

func TestMovesAreCountedByCause(t *testing.T) {
	got := ByCause([]string{causeLate, "Bea is away", causeNew, "Bea is away"})
	if want := "4 jobs that people had been told of moved to another day or person: 2 since Bea is away, 1 since parts are late, 1 since vans came in."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := ByCause(nil); got != "" {
		t.Errorf("of none: %q", got)
	}
}

// Each strip takes four hours, half of somebody's day.
func TestAMoveSaysWhy(t *testing.T) {
	friday := thursday.AddDays(1)
	strip := func(id string, worth int64, progress ...data.Progress) VanJobs {
		return wanted(t, id, worth, progress, "strip")
	}
	promisedOn := func(w VanJobs, day data.Date) VanJobs { w.Van.PromisedOn = day; return w }
	other := func(b Block, job string, hours float64) Block {
		b.Job, b.Finish = job, b.Start.Add(time.Duration(hours*float64(time.Hour)))
		return b
	}
	tests := []struct {
		name string
		work []VanJobs
		shop Workshop
		asOf data.Date
		told []Block
		want map[string]string // by van and job: cause: why
	}{
		{"nothing moves", []VanJobs{strip("V1", 14)}, small("Pat"), thursday, []Block{told("V1", thursday, 8, "Pat")}, nil},
		{"away", []VanJobs{strip("V1", 14)}, away(small("Pat", "Sam"), "Sam", thursday, friday), thursday,
			[]Block{told("V1", thursday, 8, "Sam")},
			map[string]string{"V1 strip": "Sam is away: Sam is away"}},
		{"away, and what has to make room for that", []VanJobs{strip("V1", 900), strip("V2", 14), strip("V3", 12)}, away(small("Pat", "Sam"), "Sam", thursday, friday), thursday,
			[]Block{told("V1", thursday, 8, "Sam"), told("V2", thursday, 8, "Pat"), told("V3", thursday, 12, "Pat")},
			map[string]string{"V1 strip": "Sam is away: Sam is away", "V3 strip": "Sam is away: V2 “Strip wall” goes first (V1 “Strip wall”: Sam is away)"}},
		{"left the team", []VanJobs{strip("V1", 14)}, small("Pat"), thursday, []Block{told("V1", thursday, 8, "Sam")},
			map[string]string{"V1 strip": "Sam is no longer in the team: Sam is no longer in the team"}},
		{"begun by another", []VanJobs{strip("V1", 14, data.Progress{Job: "strip", State: data.JobStarted, Technician: "Pat", HoursSpent: data.Some(1.0)})}, small("Pat", "Sam"), thursday,
			[]Block{told("V1", thursday, 8, "Sam")},
			map[string]string{"V1 strip": "work has begun otherwise: has begun"}},
		{"it goes on with the same person", []VanJobs{strip("V1", 14, data.Progress{Job: "strip", State: data.JobStarted, Technician: "Pat", HoursSpent: data.Some(1.0)})}, small("Pat", "Sam"), friday,
			[]Block{told("V1", thursday, 8, "Pat")}, nil},
		{"a part that is not in", []VanJobs{wanted(t, "V1", 14, nil, "tyre-replace")}, small("Pat"), thursday,
			[]Block{other(told("V1", friday, 8, "Pat"), "tyre-replace", 0.5)},
			map[string]string{"V1 tyre-replace": "parts have to be ordered: waits until 26 Mar for Tyre"}},
		{"a part that is on its way", []VanJobs{wanted(t, "V1", 14, nil, "tyre-replace")}, onOrder(small("Pat"), thursday.AddDays(4)), thursday,
			[]Block{other(told("V1", friday, 8, "Pat"), "tyre-replace", 0.5)},
			map[string]string{"V1 tyre-replace": "parts are on order: waits until 23 Mar for Tyre"}},
		{"a part that is overdue", []VanJobs{wanted(t, "V1", 14, nil, "tyre-replace")}, onOrder(small("Pat"), thursday.AddDays(-1)), thursday,
			[]Block{other(told("V1", thursday, 8, "Pat"), "tyre-replace", 0.5)},
			map[string]string{"V1 tyre-replace": "parts are late: waits until 20 Mar for Tyre"}},
		{"said to await parts", []VanJobs{wanted(t, "V1", 14, []data.Progress{{Job: "tyre-replace", State: data.JobAwaitingParts}}, "tyre-replace")}, small("Pat"), thursday,
			[]Block{other(told("V1", friday, 8, "Pat"), "tyre-replace", 0.5)},
			map[string]string{"V1 tyre-replace": "parts are on order: waits until 26 Mar for Tyre"}},
		{"its own van's other work", []VanJobs{wanted(t, "V1", 14, nil, "strip", "electrical-test")}, away(small("Pat", "Sam"), "Sam", thursday, friday), thursday,
			[]Block{told("V1", thursday, 8, "Sam"), other(told("V1", thursday, 12, "Pat"), "electrical-test", 2)},
			map[string]string{"V1 strip": "Sam is away: Sam is away"}},
		{"not begun on its day", []VanJobs{strip("V1", 14)}, small("Pat"), friday, []Block{told("V1", thursday, 8, "Pat")},
			map[string]string{"V1 strip": "work was not begun on its day: was not begun on its day"}},
		{"nobody can do it now", []VanJobs{strip("V1", 14)}, func() Workshop {
			w := small("Pat")
			w.Team[0].Skills = []string{"valet"}
			return w
		}(), thursday, []Block{told("V1", thursday, 8, "Pat")},
			map[string]string{"V1 strip": "work can't be planned: can't be planned: nobody here has the skill damp"}},
		{"a van that came in", []VanJobs{strip("V1", 900), strip("V2", 14), strip("V3", 12)}, small("Pat"), thursday,
			[]Block{told("V2", thursday, 8, "Pat"), told("V3", thursday, 12, "Pat")},
			map[string]string{"V3 strip": "vans came in: V2 “Strip wall” goes first (V1 “Strip wall”: the van came in)"}},
		{"work that was found", []VanJobs{wanted(t, "V1", 900, nil, "strip", "electrical-test", "rcd", "gas-test"), strip("V3", 12)}, small("Pat"), thursday,
			[]Block{told("V1", thursday, 8, "Pat"), told("V3", thursday, 12, "Pat")},
			map[string]string{"V3 strip": "work was found: V1 “230 V test” goes first (is new work)"}},
		{"work that takes longer", []VanJobs{longHours(strip("V1", 900), 8), strip("V3", 12)}, small("Pat"), thursday,
			[]Block{told("V1", thursday, 8, "Pat"), told("V3", thursday, 12, "Pat")},
			map[string]string{"V3 strip": "work takes longer than planned: V1 “Strip wall” goes first (takes longer than planned)"}},
		{"a promise", []VanJobs{promisedOn(strip("V1", 60), thursday), strip("V2", 14), strip("V3", 12)}, small("Pat"), thursday,
			[]Block{told("V2", thursday, 8, "Pat"), told("V3", thursday, 12, "Pat"), told("V1", friday, 8, "Pat")},
			map[string]string{
				"V1 strip": "promises come first: is promised to a customer",
				"V3 strip": "promises come first: V2 “Strip wall” goes first (V1 “Strip wall”: is promised to a customer)",
			}},
		{"what it waits for takes longer", []VanJobs{longHours(wanted(t, "V1", 14, nil, "strip", "valet"), 10)}, small("Pat", "Sam"), thursday,
			[]Block{told("V1", thursday, 8, "Pat"), other(told("V1", thursday, 12, "Sam"), "valet", 4)},
			map[string]string{"V1 valet": "work takes longer than planned: comes after “Strip wall” (takes longer than planned)"}},
		{"a better order", []VanJobs{strip("V1", 900), strip("V2", 14), strip("V3", 12)}, small("Pat"), thursday,
			[]Block{told("V2", thursday, 8, "Pat"), told("V3", thursday, 12, "Pat"), told("V1", friday, 8, "Pat")},
			map[string]string{
				"V1 strip": "the order is better: has the turn of V2 “Strip wall”; the order is better so",
				"V3 strip": "the order is better: V2 “Strip wall” goes first; the order is better so",
			}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plan := mustPlan(t, tt.work, tt.shop, books(t), tt.asOf, tt.told)
			var got map[string]string
			for _, m := range plan.Moved {
				if got == nil {
					got = map[string]string{}
				}
				got[m.StockID+" "+m.Job] = m.Cause + ": " + m.Why
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got)\n%s\n%v", diff, starts(plan))
			}
		})
	}
}

// onOrder is a workshop that has a tyre for V1 on order.
func onOrder(w Workshop, due data.Date) Workshop {
	w.Orders = []data.Order{{Part: "tyre", StockID: "V1", Quantity: 1, OrderedOn: thursday.AddDays(-10), DueOn: due}}
	return w
}

// Pat's V1 and Sam's V2 have changed places, and V3, which came in, stands in V1's way
// too: which of the two is at the root hangs on which is asked first, so that has to be
// the same each time.
func TestMovesInARingHaveOneReason(t *testing.T) {
	p := modelOf(t, small("Pat", "Sam"), wanted(t, "V1", 14, nil, "strip"), wanted(t, "V2", 14, nil, "strip"), wanted(t, "V3", 14, nil, "strip"))
	before := []Block{told("V1", thursday, 8, "Pat"), told("V2", thursday, 8, "Sam")}
	now := []Block{told("V1", thursday, 8, "Sam"), told("V2", thursday, 8, "Pat"), told("V3", thursday, 11, "Pat")}
	for range 50 {
		var causes []string
		for _, m := range p.moved(before, now) {
			causes = append(causes, m.StockID+": "+m.Cause)
		}
		if diff := cmp.Diff([]string{"V1: vans came in", "V2: the order is better"}, causes); diff != "" {
			t.Fatalf("(-want +got)\n%s", diff)
		}
	}
}
