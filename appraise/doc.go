// Package appraise turns what was read, seen and handed over about one van
// into what a buyer needs to know of it.
//
// In go a van, its readings and papers, the books, the dealer's policy and a
// day. Out comes an Assessment: a finding for each point, the history its
// papers prove, what was never tested, and the labour jobs that all of these
// ask for. Assess is pure: it opens nothing, keeps nothing and reads no clock.
// It never says that a van is safe; it says what evidence there is and what is
// missing.
//
//	a := appraise.Assess(van, yard.Readings[van.StockID], yard.Documents[van.StockID], yard.Progress[van.StockID],
//		yard.Books, policy, asOf)
package appraise
