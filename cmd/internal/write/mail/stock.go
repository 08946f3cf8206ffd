package mail

import (
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// sum adds the amounts that are known.
type sum struct {
	sum   data.Money
	known int
}

func (s *sum) add(a amount) {
	if a.Known {
		s.sum, s.known = s.sum.Add(a.Value), s.known+1
	}
}

// totals are the figures of a set that the table shows.
type totals struct {
	inHand, ready, offered, flagged int
	cost, price, profit, target     sum
	jobsWaiting, vansWaiting        int
}

func totalsOf(s *Set) totals {
	var t totals
	for _, id := range s.ids() {
		v := s.vans[id]
		switch {
		case v.status == data.Offered:
			t.offered++
		case v.status.InHand():
			t.inHand++
			if v.status == data.Ready {
				t.ready++
			}
			if len(v.flags) > 0 {
				t.flagged++
			}
			t.cost.add(v.cost)
			t.price.add(v.price)
			t.profit.add(v.profit)
			t.target.add(v.target)
		}
	}
	for _, jobs := range s.waiting {
		t.vansWaiting++
		t.jobsWaiting += jobs
	}
	return t
}

// stock is the table of figures.
func (c comparison) stock() Section {
	s := Section{Title: "Stock", At: "index.html#counts", Note: c.overview()}
	now := totalsOf(c.now)
	var before totals
	if c.before != nil {
		before = totalsOf(c.before)
	}
	counts := func(what, file, column string, of func(totals) int) {
		s.Figures = append(s.Figures, c.figure(what, file, column, number(of(before)), number(of(now)), signed(of(now)-of(before))))
	}
	money := func(what, column string, of func(totals) sum) {
		is, was := of(now).sum, of(before).sum
		s.Figures = append(s.Figures, c.figure(what, "margin.csv", column, data.InPounds(was), data.InPounds(is), signedMoney(is.Sub(was))))
	}
	counts("In hand", "margin.csv", "status", func(t totals) int { return t.inHand })
	counts("Ready to show", "margin.csv", "status", func(t totals) int { return t.ready })
	counts("With a flag", "margin.csv", "flags", func(t totals) int { return t.flagged })
	counts("Offered to us", "bids.csv", "stock_id", func(t totals) int { return t.offered })
	money("Money in stock", "cost", func(t totals) sum { return t.cost })
	money("Total price", "price", func(t totals) sum { return t.price })
	money("Profit expected", "profit", func(t totals) sum { return t.profit })
	money("Target profit", "target_profit", func(t totals) sum { return t.target })
	counts("Jobs waiting for parts", "jobs.csv", "state", func(t totals) int { return t.jobsWaiting })

	var without []string
	for _, u := range []struct {
		n    int
		what string
	}{{now.inHand - now.cost.known, "cost"}, {now.inHand - now.price.known, "price"}, {now.inHand - now.profit.known, "profit"}} {
		if u.n > 0 && c.now.has("margin.csv", "") {
			without = append(without, fmt.Sprintf("the %s of %s", u.what, count(u.n, "van")))
		}
	}
	if len(without) > 0 {
		s.Note += fmt.Sprintf(" Not known, and not in the sums: %s.", joined(without))
	}
	return s
}

// figure leaves blank, or says to be unknown, what one of the sets does not
// tell.
func (c comparison) figure(what, file, column, before, now, change string) Figure {
	if !c.now.has(file, column) {
		now, change = unknown, unknown
	}
	switch {
	case c.before == nil:
		before, change = "", ""
	case !c.before.has(file, column):
		before, change = unknown, unknown
	}
	return Figure{what, before, now, change}
}

func signed(n int) string {
	switch {
	case n == 0:
		return "same"
	case n > 0:
		return "+" + number(n)
	}
	return number(n)
}

func signedMoney(m data.Money) string {
	text := data.InPounds(m)
	switch {
	case strings.Trim(text, "-£") == "0":
		return "same"
	case m.IsPositive():
		return "+" + text
	}
	return text
}
