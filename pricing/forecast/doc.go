// Package forecast draws what may come of one thing for sale: on which day it
// goes and what is paid for it, together, so that every chance is read from the
// same draws.
//
// In come a Law, which is what past sales taught of buyers, and a Plan of asking
// prices with the hazard of a sale on each day; out come draws with weights. The
// model is stated in pricing/README.md. Money is float64 pounds and logarithms of
// them; nothing is rounded. The same input gives the same draws.
//
//	points := forecast.NewPoints(400, seed)
//	draws := law.Draw(plan, points)
//	within := draws.SoldWithin(60)
//
// The package knows nothing of what is sold.
package forecast
