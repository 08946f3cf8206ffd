package pricing

import (
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Worked from bid = price − 6/5 × (profit + preparation + holding), the margin
// scheme's closed form at 20 %: £100 of preparation takes 120 off, ten days at
// £5 take 60 off, 1 % of 42,000 moves the bid by 420, and 300 of preparation
// saved add 360. A qualifying van's gross bid moves by the same sums.
func TestShiftsFollowTheClosedForm(t *testing.T) {
	policy := bare("3500")
	policy.PitchCostPerDay = pounds("5")
	policy.BidStep = pounds("250")
	m := NewMarket(nil, data.NewDate(2026, 3, 9), policy)
	for _, scheme := range []data.VATScheme{data.MarginScheme, data.Qualifying} {
		t.Run(string(scheme), func(t *testing.T) {
			b := offer("B", "42000", "0")
			b.Quote.Van.VAT = scheme
			b.MaxBid = pounds("35000")
			got := m.Sensitivities(b, UntestedGap{System: "damp", Points: 4, Cost: prep.Cost{P80: pounds("1100")}}, true)
			want := []Sensitivity{
				{"£100 more preparation", pounds("-120")},
				{"10 more days to sell", pounds("-60")},
				{"1% higher selling price", pounds("420")},
				{"1% lower selling price", pounds("-420")},
				{"damp tested and found sound (4 points)", pounds("360")},
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestNothingShiftsWhereThereIsNoBid(t *testing.T) {
	m := NewMarket(nil, data.NewDate(2026, 3, 9), data.DefaultPolicy())
	if got := m.Sensitivities(Bid{}, UntestedGap{}, false); got != nil {
		t.Errorf("got %v, want nothing", got)
	}
}

// Interest on the bid itself runs on for the ten days too, so the bid falls by
// more than their pitch alone; and every shift has its one direction.
func TestShiftsHaveTheirDirection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		policy := drawPolicy(t)
		m := NewMarket(nil, data.NewDate(2026, 3, 9), policy)
		b := offer("B", "1", "0")
		b.Quote.Price = data.Some(drawSaleTerms(t).Price)
		b.MaxBid, b.Known = MaxBid(b.saleTerms(), policy)
		shifts := m.Sensitivities(b, UntestedGap{}, false)
		if len(shifts) == 0 {
			return
		}
		for i, negative := range []bool{true, true, false, true} {
			if c := shifts[i].Change; negative && c.IsPositive() || !negative && c.IsNegative() {
				t.Fatalf("%s moves the bid by %s", shifts[i].What, c)
			}
		}
	})
}

func TestLargestGap(t *testing.T) {
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	policy := data.DefaultPolicy()
	dear := books.Labour[0]
	for _, j := range books.Labour { // the dearest job by hours
		if j.HoursHigh > dear.HoursHigh {
			dear = j
		}
	}
	cheap := books.Labour[0]
	for _, j := range books.Labour {
		if j.HoursHigh < cheap.HoursHigh {
			cheap = j
		}
	}
	untested := []appraise.Untested{
		{Checkpoint: "a", System: "small", Chance: 0.4, Job: cheap.Code},
		{Checkpoint: "b", System: "large", Chance: 0.4, Job: dear.Code},
		{Checkpoint: "c", System: "free", Chance: 0.4},
	}
	gap, ok := LargestUntestedGap(nil, untested, data.LowProfile, books, policy)
	if !ok || gap.System != "large" || gap.Points != 1 {
		t.Errorf("got %q with %d points (%v), want large with 1", gap.System, gap.Points, ok)
	}
	if whole := prep.CostOf(nil, untested, data.LowProfile, books, policy); !gap.Cost.P80.LessThan(whole.P80) {
		t.Errorf("sound costs %s, untested %s", gap.Cost.P80, whole.P80)
	}
	if _, ok := LargestUntestedGap(nil, untested[2:], data.LowProfile, books, policy); ok {
		t.Error("a point that hides nothing is a gap")
	}
}
