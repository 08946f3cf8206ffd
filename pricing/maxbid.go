package pricing

import (
	"sort"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// MaxBid returns the largest whole multiple of bid_step at which the sale
// still leaves its target, and whether any bid does. s.Cost is ignored.
//
// What is left falls with every pound bid (VAT gives back at most a sixth of
// it at 20 %, holding and target take more), so the bids are searched by
// halving.
func MaxBid(s SaleTerms, policy data.Policy) (bid data.Money, ok bool) {
	leaves := func(bid data.Money) bool {
		s.Cost = bid
		r := Breakdown(s, policy)
		return r.Profit.GreaterThanOrEqual(r.Target)
	}
	if !leaves(decimal.Zero) {
		return data.Money{}, false
	}
	step := policy.BidStep
	// A bid of the whole price with its recoverable VAT on top leaves nothing.
	ceiling := s.Price.Mul(decimal.NewFromInt(1).Add(policy.VATRate))
	steps := int(data.Steps(ceiling, step)) + 1
	firstTooDear := sort.Search(steps+1, func(k int) bool {
		return !leaves(step.Mul(decimal.NewFromInt(int64(k))))
	})
	return step.Mul(decimal.NewFromInt(int64(firstTooDear - 1))), true
}
