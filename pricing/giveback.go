package pricing

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/pricing/forecast"
)

// haggles are what past sales show of asking and paying: their moments.
type haggles struct {
	sales     float64
	paid      float64 // variance of the log of paid over asked
	capped    float64 // the share of sales that paid all that was asked
	asked     float64 // variance of the log of asked over value
	askedPaid float64 // covariance of the two
	// With the log of the days on sale, as covariances over its standard deviation.
	daysAsked, daysPaid float64
}

// learnGivenBack tells apart, from what was paid of asking prices, what buyers haggle by
// habit from what they get off because a van was asked above its worth. asked are logs of
// the asking price over the value on the day of sale, paid of what was paid over the asking
// price, days of the days on sale, sale by sale.
//
// A dealer sees more of a van than the columns say, so that asked holds his error and what
// he saw. Only his error moves what is paid of the asking price, and how long the van
// stands. The days therefore tell the share given back as an instrument does, by the
// statistic of T. W. Anderson and H. Rubin (1949, from memory), which is honest where it
// is weak.
func (b *buyers) learnGivenBack(asked, paid, days []float64) {
	h := haggles{paid: b.spread * b.spread}
	for _, p := range b.paid {
		if p > -0.001 {
			h.capped += 1 / float64(len(b.paid))
		}
	}
	if len(paid) >= fewSales {
		h.sales = float64(len(paid))
		h.asked, h.askedPaid = stat.Variance(asked, nil), stat.Covariance(asked, paid, nil)
		if sd := stat.StdDev(days, nil); sd > 0 {
			h.daysAsked, h.daysPaid = stat.Covariance(days, asked, nil)/sd, stat.Covariance(days, paid, nil)/sd
		}
	}
	b.givenBack, b.askError = h.share(float64(len(b.paid)))
	b.erring = priorAskError * priorAskError / (priorAskError*priorAskError + priorSeen*priorSeen)
	if h.sales > 0 {
		b.erring = min(1, b.askError*b.askError/h.asked)
	}
	b.settle(1 - h.capped)
}

// share is the mean, over a grid, of the share that is given back and of the error of
// asking prices: what the errors' priors, and the moments of known sales, leave of them.
func (h *haggles) share(known float64) (givenBack, askError float64) {
	total := 0.0
	for k := 0.025; k < 1; k += 0.05 {
		moves := k * (1 - h.capped) // the paid share, by so much of the error
		square := squareGiven(k) * (1 - h.capped)
		// Buyers are mostly of one sort: H. Jeffreys' prior of a proportion.
		instrument := h.instrument(moves) - math.Log(k*(1-k))/2
		for e := -2.0; e <= 2; e += 0.25 {
			ask := priorAskError * math.Exp(errorsLog*e)
			log := instrument - e*e/2
			if h.sales > 0 {
				seen := math.Log(math.Sqrt(max(h.asked-ask*ask, 1e-4))/priorSeen) / errorsLog
				short := h.askedPaid + moves*ask*ask
				log -= seen*seen/2 + short*short/2*h.sales/(h.asked*h.paid)
			}
			for z := -2.0; z <= 2; z += 0.25 {
				habit := priorHabit * math.Exp(habitLog*z)
				// The log of a variance scatters by about 2.5 over their number, since what is
				// paid has longer tails than a normal law.
				off := math.Log(h.paid / (habit*habit + square*ask*ask))
				w := math.Exp(log - z*z/2 - off*off/2*known/2.5)
				total += w
				givenBack += w * k
				askError += w * ask
			}
		}
	}
	return givenBack / total, askError / total
}

// instrument is the log likelihood of a share by the days on sale: what is left of the price
// paid, once that share of the asked one is given back, must not hang on them.
func (h *haggles) instrument(share float64) float64 {
	left := h.paid + 2*share*h.askedPaid + share*share*h.asked
	if h.sales == 0 || left <= 0 {
		return 0
	}
	together := h.daysPaid + share*h.daysAsked
	return -h.sales * together * together / left / 2
}

// squareGiven is the mean over buyers of the square of the share that they get off.
func squareGiven(givenBack float64) float64 {
	sum := 0.0
	for _, sort := range forecast.Buyers(givenBack) {
		sum += sort.Weight * sort.Share * sort.Share
	}
	return sum
}

// settle finds what buyers haggle by habit: what was paid, with its scatter less what the
// errors of asking prices explain of it, moved so that both together give the mean that was
// paid. uncapped is the share of sales that paid less than was asked.
func (b *buyers) settle(uncapped float64) {
	explained := squareGiven(b.givenBack) * b.askError * b.askError * uncapped
	b.habitSD = b.spread * math.Sqrt(max(0.1, 1-explained/(b.spread*b.spread)))
	middle := math.Log(b.typical)
	b.habit = make([]float64, len(b.paid))
	for i, p := range b.paid {
		b.habit[i] = middle + b.habitSD/b.spread*(p-middle)
	}
	want := stat.Mean(b.paid, nil)
	low, high := 0.0, 0.2
	for range 20 {
		if at := (low + high) / 2; b.meanPaid(at) < want {
			low = at
		} else {
			high = at
		}
	}
	for i := range b.habit {
		b.habit[i] += low
	}
}

// meanPaid is the mean of what is paid, as a log over what was asked, where the habit is
// moved by so much and asking prices err by a normal law.
func (b *buyers) meanPaid(moved float64) float64 {
	sum, total := 0.0, 0.0
	for _, sort := range forecast.Buyers(b.givenBack) {
		for z := -1.9; z < 2; z += 0.2 {
			w := sort.Weight * math.Exp(-z*z/2)
			total += w
			for _, h := range b.habit {
				sum += w * min(h+moved-sort.Share*b.askError*z, max(h+moved, 0))
			}
		}
	}
	return sum / total / float64(len(b.habit))
}
