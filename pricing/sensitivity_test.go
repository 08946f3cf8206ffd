package pricing

import (
	"fmt"
	"math"
	"slices"
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

// £1 of preparation takes £1.20 off a bid under either scheme (see
// TestShiftsFollowTheClosedForm), and less where interest on the bid is saved with
// it: 100 days at 36.5 % are a tenth of the bid, so 1.20 becomes 1.20 / (1 + 0.12).
// Where there is no bid a pound is a pound.
func TestAPoundOfPreparationMovesTheBid(t *testing.T) {
	policy := bare("3500")
	m := func() *Market { return NewMarket(nil, data.NewDate(2026, 3, 9), policy) }
	b := offer("B", "42000", "0")
	b.Quote.Van.VAT, b.MaxBid = data.MarginScheme, pounds("35000")
	if got := m().PerPoundOfPrep(b); math.Abs(got-1.2) > 0.002 {
		t.Errorf("got %v, want 1.20", got)
	}
	policy.StockingRate, b.PrepDays, b.DaysToSell = pounds("0.365"), 40, 60
	if got := m().PerPoundOfPrep(b); math.Abs(got-1.2/1.12) > 0.004 {
		t.Errorf("with interest: got %v, want %v", got, 1.2/1.12)
	}
	b.Known = false
	if got := m().PerPoundOfPrep(b); got != 1 {
		t.Errorf("without a bid: got %v, want 1", got)
	}
}

// The whole chain: what a look is worth is what the largest bid itself moves by,
// found or sound, each times its chance. Points in systems of their own, so that
// CostOf of what is then known says what preparation comes to.
func TestALookMovesTheBidByItsWorth(t *testing.T) {
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	policy := bare("3500")
	m := NewMarket(nil, data.NewDate(2026, 3, 9), policy)
	points := []appraise.Untested{
		{Checkpoint: "tyre-tread", System: "tyres", Job: "tyre-replace", Chance: 0.25},
		{Checkpoint: "taps", System: "water", Job: "water-pump", Chance: 0.4},
		{Checkpoint: "damp", System: "damp", Job: "window-reseal", Chance: 0.1},
		{Checkpoint: "fridge-gas", System: "appliances", Job: "fridge-replace", Chance: 0.05},
	}
	strip := prep.Job{Code: "damp-strip", Skill: "damp", State: data.JobOpen, Book: prep.Estimate{Low: 4, Likely: 10, High: 22}}
	bid := func(prepared data.Money) float64 {
		b := offer("B", "42000", "0")
		b.Quote.Van.VAT, b.Prep.P80 = data.MarginScheme, prepared
		step := policy
		step.BidStep = pounds("1")
		max, _ := MaxBid(b.saleTerms(), step)
		return max.InexactFloat64()
	}
	cost := func(untested []appraise.Untested) prep.Cost {
		return prep.CostOf([]prep.Job{strip}, untested, data.PanelVan, books, policy)
	}
	b := offer("B", "42000", "0")
	b.Quote.Van.VAT, b.Prep = data.MarginScheme, cost(points)
	b.MaxBid = pounds(fmt.Sprint(bid(b.Prep.P80)))
	looks := prep.LookNext(b.Prep, []prep.Job{strip}, points, data.PanelVan, books, policy, m.PerPoundOfPrep(b))
	if len(looks) != len(points) {
		t.Fatalf("%d looks for %d points", len(looks), len(points))
	}
	for _, l := range looks {
		i := slices.IndexFunc(points, func(u appraise.Untested) bool { return u.Checkpoint == l.Checkpoint })
		sure := slices.Clone(points)
		sure[i].Chance = 0.998 // a defect that was found
		found := bid(cost(sure).P80)
		sound := bid(cost(slices.Delete(slices.Clone(points), i, i+1)).P80)
		now := bid(b.Prep.P80)
		want := l.Chance*math.Abs(found-now) + (1-l.Chance)*math.Abs(sound-now)
		if math.Abs(l.Worth.InexactFloat64()-want) > 6+0.04*want {
			t.Errorf("%s is worth %s, the bid moves by %.0f", l.Checkpoint, l.Worth, want)
		}
	}
}
