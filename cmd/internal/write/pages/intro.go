package pages

import (
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// introduce says of a van in plain words what it is, what stands in its way, what
// it earns and what comes next: one sentence or two for each.
func (s *report) introduce(v *night.Van) []string {
	return slices.DeleteFunc([]string{whatItIs(v.Van), s.inItsWay(v), whatItEarns(v), s.whatIsNext(v)}, func(text string) bool { return text == "" })
}

func whatItIs(v data.Van) string {
	text := nameOf(v) + ", " + data.Title(v.Body)
	if !v.FirstRegistered.IsZero() {
		text = fmt.Sprintf("%d %s", v.FirstRegistered.Year(), text)
	}
	text += ", " + number(v.Mileage) + " miles"
	if v.Berths.Known {
		text += ", " + count(v.Berths.Value, "berth")
	}
	if v.Belts.Known {
		text += ", " + count(v.Belts.Value, "belt")
	}
	switch {
	case v.Status == data.Offered:
		text += "; offered to us"
	case !v.Acquired.IsZero():
		text += "; ours since " + day(v.Acquired)
	}
	if v.PurchaseSource != "" {
		text += " (" + data.Title(v.PurchaseSource) + ")"
	}
	return text + "."
}

// inItsWay says what keeps a van from its owner.
func (s *report) inItsWay(v *night.Van) string {
	if v.Status == data.Sold {
		return ""
	}
	var parts []string
	n := map[data.Verdict]int{}
	for i := range v.Assessment.Findings {
		n[v.Assessment.Findings[i].Verdict]++
	}
	if k := n[data.Unsafe]; k > 0 {
		parts = append(parts, count(k, "unsafe point"))
	}
	if k := n[data.Defect]; k > 0 {
		parts = append(parts, count(k, "defect"))
	}
	parts = append(parts, pricing.MissingToHandOver(&v.Assessment, s.AsOf)...)
	if q, ok := s.queue[v.StockID]; ok {
		if len(q.Waiting) > 0 {
			parts = append(parts, "waiting for "+data.FirstFew(q.Waiting))
		}
	}
	if v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive() {
		parts = append(parts, "finance of "+pounds(v.FinanceOwed.Value)+" owed")
	}
	if len(parts) == 0 {
		return "Nothing on record stands in its way."
	}
	return "In its way: " + strings.Join(parts, ", ") + "."
}

func whatItEarns(v *night.Van) string {
	switch {
	case v.Bid != nil && v.Bid.Known:
		return fmt.Sprintf("Maximum bid %s, which should leave %s.", pounds(v.Bid.MaxBid), pounds(v.Bid.Breakdown.Profit))
	case v.Margin == nil || !v.Margin.Known:
		return ""
	case v.Status == data.Sold:
		return fmt.Sprintf("Sold for %s, profit %s.", pounds(v.Margin.Price.Value), pounds(v.Margin.Breakdown.Profit))
	}
	b := v.Margin.Breakdown
	text := fmt.Sprintf("At %s (%s price) it should leave %s", pounds(v.Margin.Price.Value), v.Margin.Basis, pounds(b.Profit))
	if b.Profit.IsNegative() {
		text = fmt.Sprintf("At %s (%s price) it loses %s", pounds(v.Margin.Price.Value), v.Margin.Basis, pounds(b.Profit.Neg()))
	}
	if short := b.Target.Sub(b.Profit); short.IsPositive() {
		return text + ", " + pounds(short) + " below the target."
	}
	return text + ", above the target of " + pounds(b.Target) + "."
}

// whatIsNext is the first thing to do, or the next job in the plan.
func (s *report) whatIsNext(v *night.Van) string {
	if things := s.thingsOf(v.StockID); len(things) > 0 {
		return "Next: " + things[0] + "."
	}
	if jobs := s.inWorkshopOrder(v); len(jobs) > 0 {
		if b, ok := s.firstStart[jobKey{v.StockID, jobs[0].Code}]; ok {
			return fmt.Sprintf("Next: %s, %s with %s.", jobs[0].Title, dayAs(data.DateOf(b.Start), "Mon 2 Jan"), b.Technician)
		}
	}
	return ""
}
