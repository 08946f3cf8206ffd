package mail

import (
	"fmt"
	"maps"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// moves are the vans that came, went or changed hands, each by stock_id.
type moves struct {
	sold, bought, ready, offered []*van // as they are now
	others                       []Item // what else became of one
}

func movesBetween(now, before *Set) moves {
	var m moves
	if before == nil || !now.has("margin.csv", "") || !before.has("margin.csv", "") {
		return m
	}
	offers := now.has("bids.csv", "") && before.has("bids.csv", "")
	all := maps.Clone(now.vans)
	maps.Copy(all, before.vans)
	for _, id := range slices.Sorted(maps.Keys(all)) {
		is, was := now.find(id), before.find(id)
		switch {
		case is == nil && was == nil:
		case is == nil:
			m.gone(was, offers)
		case was == nil:
			m.appeared(is, offers)
		case is.status != was.status:
			m.changed(is, was)
		}
	}
	return m
}

// gone is of a van that the reports no longer have. A sold van may leave the
// yard's table at any time.
func (m *moves) gone(was *van, offers bool) {
	switch {
	case was.status == data.Offered && offers:
		m.other(was, "no longer offered to us")
	case was.status.InHand():
		m.other(was, "no longer among the vans; it was "+string(was.status))
	}
}

func (m *moves) appeared(is *van, offers bool) {
	switch {
	case is.status == data.Sold:
		m.sold = append(m.sold, is)
	case is.status.InHand():
		m.bought = append(m.bought, is)
	case is.status == data.Offered && offers:
		m.offered = append(m.offered, is)
	}
}

func (m *moves) changed(is, was *van) {
	switch {
	case is.status == data.Sold:
		m.sold = append(m.sold, is)
	case is.status.InHand() && was.status == data.Offered:
		m.bought = append(m.bought, is)
	case is.status == data.Ready && was.status.InHand():
		m.ready = append(m.ready, is)
	case was.status == data.Sold:
		m.other(is, fmt.Sprintf("its sale is undone: it is %s", is.status))
	default:
		m.other(is, fmt.Sprintf("now %s, was %s", is.status, was.status))
	}
}

func (m *moves) other(v *van, text string) {
	m.others = append(m.others, v.item(text))
}

// came lists the vans that were bought, made ready or offered, and what else
// became of one, in this order.
func (c comparison) came() Section {
	s := Section{Title: "Bought, made ready, newly offered", At: atChanges}
	if c.before == nil {
		return s
	}
	if !c.comparable("margin.csv") {
		s.Note = "Not known: see the end."
		return s
	}
	for _, v := range c.moves.bought {
		text := "bought"
		if v.cost.Known {
			text += " for " + pounds(v.cost)
		}
		if v.status != data.Owned {
			text += "; it is " + string(v.status)
		}
		s.Items = append(s.Items, v.item(text+c.expected(v)))
	}
	for _, v := range c.moves.ready {
		s.Items = append(s.Items, v.item(fmt.Sprintf("made ready, after %s in stock%s", count(v.days, "day"), c.expected(v))))
	}
	for _, v := range c.moves.offered {
		text := "newly offered to us; no bid can be given yet"
		if v.bid.Known {
			text = "newly offered to us; maximum bid " + pounds(v.bid)
		}
		s.Items = append(s.Items, v.item(text))
	}
	s.Items = append(s.Items, c.moves.others...)
	if len(s.Items) == 0 {
		s.Note = "None."
	}
	s.cut(vansShown)
	return s
}

// expected is what a van in hand stands at and should leave.
func (c comparison) expected(v *van) string {
	if !v.price.Known || !v.profit.Known {
		return ""
	}
	if v.basis == "expected" {
		return fmt.Sprintf("; expected to fetch %s, expected profit %s", pounds(v.price), pounds(v.profit))
	}
	return fmt.Sprintf("; advised at %s, expected profit %s", pounds(v.price), pounds(v.profit))
}

// sold lists the vans sold, with the profit against the profit wanted.
func (c comparison) sold() Section {
	s := Section{Title: "Sold", At: atMargin}
	switch {
	case c.before == nil:
		return s
	case !c.comparable("margin.csv"):
		s.Note = "Not known: see the end."
		return s
	case len(c.moves.sold) == 0:
		s.Note = "None."
		return s
	}
	var fetched, profit, target sum
	for _, v := range c.moves.sold {
		text := "sold"
		if !v.soldOn.IsZero() {
			text += " on " + c.now.day(v.soldOn)
		}
		if v.price.Known {
			text += " for " + pounds(v.price)
		}
		text += fmt.Sprintf(" after %s in stock", count(v.days, "day"))
		fetched.add(v.price)
		switch {
		case !v.profit.Known:
			text += "; its profit is not known"
		default:
			text += fmt.Sprintf("; profit %s%s", pounds(v.profit), against(v.profit, v.target))
			profit.add(v.profit)
			target.add(v.target)
		}
		s.Items = append(s.Items, v.item(text))
	}
	if all := len(s.Items); all > 1 {
		s.Note = fmt.Sprintf("%s for %s.", count(all, "van"), data.InPounds(fetched.sum))
		who := "They"
		if profit.known < all {
			who = fmt.Sprintf("The %s of known profit", number(profit.known))
		}
		if profit.known > 0 {
			s.Note += fmt.Sprintf(" %s left %s%s.", who, data.InPounds(profit.sum), against(data.Some(profit.sum), data.Some(target.sum)))
		}
	}
	s.cut(vansShown)
	return s
}

// against compares a profit with the profit wanted.
func against(profit, target amount) string {
	if !target.Known {
		return ""
	}
	over := profit.Value.Sub(target.Value)
	if over.IsNegative() {
		return fmt.Sprintf(", %s below the target of %s", data.InPounds(over.Neg()), pounds(target))
	}
	return fmt.Sprintf(", %s above the target of %s", data.InPounds(over), pounds(target))
}
