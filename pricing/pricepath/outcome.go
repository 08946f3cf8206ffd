package pricepath

// Step is a price asked from a day on, until the next step.
type Step struct {
	Day   int
	Price float64 // pounds
	Index int     // of Price in the grid
}

// Outcome is what to expect of a path of prices.
type Outcome struct {
	// Profit is expected proceeds or salvage, less expected holding, in pounds.
	Profit float64
	// ExpectedDays is the expected number of days held, the horizon counted for
	// an item that does not sell by then.
	ExpectedDays float64
	// Sold[n] is the chance of a sale within n days; Sold[0] is 0.
	Sold []float64
}

// SoldWithin is the chance in [0, 1] of a sale within n days. Beyond the horizon
// it is the chance at the horizon.
func (o Outcome) SoldWithin(n int) float64 {
	return o.Sold[max(0, min(n, len(o.Sold)-1))]
}

// MedianDays is the number of days within which half of such items sell; ok is
// false when it is beyond the horizon.
func (o Outcome) MedianDays() (days int, ok bool) {
	for n, sold := range o.Sold {
		if sold >= 0.5 {
			return n, true
		}
	}
	return 0, false
}

// follow walks a ladder through chances by day and price.
func (p *Problem) follow(ladder []Step, chance []float64) Outcome {
	o := Outcome{Sold: make([]float64, p.Days+1)}
	unsold, at := 1.0, 0
	for day := range p.Days {
		for at+1 < len(ladder) && ladder[at+1].Day <= day {
			at++
		}
		price := ladder[at].Index
		c := row(chance, day, len(p.Prices))[price]
		o.ExpectedDays += unsold
		o.Profit += unsold * (c*p.Proceeds[price] - p.HoldingPerDay)
		unsold *= 1 - c
		o.Sold[day+1] = 1 - unsold
	}
	o.Profit += unsold * p.Salvage
	return o
}
