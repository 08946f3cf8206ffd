package attention_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
	"github.com/vanwright/vanwright/pricing/attention"
)

var today = data.NewDate(2026, 3, 9)

func pounds(n int64) data.Money { return decimal.NewFromInt(n) }

func van(id string, status data.Status) attention.Van {
	return attention.Van{
		Van:        data.Van{StockID: id, Status: status, FirstRegistered: today.AddDays(-400)},
		Assessment: &appraise.Assessment{},
	}
}

// one lists what a single van and a plan ask for, as "kind who: what".
func one(v attention.Van, plan prep.Plan) []string {
	var out []string
	for _, t := range attention.List([]attention.Van{v}, plan, nil, data.DefaultPolicy(), today) {
		out = append(out, string(t.Kind)+" "+t.Who+": "+t.What)
	}
	return out
}

func want(t *testing.T, got []string, want ...string) {
	t.Helper()
	if diff := cmp.Diff(got, want); diff != "" {
		t.Errorf("(-got +want):\n%s", diff)
	}
}

func TestAnUnsafePointNamesItsWorkAndWhoBeganIt(t *testing.T) {
	v := van("A1", data.Preparing)
	hose := &data.Checkpoint{Title: "Gas hose"}
	v.Assessment.Findings = []appraise.Finding{
		{Checkpoint: hose, Verdict: data.Unsafe, Stops: true, Job: "gas-hose"}, {Checkpoint: hose, Verdict: data.Unsafe, Stops: true, Job: "gas-hose"},
		{Checkpoint: &data.Checkpoint{Title: "Blind"}, Verdict: data.Defect, Job: "blind"},
	}
	v.Jobs = []prep.Job{
		{Code: "gas-hose", LabourCost: pounds(40), PartsCost: pounds(12), Technician: "Ann"},
		{Code: "blind", LabourCost: pounds(99), Technician: "Bo"},
	}
	things := attention.List([]attention.Van{v}, prep.Plan{}, nil, data.DefaultPolicy(), today)
	if len(things) != 1 || !things[0].Pounds.Value.Equal(pounds(52)) || things[0].Due != today || things[0].Who != "Ann" {
		t.Errorf("got %+v", things)
	}
	want(t, one(v, prep.Plan{}), "unsafe Ann: unsafe, do not hand over, drive or use: Gas hose")
}

func TestAVanThatOnlyAnUnsafePointHoldsWaitsForNothing(t *testing.T) {
	v := van("A1", data.Preparing)
	plan := prep.Plan{Queue: []prep.QueueRow{{Van: v.Van, ReadyOn: today, ReadyP80: today, WaitingFor: []string{"unsafe: RCD trip time"}}}}
	want(t, one(v, plan))
}

func TestWhatTheWorkshopLacksIsTheFirstOfWhatStandsStill(t *testing.T) {
	v := van("A1", data.Preparing)
	plan := prep.Plan{
		Queue:      []prep.QueueRow{{Van: v.Van, WaitingFor: []string{"part x"}, Waiting: []string{"Hob"}}},
		Shortfalls: []prep.Shortfall{{Lacks: "nobody here has the skill gas", StockIDs: []string{"A1", "A2"}}},
	}
	want(t, one(v, plan),
		"blocked owner: nobody here has the skill gas: A1, A2",
		"blocked workshop: work stands still, waiting for Hob")
}

// The bid says its amount already; the cost of a delay does not.
func TestWorthIsNotSaidTwice(t *testing.T) {
	bid := attention.Thing{What: "maximum bid £1,200", Pounds: data.Some(pounds(1200)), Meaning: "maximum bid"}
	if bid.Worth() != "" {
		t.Errorf("a bid is worth %q", bid.Worth())
	}
	late := attention.Thing{What: "ring the customer", Pounds: data.Some(pounds(40)), Meaning: "cost of the delay"}
	if late.Worth() != "£40 cost of the delay" {
		t.Errorf("a delay is worth %q", late.Worth())
	}
}

func TestAPromiseIsWarnedOfWhenItMayNotBeKept(t *testing.T) {
	promised := today.AddDays(10)
	tests := []struct {
		name        string
		ready, late data.Date
		want        []string
		cost        int64
	}{
		{"in time, four times in five", promised.AddDays(-3), promised, nil, 0},
		{"planned later", promised.AddDays(2), promised.AddDays(5), []string{"promise sales: ring the customer: promised for 19 Mar 2026, planned for 21 Mar 2026"}, 40},
		{"at risk", promised, promised.AddDays(1), []string{"promise sales: ring the customer: promised for 19 Mar 2026, planned for 19 Mar 2026, 80% likely by 20 Mar 2026"}, 20},
		{"can't be planned", 0, 0, []string{"promise sales: ring the customer: promised for 19 Mar 2026, and its work can't be planned"}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v := van("A1", data.Preparing)
			v.PromisedOn = promised
			plan := prep.Plan{Queue: []prep.QueueRow{{Van: v.Van, ReadyOn: tt.ready, ReadyP80: tt.late, ValuePerDay: pounds(20)}}}
			want(t, one(v, plan), tt.want...)
			for _, thing := range attention.List([]attention.Van{v}, plan, nil, data.DefaultPolicy(), today) {
				if !thing.Pounds.Value.Equal(pounds(tt.cost)) {
					t.Errorf("costs %s, want %d", thing.Pounds.Value, tt.cost)
				}
			}
		})
	}
}

func TestABidSaysTheMaximumAndTheFinanceAboveIt(t *testing.T) {
	v := van("Q1", data.Offered)
	v.FinanceOwed = data.Some(pounds(21_000))
	v.Bid = &pricing.Bid{Known: true, MaxBid: pounds(20_000), OpeningBid: pounds(19_000)}
	want(t, one(v, prep.Plan{}), "bid buyer: answer the seller: open at £19,000, maximum bid £20,000; finance owed £21,000 is above it")
	v.FinanceOwed = data.Some(pounds(20_000))
	v.Bid.MaxBid = pounds(0)
	v.FinanceOwed = data.Opt[data.Money]{}
	want(t, one(v, prep.Plan{}), "bid buyer: answer the seller: no bid leaves the target profit")
	v.Bid = &pricing.Bid{}
	want(t, one(v, prep.Plan{}), "bid buyer: answer the seller: no price can be given")
}

func TestAPriceIsChangedOnlyWhereThePlanHasAnother(t *testing.T) {
	v := van("A1", data.Ready)
	v.Quote = &pricing.Quote{AskingPrice: data.Some(pounds(30_495))}
	want(t, one(v, prep.Plan{}), "price sales: set the asking price: £30,495")
	v.Asking = data.Some(pounds(31_995))
	want(t, one(v, prep.Plan{}), "price sales: change the asking price from £31,995 to £30,495")
	v.Asking = data.Some(pounds(30_495))
	want(t, one(v, prep.Plan{}))
	v.Asking, v.Status = data.Some(pounds(31_995)), data.Preparing
	want(t, one(v, prep.Plan{}))
}

func TestFlagsOfTheMarginGoToTheirKinds(t *testing.T) {
	v := van("A1", data.Owned)
	v.Assessment.Papers = appraise.Papers{
		Missing: []string{"registration"}, MOTExpires: today.AddDays(-1),
		Expiring: []appraise.Expiry{{What: "mot", On: today.AddDays(-1)}, {What: "gas-certificate", On: today.AddDays(20)},
			{What: "gas-hose", On: data.NewDate(2026, 4, 30), Month: true, Due: true}},
	}
	v.Margin = &pricing.MarginRow{
		DaysHeld: 130, Known: true, Price: data.Some(pounds(30_000)), Cost: data.Some(pounds(25_000)),
		Breakdown: pricing.ProfitBreakdown{Profit: pounds(900), Target: pounds(2_000)},
		Flags:     []pricing.Flag{pricing.SchemeAssumed, pricing.CostUnknown, pricing.BelowTarget, pricing.OverAge, pricing.PaperBlocks},
	}
	want(t, one(v, prep.Plan{}),
		"paper office: expired: MOT, 8 Mar 2026",
		"paper office: expires soon: gas certificate, 29 Mar 2026",
		"paper workshop: due soon by its age: gas hose, Apr 2026",
		"paper office: cannot be handed over: V5C missing, MOT expired on 8 Mar 2026",
		"vat accountant: VAT scheme not recorded, margin scheme taken",
		"money owner: over age: in stock for 130 days",
		"money owner: leaves £900, below the target profit",
		"data office: enter the purchase price: it is not recorded",
	)
}

func TestPartsToOrderTodayStandUnderTheirSupplier(t *testing.T) {
	part := func(code string, by data.Date, order int, ids ...string) prep.PartNeed {
		return prep.PartNeed{Part: data.Part{Code: code, Title: "Gas hose", Supplier: "Harrow"}, ToOrder: order, OrderBy: by, Total: pounds(10), StockIDs: ids}
	}
	plan := prep.Plan{Parts: []prep.PartNeed{
		part("later", today.AddDays(1), 1, "A1"), part("shelf", today, 0, "A1"), part("two", today, 2, "A1", "B2"), part("late", today.AddDays(-4), 1, "B2"),
	}}
	things := attention.List(nil, plan, nil, data.DefaultPolicy(), today)
	var got []string
	for _, th := range things {
		got = append(got, th.StockID+" "+th.Who+" "+th.What)
	}
	want(t, got, "B2 Harrow order 1 × Gas hose for B2", " Harrow order 2 × Gas hose for A1, B2")
}

func TestTheOrderIsKindThenDayThenPoundsThenStockID(t *testing.T) {
	plan := prep.Plan{}
	var vans []attention.Van
	for _, q := range []struct {
		id       string
		promised int // days from today; 0: none
		aDay     int64
	}{{"C", 0, 90}, {"B", 5, 10}, {"A", 5, 10}, {"D", 5, 30}, {"E", 2, 1}} {
		v := van(q.id, data.Preparing)
		if q.promised > 0 {
			v.PromisedOn = today.AddDays(q.promised)
		}
		vans = append(vans, v)
		plan.Queue = append(plan.Queue, prep.QueueRow{Van: v.Van, ReadyOn: today, ReadyP80: today, WaitingFor: []string{"part x"}, Waiting: []string{"part x"}, ValuePerDay: pounds(q.aDay)})
	}
	rejects := []data.Reject{{File: "vans.csv"}, {File: "sales.csv"}, {File: "vans.csv"}}
	things := attention.List(vans, plan, rejects, data.DefaultPolicy(), today)
	var got []string
	for i, th := range things {
		if th.Rank != i+1 {
			t.Errorf("rank %d in place %d", th.Rank, i+1)
		}
		got = append(got, string(th.Kind)+" "+th.StockID+strings.TrimPrefix(th.What, "work stands still, waiting for part x"))
	}
	want(t, got, "blocked E", "blocked D", "blocked A", "blocked B", "blocked C",
		"data put right 2 rows of vans.csv that were not used", "data put right a row of sales.csv that was not used")
}

func TestASoldVanNeedsNothing(t *testing.T) {
	v := van("A1", data.Sold)
	v.Margin = &pricing.MarginRow{Flags: []pricing.Flag{pricing.BelowCost}}
	v.Assessment.Papers.Expiring = []appraise.Expiry{{What: "mot", On: today}}
	want(t, one(v, prep.Plan{}))
}

// The short-term right to reject: Consumer Rights Act 2015 section 22.
func TestASoldVanThatMayBeRejected(t *testing.T) {
	v := van("A1", data.Sold)
	v.DeliveredOn = today.AddDays(-30)
	want(t, one(v, prep.Plan{}), "money sales: delivered on 7 Feb 2026: the buyer may reject it until 9 Mar 2026")
	v.DeliveredOn = today.AddDays(-31)
	want(t, one(v, prep.Plan{}))
}

// Amounts and a mileage that are likely wrong are for the office to look up,
// whatever the van's status; a sold van's mileage is no longer to be settled here.
func TestLikelySlipsAreRecordsToPutRight(t *testing.T) {
	const doubt = "The mileage falls: 42,000 miles (MOT of 1 May 2022), then 31,000 miles (MOT of 1 May 2024)."
	for _, status := range []data.Status{data.Offered, data.Owned, data.Ready, data.Sold} {
		v := van("A1", status)
		v.Guide, v.Cost = data.Some(pounds(40000)), data.Some(pounds(3100))
		v.Assessment.Papers.MileageDoubt = doubt
		wanted := []string{"data office: look it up: purchase price £3,100 is a fifth or less of the guide, £40,000; did you mean £31,000?"}
		if status != data.Sold {
			wanted = append(wanted, "data office: look up the mileage: "+strings.TrimSuffix(doubt, "."))
		}
		want(t, one(v, prep.Plan{}), wanted...)
		things := attention.List([]attention.Van{v}, prep.Plan{}, nil, data.DefaultPolicy(), today)
		if got := things[0]; !got.Pounds.Value.Equal(pounds(36900)) || got.Meaning != "away from the guide" || got.StockID != "A1" {
			t.Errorf("%s: %+v", status, got)
		}
	}
}
