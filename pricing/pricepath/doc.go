// Package pricepath plans the asking prices of one item over a horizon so that
// the expected profit is largest.
//
// In come a grid of prices, the chance of a sale on each day at each price, what
// a sale at each price leaves, the cost of each day unsold, what the item is
// worth at the horizon, and how long a price must stand. Out come the plan (from
// which day which price), its expected profit, and how long the sale takes; the
// same for a price that never moves, so that the gain can be shown.
//
// A day runs like this: the day's holding is paid, then the item sells or not,
// and the horizon follows the last day. Money is float64 pounds, since chances
// are multiplied all the way through; a caller turns the prices of a plan back
// into money, and keeps taxes and their kinks inside the proceeds it supplies.
//
// The policy is a path, not a tree: nothing is learnt while the item stands but
// that it has not sold, so the best price for each day is known at the start.
//
//	plan, err := new(pricepath.Solver).Solve(pricepath.Problem{
//		Prices: grid, Proceeds: left, Chance: chance,
//		Days: 180, RepriceDays: 28, HoldingPerDay: 9.5, Salvage: 8200,
//	})
//
// The package knows nothing of what is sold.
package pricepath
