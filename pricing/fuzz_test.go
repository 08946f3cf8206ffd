package pricing

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"testing"

	gocmp "github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"github.com/vanwright/vanwright/data"
)

// saleBytes is what one sale takes of the fuzzer's bytes.
const saleBytes = 13

// cellsOf hands out the fuzzer's bytes; zeros once they are used up.
type cellsOf struct{ b []byte }

func (c *cellsOf) byte() byte {
	if len(c.b) == 0 {
		return 0
	}
	v := c.b[0]
	c.b = c.b[1:]
	return v
}

func (c *cellsOf) word() int {
	return int(binary.LittleEndian.Uint16([]byte{c.byte(), c.byte()}))
}

// amount is a penny to a hundred million pounds, the ends that a table may
// hold, with as many small amounts as large ones.
func (c *cellsOf) amount() data.Opt[data.Money] {
	b := c.byte()
	pounds := math.Exp(math.Log(0.01) + float64(c.word())/65535*math.Log(1e10))
	return data.Opt[data.Money]{Value: data.Pounds(min(pounds, 1e8)), Known: b%5 > 0}
}

// day is a day that a table may hold of what has happened, most of them in the
// last years.
func (c *cellsOf) day() data.Date {
	switch b := c.byte(); {
	case b < 16:
		return 0
	case b < 32:
		return data.NewDate(1950, 1, 1)
	case b < 48:
		return marketDay
	default:
		return marketDay.AddDays(-25 * int(b-48))
	}
}

func (c *cellsOf) count() data.Opt[int] {
	b := c.byte()
	return data.Opt[int]{Value: int(b/4) * 150, Known: b%4 > 0}
}

func (c *cellsOf) mileage() int { return min(c.word()*31, 2_000_000) }

// sale is complete and of few kinds more often than not, so that a model has
// something to learn from.
func (c *cellsOf) sale(i int) data.Sale {
	kind := c.byte()
	s := data.Sale{
		SaleID: fmt.Sprintf("S%03d", i),
		Maker:  string('A' + rune(kind%3)), Model: string('a' + rune(kind/3%4)), Body: data.Bodies[int(kind/12)%len(data.Bodies)],
		Gearbox: []string{"", "manual", "automatic"}[kind/64%3],
		Mileage: c.mileage(), LengthMM: c.count(),
		SoldOn: c.day(), SoldPrice: c.amount(), Asking: c.amount(), Listed: c.day(),
	}
	switch b := c.byte(); {
	case b < 16:
	case b < 24:
		s.FirstRegistered = marketDay
	default:
		s.FirstRegistered = cmp.Or(s.SoldOn, marketDay).AddDays(-50 * int(b-24))
	}
	return s
}

// FuzzMarket makes past sales and a van of the bytes. Whatever the sales are,
// the market values the van or declines: no panic, and each figure is finite
// and where it must be. The order of the sales shows nowhere.
func FuzzMarket(f *testing.F) {
	f.Add([]byte{})
	for _, step := range []int{1, 7, 37, 101} {
		b := make([]byte, 30*saleBytes)
		for i := range b {
			b[i] = byte(step*i + i/saleBytes*13)
		}
		f.Add(b)
		f.Add(b[:13*saleBytes])
	}
	alike := []byte{1, 0, 160} // sales of one kind that differ in the price alone
	for i := range byte(40) {
		alike = append(alike, 1, 0, 8, 41, 70, 1, 13*i, 160, 1, 11*i, 161, 74, 90)
	}
	f.Add(alike)
	alike[3+5*saleBytes+5] = 0 // one of them not yet sold
	f.Add(alike[:3+20*saleBytes])
	f.Fuzz(func(t *testing.T, raw []byte) {
		c := &cellsOf{raw}
		var sales []data.Sale
		van := data.Van{StockID: "V1", Status: data.Ready, Guide: c.amount()}
		s := c.sale(0)
		van.Maker, van.Model, van.Body, van.Gearbox, van.FirstRegistered, van.Mileage = s.Maker, s.Model, s.Body, s.Gearbox, s.FirstRegistered, s.Mileage
		van.Listed, van.Asking, van.Cost = s.Listed, s.Asking, s.SoldPrice
		for len(c.b) >= saleBytes && len(sales) < 40 {
			sales = append(sales, c.sale(len(sales)))
		}
		policy := data.DefaultPolicy()
		policy.HorizonDays = 30
		m := NewMarket(sales, marketDay, policy)
		checkPace(t, m.Pace())
		q := m.Quote(van, Condition{})
		checkQuote(t, q)
		if len(sales) > 24 {
			return // a second fit of so many takes too long to be tried often
		}
		slices.Reverse(sales)
		again := NewMarket(sales, marketDay, policy).Quote(van, Condition{})
		if diff := gocmp.Diff(q, again, cmpopts.IgnoreUnexported(Quote{}, Outlook{}), gocmp.Comparer(data.Money.Equal)); diff != "" {
			t.Errorf("with the sales in another order: %s", diff)
		}
	})
}

func checkPace(t *testing.T, p Pace) {
	t.Helper()
	if !(p.MedianDays > 0 && p.MedianDays <= math.MaxFloat64) || math.IsNaN(p.PriceEffect) || math.IsInf(p.PriceEffect, 0) {
		t.Errorf("pace %+v", p)
	}
}

func checkQuote(t *testing.T, q Quote) {
	t.Helper()
	if !q.Market.Known {
		if q.Price.Known || q.AskingPrice.Known || q.Low.Known || q.High.Known || len(q.Ladder) > 0 || len(q.Reasons) == 0 {
			t.Errorf("no value, and yet, or without a reason: %+v", q)
		}
		return
	}
	if !(q.LogSD >= 0 && q.LogSD <= math.MaxFloat64) {
		t.Errorf("the logarithm of the value has a deviation of %v", q.LogSD)
	}
	if q.Market.Value.IsNegative() || q.Low.Value.GreaterThan(q.Market.Value) || q.Market.Value.GreaterThan(q.High.Value) {
		t.Errorf("value %s, 90 %% from %s to %s", q.Market.Value, q.Low.Value, q.High.Value)
	}
	if len(q.Explained) > 0 {
		var sum data.Money
		for _, e := range q.Explained {
			sum = sum.Add(e.Pounds)
		}
		if !sum.Equal(q.Market.Value) {
			t.Errorf("effects sum to %s, the value is %s", sum, q.Market.Value)
		}
	}
	for _, c := range q.Comparables {
		if !(c.Distance >= 0) || c.Adjusted.IsNegative() {
			t.Errorf("comparable %s at %v brings %s", c.Sale.SaleID, c.Distance, c.Adjusted)
		}
	}
	if !q.Price.Known {
		if q.Market.Value.IsPositive() {
			t.Errorf("a value of %s and no price: %q", q.Market.Value, q.Reasons)
		}
		return
	}
	if !q.Price.Value.IsPositive() || !q.AskingPrice.Value.IsPositive() || q.DaysToSell.Value < 1 {
		t.Errorf("price %s, ticket %s, sold in %d days", q.Price.Value, q.AskingPrice.Value, q.DaysToSell.Value)
	}
	if w := q.SellWithin60.Value.InexactFloat64(); !(w >= 0 && w <= 100) {
		t.Errorf("sold within 60 days with a chance of %v %%", w)
	}
	last := marketDay
	for _, s := range q.Ladder {
		if s.From <= last || !s.Price.IsPositive() {
			t.Errorf("after %s a price of %s from %s", last, s.Price, s.From)
		}
		last = s.From
	}
}
