package prep

import (
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// eight is a van with eight hours of one job, worth something a day.
func eight(t *testing.T, id string, worth int64, job string) VanJobs {
	t.Helper()
	return lasting(wanted(t, id, worth, nil, job), Estimate{8, 8, 8}, "8")
}

func TestWhatOneMoreIsWorth(t *testing.T) {
	oneBay := small("Pat", "Kim")
	for i := range oneBay.Bays {
		oneBay.Bays[i].Count = 1
	}
	tests := []struct {
		name       string
		work       []VanJobs
		shop       Workshop
		kind, what string
		saved      string
		hours      float64
	}{
		// Pat does the dearest on Thursday, the next on Friday and the last on Monday.
		// With one more on Thursday the second is a day sooner and the last three.
		{"a day of damp work for three vans: 1 × 20 + 3 × 10",
			[]VanJobs{eight(t, "V1", 10, "strip"), eight(t, "V2", 20, "strip"), eight(t, "V3", 30, "strip")}, small("Pat"), "skill", "damp", "50", 24},
		{"a day of a skill that no work asks for",
			[]VanJobs{eight(t, "V1", 10, "strip")}, small("Pat"), "skill", "gas", "0", 0},
		{"a second person where one has nothing else to do is of no use",
			[]VanJobs{eight(t, "V1", 10, "strip")}, small("Pat"), "skill", "damp", "0", 8},
		{"a second bay where two people share one: a day of the cheaper van",
			[]VanJobs{eight(t, "V1", 10, "strip"), eight(t, "V2", 20, "strip")}, oneBay, "bay", "habitation", "10", 16},
		{"a bay that is never full",
			[]VanJobs{eight(t, "V1", 10, "strip")}, oneBay, "bay", "habitation", "0", 8},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			policy := quick()
			plan, err := PlanWorkshop(t.Context(), tt.work, tt.shop, books(t), policy, thursday, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range plan.More {
				if m.Kind != tt.kind || m.Name != tt.what {
					continue
				}
				if !m.Saved.Equal(decimal.RequireFromString(tt.saved)) || m.Hours != tt.hours {
					t.Errorf("one more %s of %s saves %s with %v hours waiting, want %s with %v", m.Kind, m.Name, m.Saved, m.Hours, tt.saved, tt.hours)
				}
				return
			}
			t.Errorf("%s %s is not listed in %+v", tt.kind, tt.what, plan.More)
		})
	}
}

func TestBottleneckIsWhatIsFullestOrMissing(t *testing.T) {
	shop := small("Pat") // 40 hours a week of each skill, two bays of each kind at 40
	noGas := small("Pat")
	noGas.Team[0].Skills = []string{"damp", "valet"}
	busy := []VanJobs{eight(t, "V1", 10, "strip"), eight(t, "V2", 10, "strip")}
	tests := []struct {
		name string
		shop Workshop
		like []VanJobs
		want string
	}{
		{"damp has 16 hours before it, valeting none", shop, []VanJobs{wanted(t, "V3", 10, nil, "strip", "valet")}, "skill damp"},
		{"work of another skill does not wait for damp", shop, []VanJobs{wanted(t, "V3", 10, nil, "valet")}, "skill valet"},
		{"nobody has gas", noGas, []VanJobs{wanted(t, "V3", 10, nil, "strip", "gas-test")}, "skill gas"},
		{"no work", shop, []VanJobs{{Van: data.Van{StockID: "V3"}}}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			need, ok := NewLoad(busy, tt.shop).Bottleneck(tt.like)
			if got := need.String(); ok != (tt.want != "") || ok && got != tt.want {
				t.Errorf("got %q (%v), want %q", got, ok, tt.want)
			}
		})
	}
}
