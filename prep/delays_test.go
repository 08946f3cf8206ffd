package prep

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
)

// lasting gives the van's first job an estimate, and its middle in hand.
func lasting(w VanJobs, e Estimate, middle string) VanJobs {
	w.Jobs[0].Book, w.Jobs[0].HoursLeft = e, decimal.RequireFromString(middle)
	return w
}

func TestDelaysByHand(t *testing.T) {
	tests := []struct {
		name string
		work []VanJobs
		want []Delay
	}{
		{"hours that are certain delay nobody", []VanJobs{wanted(t, "V1", 10, nil, "strip")}, nil},
		{"a week's wait for a tyre is a week of the van's value",
			[]VanJobs{wanted(t, "V1", 10, nil, "tyre-replace")},
			[]Delay{{1, "V1", "tyre-replace", "One tyre", "waiting for part tyre", decimal.RequireFromString("70.00")}}},
		{"a job delays its own van and those behind it",
			// Two hours for a van at 30 and the one behind it at 10 are a
			// twelfth of 40.
			[]VanJobs{lasting(wanted(t, "V1", 30, nil, "strip"), Estimate{2, 4, 9}, "4"), wanted(t, "V2", 10, nil, "strip")},
			[]Delay{{1, "V1", "strip", "Strip wall", "likely 4.00 h, best case 2.00 h", decimal.RequireFromString("3.33")}}},
		{"the costliest come first",
			[]VanJobs{
				wanted(t, "V1", 10, nil, "tyre-replace"),
				wanted(t, "V2", 20, []data.Progress{{Job: "gas-test", State: data.JobAwaitingParts}}, "gas-test"),
			},
			// What the book knows no part for is waited for a week as well. Both
			// wait for the same morning, so that the first to go makes the
			// other's half an hour shorter: a forty-eighth of 20.
			[]Delay{
				{1, "V2", "gas-test", "Gas test", "waiting for parts", decimal.RequireFromString("140.42")},
				{2, "V1", "tyre-replace", "One tyre", "waiting for part tyre", decimal.RequireFromString("70.42")},
			}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			plan := mustPlan(t, tt.work, small("Pat"), books(t), thursday, nil)
			if diff := cmp.Diff(tt.want, plan.Delays); diff != "" {
				t.Errorf("(-want +got)\n%s", diff)
			}
		})
	}
}

// The chance that a job of {4, 7, 14} hours takes more than a day of eight is
// above a fifth, and that one of {4, 5, 8} does is nil.
func TestReadyFourTimesInFive(t *testing.T) {
	for _, tt := range []struct {
		name     string
		estimate Estimate
		middle   string
		want     data.Date
	}{
		{"a long tail runs into the next day", Estimate{4, 7, 14}, "7.5", thursday.AddDays(1)},
		{"a short one does not", Estimate{4, 5, 8}, "5.25", thursday},
		{"certain hours end when they end", Estimate{8, 8, 8}, "8", thursday},
	} {
		t.Run(tt.name, func(t *testing.T) {
			work := []VanJobs{lasting(wanted(t, "V1", 30, nil, "strip"), tt.estimate, tt.middle)}
			row := mustPlan(t, work, small("Pat"), books(t), thursday, nil).Queue[0]
			if row.ReadyOn != thursday || row.ReadyP80 != tt.want {
				t.Errorf("ready on %v, four times in five by %v; want %v and %v", row.ReadyOn, row.ReadyP80, thursday, tt.want)
			}
		})
	}
}

func TestDelaysAreFewAndCostSomething(t *testing.T) {
	books := builtIn(t)
	rapid.Check(t, func(t *rapid.T) {
		work, shop := drawYard(t, books, thursday)
		got := mustPlan(t, work, shop, books, thursday, nil).Delays
		if len(got) > mostDelays || !slices.IsSortedFunc(got, func(a, b Delay) int { return b.Pounds.Cmp(a.Pounds) }) {
			t.Fatalf("got %+v", got)
		}
		for _, d := range got {
			if !d.Pounds.IsPositive() {
				t.Fatalf("%+v costs nothing", d)
			}
		}
	})
}
