// Package pricing says what a van is worth, what to ask for it and when, what
// may be bid for it, and what each van in hand or sold leaves.
//
// In go past sales, a van, what its preparation costs (package prep), the
// dealer's policy and a day. Out come a Quote for a van that is not sold, a
// Bid for one that is offered, a MarginRow for one that is owned or sold, and
// an entry for the VAT stock book. Statistics run in float64 inside
// pricing/hedonic, pricing/survival and pricing/pricepath; money is exact and
// becomes pennies once, in Breakdown.
//
// The package decides no VAT question: it sums what the scheme in the table
// says and flags what bars it. The dealer's accountant decides.
//
//	market := pricing.NewMarket(yard.Sales, asOf, policy)
//	quote := market.Quote(van, pricing.ConditionOf(assessment))
//	bid := market.Bid(van, quote, cost, prepDays)
package pricing
