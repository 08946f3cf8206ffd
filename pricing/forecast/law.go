package forecast

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// Law is what past sales taught of how buyers come and pay.
type Law struct {
	// Paid are logs of what was paid over what was asked, ascending, equally
	// likely. Not empty.
	Paid []float64
	// GivenBack is the share, 0 to 1, of what is asked above the worth that
	// buyers get off the price, on average: 0 where they haggle off the asking price
	// whatever it is, 1 where they pay what the thing is worth to them and the
	// asking price only caps it. See Buyers.
	GivenBack float64
	// WorthSD is the standard deviation of the log of what the thing turns out to
	// be worth over what it is valued at.
	WorthSD float64
	// Power is how the hazard of a sale falls with the price over the worth: as
	// its −Power, of which Felt is the share that the unknown part of the worth
	// moves too.
	Power, Felt float64
}

// Plan is how a thing is offered.
type Plan struct {
	// Asks are the asking prices, the first from day 0. Days ascend.
	Asks []Ask
	// Hazard is the cumulative hazard of a sale before each day were the thing
	// worth its value: Hazard[0] is 0. The last holds for ever after.
	Hazard []float64
	// Stood is the hazard that it has come through unsold already.
	Stood float64
	// Worth is the log of what such a thing is asked at when it is asked at its
	// value, in pounds. Each day that it stands longer than Usual takes Fall off.
	Worth, Fall, Usual float64
}

// Ask is an asking price from a day on.
type Ask struct {
	Day int
	Log float64 // of pounds
}

// Draw is one way that it may come.
type Draw struct {
	Weight float64 // of all draws 1
	Days   int     // from day 0 to the sale, at least 1
	Price  float64 // paid, pounds
}

// Sort is a sort of buyers: what share of what is asked above the worth they get off the
// price, and how many of all they are.
type Sort struct{ Share, Weight float64 }

// Buyers are the sorts of buyers that give back a share on average. Whether all get the same
// off, or some pay what the thing is worth to them and the others haggle by habit, past
// sales do not tell: taken is the middle of the two.
func Buyers(givenBack float64) [2]Sort {
	return [2]Sort{{givenBack / 2, 1 - givenBack}, {(1 + givenBack) / 2, givenBack}}
}

// Draws are equally spread over what may come, each with its weight.
type Draws []Draw

// Draw lays out what may come of a plan.
//
// What the thing is worth lies off its value by a normal error of the log. Its
// hazard of a sale is that of the plan times e^(Power·Felt·error), and a thing
// that has stood is the less likely to be worth much: its draws are weighed by
// the chance that it stood so long. The price paid is the asking price of that
// day, less the haggle, less the buyer's share of what is asked above the worth; never
// above what was asked.
func (l Law) Draw(plan Plan, points *Points) Draws {
	draws := make(Draws, len(points.worth))
	total := 0.0
	last := len(plan.Hazard) - 1
	sorts := Buyers(l.GivenBack)
	for i, z := range points.worth {
		off := l.WorthSD * z
		pace := math.Exp(l.Power * l.Felt * off)
		comes := points.patience[i] / pace
		day := sort.SearchFloat64s(plan.Hazard, comes)
		day = max(1, min(day, last))
		ask := plan.askOn(day - 1)
		paid := ask + l.paid(points.haggle[i])
		over := ask - plan.Worth - off + plan.Fall*(float64(day)-plan.Usual)
		share := sorts[0].Share
		if points.buyer[i] > sorts[0].Weight {
			share = sorts[1].Share
		}
		paid = min(paid-share*over, max(paid, ask))
		draws[i] = Draw{math.Exp(-plan.Stood * pace), day, math.Exp(paid)}
		total += draws[i].Weight
	}
	for i := range draws {
		if total > 0 {
			draws[i].Weight /= total
		} else {
			draws[i].Weight = 1 / float64(len(draws))
		}
	}
	return draws
}

func (p *Plan) askOn(day int) float64 {
	at := 0
	for at+1 < len(p.Asks) && p.Asks[at+1].Day <= day {
		at++
	}
	return p.Asks[at].Log
}

// paid is the quantile of Paid, in a straight line between two.
func (l Law) paid(p float64) float64 {
	at := p*float64(len(l.Paid)) - 0.5
	low := int(math.Floor(at))
	if low < 0 {
		return l.Paid[0]
	}
	if low+1 >= len(l.Paid) {
		return l.Paid[len(l.Paid)-1]
	}
	return l.Paid[low] + (at-float64(low))*(l.Paid[low+1]-l.Paid[low])
}

// SoldWithin is the chance of a sale within some days.
func (d Draws) SoldWithin(days int) float64 {
	sum := 0.0
	for _, x := range d {
		if x.Days <= days {
			sum += x.Weight
		}
	}
	return min(sum, 1)
}

// DaysQuantile is the number of days within which the sale comes with chance p.
func (d Draws) DaysQuantile(p float64) int {
	return int(d.Quantile(p, func(x Draw) float64 { return float64(x.Days) }))
}

// MeanPrice is the price expected, in pounds.
func (d Draws) MeanPrice() float64 {
	sum := 0.0
	for _, x := range d {
		sum += x.Weight * x.Price
	}
	return sum
}

// Quantile is the figure of a draw that is not exceeded with chance p.
func (d Draws) Quantile(p float64, of func(Draw) float64) float64 {
	type figure struct{ value, weight float64 }
	figures := make([]figure, len(d))
	for i, x := range d {
		figures[i] = figure{of(x), x.Weight}
	}
	slices.SortFunc(figures, func(a, b figure) int { return cmp.Compare(a.value, b.value) })
	sum := 0.0
	for _, f := range figures {
		if sum += f.weight; sum >= p {
			return f.value
		}
	}
	return figures[len(figures)-1].value
}
