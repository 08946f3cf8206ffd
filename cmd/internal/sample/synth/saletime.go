package synth

import "github.com/vanwright/vanwright/data"

// The time to sale: days from listing follow a Weibull law with this shape and
// the scale of SaleScale. All are made up.
const (
	SaleShape = 1.4
	SaleDays  = 68.0 // scale in days of a van asked at TruePrice in a month of effect 0
	SalePrice = 6.0  // ln(scale) grows by this × ln(asking / TruePrice)
)

// SaleSeason is what the month of listing adds to ln(scale).
func SaleSeason(listed data.Date) float64 {
	return [...]float64{0.05, -0.15, -0.25, -0.25, -0.15, -0.05,
		0, 0.05, 0.15, 0.25, 0.25, 0.10}[listed.Month()-1]
}

// SaleScale returns the Weibull scale in days of a van listed at a price whose
// true price on that day is truePrice.
func SaleScale(asking, truePrice float64, listed data.Date) float64 {
	return mul(SaleDays, exp(mul(SalePrice, ln(asking/truePrice))+SaleSeason(listed)))
}

// daysToSell draws a time to sale, at least one day.
func (d *Draws) daysToSell(scale float64) int {
	// 1 - uniform is in (0, 1], whose logarithm is finite.
	hazard := -ln(1 - d.uniform())
	if hazard == 0 {
		return 1
	}
	return max(1, whole(mul(scale, exp(ln(hazard)/SaleShape))))
}
