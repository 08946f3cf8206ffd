package pages

import (
	"fmt"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// Pictures are drawn 360 units wide, which is a phone's width in pixels, so
// that their text is as large as the page's. Figures stand beside every bar.
const (
	pictureWidth = 360
	barsTop      = 4
	barsStep     = 40 // a line of text above a bar
)

// bars is a picture of horizontal bars, each with its words above it.
type bars struct {
	Label  string // what the picture says, in words
	Height int
	Zero   int // x of nought; drawn where some bar goes below it
	Below  bool
	Bars   []bar
}

// waterfall is bars that run from one another's ends: price down to profit.
type waterfall = bars

type bar struct {
	Text, Figure string
	X, W         int
	TextY, Y     int
	Class        string
}

// waterfallOf draws where a price goes.
func waterfallOf(head string, r pricing.ProfitBreakdown) *waterfall {
	steps := []struct {
		text   string
		amount data.Money
	}{
		{"VAT", r.VAT}, {"Cost", r.Cost}, {"Preparation", r.Prep},
		{"Warranty", r.Warranty}, {"Holding", r.Holding}, {"Selling", r.Selling},
	}
	price, profit := r.Price.InexactFloat64(), r.Profit.InexactFloat64()
	low, high := min(0, profit), max(price, profit, 1)
	x := func(v float64) int { return round((v - low) / (high - low) * pictureWidth) }
	w := &waterfall{
		Label: fmt.Sprintf("%s: price %s, VAT %s, cost %s, preparation %s, warranty %s, holding %s, selling %s, profit %s", head,
			pounds(r.Price), pounds(r.VAT), pounds(r.Cost), pounds(r.Prep), pounds(r.Warranty), pounds(r.Holding), pounds(r.Selling), pounds(r.Profit)),
		Zero: x(0), Below: low < 0,
	}
	w.add("Price", pounds(r.Price), x(0), x(price), "bar-whole")
	at := price
	for _, s := range steps {
		next := at - s.amount.InexactFloat64()
		w.add("less "+s.text, pounds(s.amount.Neg()), x(next), x(at), "bar-part")
		at = next
	}
	w.add("Profit", pounds(r.Profit), x(min(0, profit)), x(max(0, profit)), "bar-kept")
	return w
}

// add puts one bar below the others; its ends may come in any order.
func (b *bars) add(text, figure string, from, to int, class string) {
	from, to = min(from, to), max(from, to)
	y := barsTop + len(b.Bars)*barsStep
	b.Bars = append(b.Bars, bar{
		Text: text, Figure: figure, X: min(from, pictureWidth-2), W: max(to-from, 2), TextY: y + 14, Y: y + 20, Class: class,
	})
	b.Height = y + barsStep
}

func round(v float64) int {
	if v < 0 {
		return -int(0.5 - v)
	}
	return int(v + 0.5)
}
