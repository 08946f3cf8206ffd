// Package synth makes up a dealer's yard of any size: the input tables that
// vanwright reads, real in shape and false in every name.
//
// In goes a Spec: how many vans and past sales, a seed and a day. Out come
// vans.csv, readings.csv (about 50 rows a van), documents.csv (about 10 a van),
// sales.csv, team.csv, bays.csv, absence.csv and progress.csv. Rows are written
// as they are drawn, so memory does not grow with the yard.
//
// Nothing in it is fitted to real vans. The prices and the times to sell follow
// models whose coefficients are set down in price.go and saletime.go, so that a
// test can ask whether an analysis finds them again:
//
//   - ln(sold price) = ln(TruePrice) + noise of PriceNoise;
//   - days to sell follow a Weibull law of shape SaleShape, whose scale grows
//     with ln(asking / TruePrice) and with the season; a van whose day of sale
//     falls after the as-of date is still for sale, which is the only censoring.
//
// The condition model is of the same kind: each van has an age and a grade, and
// the chance of each fault rises with both (see condition.go and verdicts.go).
// All these rates are made up; they say nothing about real vans.
//
// The same Spec gives the same bytes on every machine. Randomness comes from
// math/rand/v2's PCG, one stream for each van and table. Products that are added
// to something go through mul, because a compiler may otherwise fuse the two
// operations on some processors and round differently.
//
// The package never writes over a file that is there.
package synth
