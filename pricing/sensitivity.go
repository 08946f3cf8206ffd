package pricing

import (
	"fmt"
	"maps"
	"slices"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Shift is what a change in what a bid rests on would do to it.
type Shift struct {
	What   string
	Change data.Money // to the largest bid, whole pounds
}

// The changes that a list of shifts tries.
var (
	morePrep  = decimal.NewFromInt(100) // pounds, ex VAT
	moreDays  = 10
	morePrice = decimal.New(1, -2) // of the price
)

// Gap is the largest gap in what is known of a van: a system with untested
// points, and what preparation would come to were they all found sound.
type Gap struct {
	System string
	Points int
	Cost   prep.Cost
}

// LargestGap returns the system whose untested points cost the bid most; false
// where none costs it anything.
func LargestGap(jobs []prep.Job, untested []appraise.Untested, body data.Body, books *data.Books, policy data.Policy) (Gap, bool) {
	points := map[string]int{}
	for _, u := range untested {
		if u.Chance > 0 && u.Job != "" {
			points[u.System]++
		}
	}
	var largest Gap
	least := prep.CostOf(jobs, untested, body, books, policy).P80
	for _, system := range slices.Sorted(maps.Keys(points)) {
		rest := slices.DeleteFunc(slices.Clone(untested), func(u appraise.Untested) bool { return u.System == system })
		if cost := prep.CostOf(jobs, rest, body, books, policy); cost.P80.LessThan(least) {
			least = cost.P80
			largest = Gap{System: system, Points: points[system], Cost: cost}
		}
	}
	return largest, largest.System != ""
}

// Shifts says what £100 more of preparation, ten days more, one per cent more or
// less of price, and the largest gap found sound would do to the largest bid.
// The changes are to the pound: bid_step is left out of both sides, which would
// otherwise swallow the small ones or double them. Nothing where there is no
// bid to move.
func (m *Market) Shifts(b Bid, gap Gap, hasGap bool) []Shift {
	if !b.Known || !b.MaxBid.IsPositive() {
		return nil
	}
	policy := m.policy
	policy.BidStep = decimal.NewFromInt(1)
	base := b.resale()
	from, _ := MaxBid(base, policy)
	shift := func(what string, change func(s *Resale)) Shift {
		moved := base
		change(&moved)
		to, _ := MaxBid(moved, policy)
		return Shift{what, to.Sub(from)}
	}
	onePercent := data.Pence(base.Price.Mul(morePrice))
	shifts := []Shift{
		shift("£100 more preparation", func(s *Resale) { s.Prep = s.Prep.Add(morePrep) }),
		shift(fmt.Sprintf("%d days more to the sale", moreDays), func(s *Resale) { s.Days += moreDays }),
		shift("1 % more for it", func(s *Resale) { s.Price = s.Price.Add(onePercent) }),
		shift("1 % less for it", func(s *Resale) { s.Price = s.Price.Sub(onePercent) }),
	}
	if hasGap {
		what := fmt.Sprintf("%s tested and found sound (%d points)", gap.System, gap.Points)
		shifts = append(shifts, shift(what, func(s *Resale) { s.Prep = gap.Cost.P80 }))
	}
	return shifts
}

// resale is the sale that the largest bid is reckoned for, without its cost.
func (b Bid) resale() Resale {
	return Resale{
		Treatment: TreatmentOf(b.Quote.Van), Price: b.Quote.Price.Value,
		Prep: b.Prep.P80, Days: b.PrepDays + b.DaysToSell,
	}
}
