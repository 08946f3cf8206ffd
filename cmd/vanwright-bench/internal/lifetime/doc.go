// Package lifetime holds estimates of how long things last that the sale-time
// measurement prints beside the fit the product uses: Kaplan-Meier curves, Cox
// regressions and the concordance of their risks.
package lifetime
