package pages

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
)

// changedShown is how many vans are listed; changes.csv has every change.
const changedShown = 12

// changedVan is what became of one van since the reports before. Van is blank
// of a link where the van is gone.
type changedVan struct {
	Van  link
	Name string
	Says []string
	most data.Money // the pounds that moved, which rank it
}

// Columns of the reports that tell what became of a van. Values and scores,
// which move a little on most nights, are left to changes.csv.
const (
	changedStatus = "margin.status"
	changedPrice  = "prices.price"
	changedBid    = "bids.max_bid"
	changedReady  = "queue.ready_on"
	changedScore  = "papers.history_score" // every van has one: blank before, it is new
	changedStart  = "schedule.start:"
)

// changed gathers the changes of each van, the most pounds first.
func (s *report) changed() (shown []changedVan, more int) {
	byVan := map[string]map[string]tables.Change{}
	var ids []string
	starts := map[string]int{}
	for _, c := range s.changes {
		if byVan[c.StockID] == nil {
			byVan[c.StockID] = map[string]tables.Change{}
			ids = append(ids, c.StockID)
		}
		byVan[c.StockID][c.What] = c
		if strings.HasPrefix(c.What, changedStart) {
			starts[c.StockID]++
		}
	}
	for _, id := range ids {
		if v := s.changedVan(id, byVan[id], starts[id]); len(v.Says) > 0 {
			shown = append(shown, v)
		}
	}
	slices.SortStableFunc(shown, func(a, b changedVan) int {
		return cmp.Or(b.most.Cmp(a.most), cmp.Compare(a.Van.Text, b.Van.Text))
	})
	more = max(0, len(shown)-changedShown)
	return shown[:len(shown)-more], more
}

// changedVan puts the changes of one van in words. The weight of a price or a
// bid is what it moved by, of a day of readiness what the days cost or win, and
// of a van that came, went or changed hands what it is worth.
func (s *report) changedVan(id string, changes map[string]tables.Change, starts int) changedVan {
	v, there := s.Find(id)
	out := changedVan{Van: s.vanLink("", id)}
	say := func(weight data.Money, format string, args ...any) {
		out.Says = append(out.Says, fmt.Sprintf(format, args...))
		if weight.GreaterThan(out.most) {
			out.most = weight
		}
	}
	if !there {
		say(greatest(amountOf(changes[changedPrice].Before), amountOf(changes[changedBid].Before)), "no longer among the vans")
		return out
	}
	out.Name = nameOf(v.Van)
	score, moved := changes[changedScore]
	isNew := moved && score.Before == ""
	switch status, moved := changes[changedStatus]; {
	case isNew:
		say(s.worthOf(v), "new: %s", v.Status)
	case moved:
		say(s.worthOf(v), "now %s, was %s", v.Status, cmp.Or(status.Before, string(data.Offered)))
	}
	if c, ok := changes[changedPrice]; ok && v.Quote != nil {
		weight, text := amountMoved(c, "price", isNew)
		say(weight, "%s", text)
	}
	if c, ok := changes[changedBid]; ok && v.Status == data.Offered {
		weight, text := amountMoved(c, "maximum bid", isNew)
		say(weight, "%s", text)
	}
	if c, ok := changes[changedReady]; ok && (v.Status == data.Owned || v.Status == data.Preparing) {
		weight, text := s.readyMoved(id, c)
		say(weight, "%s", text)
	} else if starts > 0 {
		say(data.Money{}, "%s to start on another day", count(starts, "job"))
	}
	return out
}

// worthOf is what hangs on a van as a whole.
func (s *report) worthOf(v *night.Van) data.Money {
	switch {
	case v.Margin != nil && v.Margin.Price.Known:
		return v.Margin.Price.Value
	case v.Quote != nil && v.Quote.Price.Known:
		return v.Quote.Price.Value
	}
	return v.Cost.Value
}

// amountMoved says how a price or a bid moved, and by how much.
func amountMoved(c tables.Change, what string, isNew bool) (data.Money, string) {
	before, after := amountOf(c.Before), amountOf(c.After)
	was, is := before.Value, after.Value
	switch {
	case isNew && after.Known:
		return is, fmt.Sprintf("%s %s", what, pounds(is))
	case before.Known && after.Known && is.LessThan(was):
		return was.Sub(is), fmt.Sprintf("%s %s, down %s", what, pounds(is), pounds(was.Sub(is)))
	case before.Known && after.Known:
		return is.Sub(was), fmt.Sprintf("%s %s, up %s", what, pounds(is), pounds(is.Sub(was)))
	case after.Known:
		return is, fmt.Sprintf("%s %s, was %s", what, pounds(is), notKnown)
	}
	return was, fmt.Sprintf("%s %s, was %s", what, notKnown, orUnknown(before, pounds))
}

// readyMoved says how the day on which a van is ready moved, and what the days
// between cost or win.
func (s *report) readyMoved(id string, c tables.Change) (data.Money, string) {
	before, _ := data.ParseDate(c.Before)
	after, _ := data.ParseDate(c.After)
	switch {
	case after.IsZero():
		return data.Money{}, fmt.Sprintf("can't be planned, was ready on %s", day(before))
	case before.IsZero():
		return data.Money{}, "ready on " + day(after)
	}
	days, way := after.DaysSince(before), "later"
	if days < 0 {
		days, way = -days, "sooner"
	}
	return s.queue[id].ValuePerDay.Mul(decimal.NewFromInt(int64(days))),
		fmt.Sprintf("ready on %s, %s %s", day(after), count(days, "day"), way)
}

// amountOf reads an amount of an earlier report; one that can't be read is
// unknown.
func amountOf(s string) data.Opt[data.Money] {
	m, err := data.ParseMoney(s)
	if err != nil {
		return data.Opt[data.Money]{}
	}
	return data.Some(m)
}

func greatest(amounts ...data.Opt[data.Money]) data.Money {
	most := data.Money{}
	for _, m := range amounts {
		if m.Known && m.Value.GreaterThan(most) {
			most = m.Value
		}
	}
	return most
}
