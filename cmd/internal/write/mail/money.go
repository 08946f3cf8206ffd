package mail

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// weighed is an item and what it moves in pounds, by which it is ranked.
type weighed struct {
	Item
	weight data.Money
}

// ranked lists items by their weight, the largest first, then by stock_id.
func ranked(items []weighed) []Item {
	slices.SortFunc(items, func(a, b weighed) int {
		return cmp.Or(b.weight.Cmp(a.weight), cmp.Compare(a.Van, b.Van))
	})
	var out []Item
	for _, item := range items {
		out = append(out, item.Item)
	}
	return out
}

// both walks the vans that each of the sets has, by stock_id.
func (c comparison) both(yield func(is, was *van) bool) {
	for _, id := range c.now.ids() {
		if was := c.before.find(id); was != nil && !yield(c.now.vans[id], was) {
			return
		}
	}
}

// prices lists the unsold vans whose price moved: the one that is asked, where
// one is, and the one that is advised.
func (c comparison) prices() Section {
	s := Section{Title: "Dearer and cheaper", At: atChanges}
	if c.before == nil {
		return s
	}
	var items []weighed
	dearer, cheaper := 0, 0
	for is, was := range c.both {
		if is.status == data.Sold || was.status == data.Sold {
			continue
		}
		var says []string
		var weight data.Money
		say := func(what string, from, to amount) {
			if !from.Known || !to.Known || from.Value.Equal(to.Value) {
				return
			}
			if weight.IsZero() {
				if to.Value.GreaterThan(from.Value) {
					dearer++
				} else {
					cheaper++
				}
			}
			weight = bigger(weight, to.Value.Sub(from.Value).Abs())
			says = append(says, fmt.Sprintf("%s %s, %s", what, pounds(to), moved(from.Value, to.Value)))
		}
		if is.basis == was.basis {
			switch is.basis {
			case "expected":
				say("expected to fetch", was.price, is.price)
			case "asking": // sets of earlier versions have the asking price itself
				say("asked", was.price, is.price)
			}
		}
		say("advised", was.advised, is.advised)
		if len(says) > 0 {
			items = append(items, weighed{is.item(strings.Join(says, "; ")), weight})
		}
	}
	s.Items = ranked(items)
	switch {
	case !c.comparable("prices.csv", "price"):
		s.Note = "Advised prices could not be compared: see the end."
	case len(items) == 0:
		s.Note = "No price moved."
	default:
		s.Note = fmt.Sprintf("%s dearer, %s cheaper.", number(dearer), number(cheaper))
	}
	s.cut(vansShown)
	return s
}

func bigger(a, b data.Money) data.Money {
	if b.GreaterThan(a) {
		return b
	}
	return a
}

// bids lists the vans on offer, then and now, whose largest bid moved.
func (c comparison) bids() Section {
	s := Section{Title: "Bids that moved", At: atChanges}
	if !c.comparable("bids.csv", "max_bid") {
		return s
	}
	var items []weighed
	for is, was := range c.both {
		if is.status != data.Offered || was.status != data.Offered {
			continue
		}
		switch from, to := was.bid, is.bid; {
		case from.Known && to.Known && !from.Value.Equal(to.Value):
			items = append(items, weighed{
				is.item(fmt.Sprintf("maximum bid %s, %s", pounds(to), moved(from.Value, to.Value))),
				to.Value.Sub(from.Value).Abs(),
			})
		case from.Known && !to.Known:
			items = append(items, weighed{is.item("no bid can be given now; the maximum was " + pounds(from)), from.Value})
		case to.Known && !from.Known:
			items = append(items, weighed{is.item("maximum bid " + pounds(to) + "; there was none before"), to.Value})
		}
	}
	s.Items = ranked(items)
	s.cut(vansShown)
	return s
}

// leastMove keeps out what every van loses in a night, a day's holding.
var leastMove = decimal.NewFromInt(50)

// profits lists the vans in hand, then and now, whose expected profit moved
// most, with the column of margin.csv that moved it most.
func (c comparison) profits() Section {
	s := Section{Title: "Profit: largest changes", At: atChanges}
	if !c.comparable("margin.csv", "profit") {
		return s
	}
	var items []weighed
	for is, was := range c.both {
		if !is.status.InHand() || !was.status.InHand() || !is.profit.Known || !was.profit.Known {
			continue
		}
		by := is.profit.Value.Sub(was.profit.Value)
		if by.Abs().LessThan(leastMove) {
			continue
		}
		text := fmt.Sprintf("%s expected, %s%s", pounds(is.profit), moved(was.profit.Value, is.profit.Value), because(is, was, by))
		items = append(items, weighed{is.item(text), by.Abs()})
	}
	s.Items = ranked(items)
	s.cut(profitsShown)
	return s
}

var componentWords = map[string]string{
	"vat": "VAT", "cost": "what it cost", "prep": "preparation", "warranty": "warranty", "holding": "holding", "selling": "selling cost",
}

// because names what moved a profit most, in the direction in which it moved.
func because(is, was *van, by data.Money) string {
	most, what := data.Money{}, ""
	see := func(name string, effect data.Money) {
		if effect.Sign() == by.Sign() && effect.Abs().GreaterThan(most.Abs()) {
			most, what = effect, name
		}
	}
	if is.price.Known && was.price.Known {
		see("its price", is.price.Value.Sub(was.price.Value))
	}
	for i, c := range components {
		if is.parts[i].Known && was.parts[i].Known {
			see(componentWords[c], was.parts[i].Value.Sub(is.parts[i].Value))
		}
	}
	if what == "" {
		return ""
	}
	return ", mostly by " + what
}
