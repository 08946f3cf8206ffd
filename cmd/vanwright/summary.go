package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// totals are the sums that a run's last lines show.
type totals struct {
	inHand, sold pricing.ProfitBreakdown
	flagged      int
	hoursLeft    float64
	nextReady    string
	bestBid      *night.Van // the offered van with the highest bid
}

func totalsOf(r *night.Result) totals {
	var t totals
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Bid != nil && v.Bid.Known && (t.bestBid == nil || v.Bid.MaxBid.GreaterThan(t.bestBid.Bid.MaxBid)) {
			t.bestBid = v
		}
	}
	for _, q := range r.Plan.Queue {
		t.hoursLeft += q.HoursLeft.InexactFloat64()
	}
	if len(r.Plan.Queue) > 0 && !r.Plan.Queue[0].ReadyOn.IsZero() {
		t.nextReady = fmt.Sprintf("; next ready %s on %s", r.Plan.Queue[0].Van.StockID, r.Plan.Queue[0].ReadyOn)
	}
	for _, sum := range r.Totals {
		switch {
		case sum.By != "all":
		case sum.Sold:
			t.sold = sum.Sum
		default:
			t.inHand, t.flagged = sum.Sum, sum.Flagged
		}
	}
	return t
}

// lines puts a run into about ten lines.
func (t totals) lines(r *night.Result, sum summary) []string {
	var counts []string
	for _, s := range data.Statuses {
		if n := sum.Status[string(s)]; n > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", n, s))
		}
	}
	lines := []string{
		fmt.Sprintf("as of        %s", r.AsOf),
		fmt.Sprintf("read         %d rows, %d accepted, %d rejected%s", sum.Read, sum.Accepted, sum.Rejected, worst(r)),
		strings.TrimSuffix(fmt.Sprintf("vans         %d: %s", sum.Vans, strings.Join(counts, ", ")), ": "),
		fmt.Sprintf("in hand      %s total price, %s expected profit, %d flagged", data.InPounds(t.inHand.Price), data.InPounds(t.inHand.Profit), t.flagged),
		fmt.Sprintf("sold         %s profit on %s", data.InPounds(t.sold.Profit), data.InPounds(t.sold.Price)),
		fmt.Sprintf("workshop     %.0f hours left in the queue%s", t.hoursLeft, t.nextReady),
	}
	if r.Plan.Gain.IsPositive() {
		lines = append(lines, fmt.Sprintf("plan         should save %s on average against the best rule of thumb: %s", data.InPounds(r.Plan.Gain), r.Plan.BestRule))
	}
	lines = append(lines,
		fmt.Sprintf("to order     %d parts", len(r.Plan.Parts)),
		fmt.Sprintf("bids         %d%s", sum.Bids, t.best()),
	)
	for _, note := range slices.Concat(r.Plan.Warnings(), r.Market.Notes) {
		lines = append(lines, "note         "+note)
	}
	return lines
}

func (t totals) best() string {
	if t.bestBid == nil {
		return ""
	}
	return fmt.Sprintf("; highest maximum bid %s for %s", data.InPounds(t.bestBid.Bid.MaxBid), t.bestBid.StockID)
}

// worst names the file with the most rejects.
func worst(r *night.Result) string {
	if len(r.Yard.Rejects) == 0 {
		return ""
	}
	in := slices.MaxFunc(r.Yard.Inputs, func(a, b data.InputFile) int { return cmp.Compare(a.Rejected, b.Rejected) })
	return fmt.Sprintf(" (%d in %s; see rejects.csv)", in.Rejected, in.Name)
}
