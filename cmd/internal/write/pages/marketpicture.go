package pages

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// agesOf draws the money tied up by days in stock; nil without stock.
func agesOf(rows []*pricing.MarginRow) *bars {
	if len(rows) == 0 {
		return nil
	}
	ages, most := pricing.StockByAge(rows), 1.0
	for _, a := range ages {
		most = max(most, a.Paid.InexactFloat64())
	}
	b := &bars{Label: "Stock by age and money paid"}
	for _, a := range ages {
		b.Label += fmt.Sprintf("; %s: %s, %s", a, count(a.Vans, "van"), pounds(a.Paid))
		b.add(data.Capital(a.String())+", "+count(a.Vans, "van"), pounds(a.Paid), 0, round(a.Paid.InexactFloat64()/most*pictureWidth), "bar-part")
	}
	return b
}

// pricedShown is how many vans the market picture holds.
const pricedShown = 40

// marketPicture sets each van's asking price against its value, in per cent of
// the value, so that vans of all prices share one scale.
type marketPicture struct {
	Label  string
	Height int
	Middle int // x of the value
	Rows   []marketRow
	More   int
}

type marketRow struct {
	Text, Figure string
	TextY, Y     int
	From, To, At int // interval and asking price
	Top, Bottom  int
}

// marketReach is the share of the value that the picture shows on each side.
const marketReach = 0.30

func (s *report) marketPicture() *marketPicture {
	type priced struct {
		id         string
		asking     float64
		value      float64
		low, high  float64
		text, said string
		away       float64
	}
	var all []priced
	for i := range s.Vans {
		v := &s.Vans[i]
		q := v.Quote
		if !v.Status.InHand() || q == nil || !q.Market.Known || !v.Asking.Known || !q.Market.Value.IsPositive() {
			continue
		}
		p := priced{id: v.StockID, asking: v.Asking.Value.InexactFloat64(), value: q.Market.Value.InexactFloat64(),
			low: q.Low.Value.InexactFloat64(), high: q.High.Value.InexactFloat64()}
		p.away = p.asking/p.value - 1
		p.text = v.StockID + ", asking " + pounds(v.Asking.Value)
		p.said = strings.Replace(fmt.Sprintf("%+.0f%%", 100*p.away), "-", "−", 1)
		all = append(all, p)
	}
	if len(all) == 0 {
		return nil
	}
	slices.SortFunc(all, func(a, b priced) int {
		return cmp.Or(cmp.Compare(math.Abs(b.away), math.Abs(a.away)), cmp.Compare(a.id, b.id))
	})
	m := &marketPicture{Middle: pictureWidth / 2, More: max(0, len(all)-pricedShown), Label: "Asking price against value"}
	x := func(amount, value float64) int {
		share := min(max((amount/value-1)/marketReach, -1), 1)
		return round(pictureWidth / 2 * (1 + share*0.97))
	}
	for i, p := range all[:len(all)-m.More] {
		y := 4 + i*barsStep
		m.Rows = append(m.Rows, marketRow{
			Text: p.text, Figure: p.said, TextY: y + 13, Y: y + 26, Top: y + 20, Bottom: y + 32,
			From: x(p.low, p.value), To: x(p.high, p.value), At: x(p.asking, p.value),
		})
		m.Label += "; " + p.text + ", " + p.said
	}
	m.Height = 4 + len(m.Rows)*barsStep
	return m
}
