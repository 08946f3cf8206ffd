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

// Sensitivity is what a change in what a bid rests on would do to it.
type Sensitivity struct {
	What   string
	Change data.Money // to the largest bid, whole pounds
}

// The changes that a list of shifts tries.
var (
	morePrep  = decimal.NewFromInt(100) // pounds, ex VAT
	moreDays  = 10
	morePrice = decimal.New(1, -2) // of the price
	muchPrep  = decimal.NewFromInt(500)
)

// UntestedGap is the largest gap in what is known of a van: a system with untested
// points, and what preparation would come to were they all found sound.
type UntestedGap struct {
	System string
	Points int
	Cost   prep.Cost
}

// LargestUntestedGap returns the system whose untested points cost the bid most; false
// where none costs it anything.
func LargestUntestedGap(jobs []prep.Job, untested []appraise.Untested, body data.Body, books *data.Books, policy data.Policy) (UntestedGap, bool) {
	points := map[string]int{}
	for _, u := range untested {
		if u.Chance > 0 && u.Job != "" {
			points[u.System]++
		}
	}
	var largest UntestedGap
	least := prep.CostOf(jobs, untested, body, books, policy).P80
	for _, system := range slices.Sorted(maps.Keys(points)) {
		rest := slices.DeleteFunc(slices.Clone(untested), func(u appraise.Untested) bool { return u.System == system })
		if cost := prep.CostOf(jobs, rest, body, books, policy); cost.P80.LessThan(least) {
			least = cost.P80
			largest = UntestedGap{System: system, Points: points[system], Cost: cost}
		}
	}
	return largest, largest.System != ""
}

// PerPoundOfPrep returns by how many pounds the largest bid falls for each pound of
// preparation, ex VAT: about £1.20 under the margin scheme at 20 %, as the VAT on
// the margin rises with what the bid falls by. It is 1 where there is no bid to
// move.
func (m *Market) PerPoundOfPrep(b Bid) float64 {
	if !b.Known || !b.MaxBid.IsPositive() {
		return 1
	}
	policy := m.policy
	policy.BidStep = decimal.NewFromInt(1)
	terms := b.saleTerms()
	from, _ := MaxBid(terms, policy)
	terms.Prep = terms.Prep.Add(muchPrep)
	to, ok := MaxBid(terms, policy)
	if !ok {
		return 1
	}
	return from.Sub(to).InexactFloat64() / muchPrep.InexactFloat64()
}

// Sensitivities says what £100 more of preparation, ten days more, one per cent more or
// less of price, and the largest gap found sound would do to the largest bid.
// The changes are to the pound: bid_step is left out of both sides, which would
// otherwise swallow the small ones or double them. Nothing where there is no
// bid to move.
func (m *Market) Sensitivities(b Bid, gap UntestedGap, hasGap bool) []Sensitivity {
	if !b.Known || !b.MaxBid.IsPositive() {
		return nil
	}
	policy := m.policy
	policy.BidStep = decimal.NewFromInt(1)
	base := b.saleTerms()
	from, _ := MaxBid(base, policy)
	shift := func(what string, change func(s *SaleTerms)) Sensitivity {
		moved := base
		change(&moved)
		to, _ := MaxBid(moved, policy)
		return Sensitivity{what, to.Sub(from)}
	}
	onePercent := data.Pence(base.Price.Mul(morePrice))
	shifts := []Sensitivity{
		shift("£100 more preparation", func(s *SaleTerms) { s.Prep = s.Prep.Add(morePrep) }),
		shift(fmt.Sprintf("%d more days to sell", moreDays), func(s *SaleTerms) { s.Days += moreDays }),
		shift("1% higher selling price", func(s *SaleTerms) { s.Price = s.Price.Add(onePercent) }),
		shift("1% lower selling price", func(s *SaleTerms) { s.Price = s.Price.Sub(onePercent) }),
	}
	if hasGap {
		what := fmt.Sprintf("%s tested and found sound (%d points)", gap.System, gap.Points)
		shifts = append(shifts, shift(what, func(s *SaleTerms) { s.Prep = gap.Cost.P80 }))
	}
	return shifts
}
