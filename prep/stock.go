package prep

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// stock is the parts that are there and those on their way.
type stock struct {
	shelf   map[string]int  // by part: the book's stock and what was ordered for stock and has arrived
	arrived map[vanPart]int // what was ordered for a van and has arrived
	coming  []coming        // by due day, then as ordered
}

type vanPart struct{ stockID, part string }

// coming is an order that has not arrived.
type coming struct {
	vanPart // a blank stockID: for stock
	due     data.Date
	left    int
}

// newStock counts what orders have brought and what jobs have used. A job that is
// done or has begun has used its parts: those that came for its van first, then
// those that came for stock by the day on which it is known to have begun. The
// book's own stock is what somebody counted, and stands.
func newStock(work []VanJobs, books *data.Books, orders []data.Order, asOf data.Date) *stock {
	s := &stock{shelf: map[string]int{}, arrived: map[vanPart]int{}}
	since := map[string]data.Date{} // of each part ordered for stock: the first arrival
	came := map[string]int{}
	for _, o := range orders {
		switch there := !o.ArrivedOn.IsZero() && o.ArrivedOn <= asOf; {
		case there && o.StockID == "":
			came[o.Part] += o.Quantity
			if was, ok := since[o.Part]; !ok || o.ArrivedOn < was {
				since[o.Part] = o.ArrivedOn
			}
		case there:
			s.arrived[vanPart{o.StockID, o.Part}] += o.Quantity
		case o.OrderedOn <= asOf:
			part, _ := books.Part(o.Part)
			due := o.DueOn
			if due.IsZero() {
				due = max(o.OrderedOn, asOf.AddDays(-part.LeadDays)).AddDays(part.LeadDays)
			}
			s.coming = append(s.coming, coming{vanPart{o.StockID, o.Part}, due, o.Quantity})
		}
	}
	slices.SortStableFunc(s.coming, func(a, b coming) int { return cmp.Compare(a.due, b.due) })
	for _, w := range work {
		for i := range w.Jobs {
			j := &w.Jobs[i]
			if j.State != data.JobStarted && j.State != data.JobDone {
				continue
			}
			for _, use := range j.Parts {
				left := use.Qty - s.takeArrived(vanPart{j.StockID, use.Part}, use.Qty)
				if begun := max(j.DoneOn, j.Since); begun >= since[use.Part] {
					came[use.Part] = max(came[use.Part]-left, 0)
				}
			}
		}
	}
	for _, p := range books.Parts {
		s.shelf[p.Code] = p.InStock + came[p.Code]
	}
	return s
}

// take takes up to qty of a part off the shelf.
func (s *stock) take(part string, qty int) int {
	got := min(qty, s.shelf[part])
	s.shelf[part] -= got
	return got
}

// takeArrived takes up to qty of what came for a van.
func (s *stock) takeArrived(of vanPart, qty int) int {
	got := min(qty, s.arrived[of])
	s.arrived[of] -= got
	return got
}

// takeComing takes up to qty of what is on order for a van or for stock, the van's
// own first, and returns when the last of it is due.
func (s *stock) takeComing(stockID, part string, qty int) (got int, due data.Date) {
	for _, owner := range []string{stockID, ""} {
		for k := range s.coming {
			c := &s.coming[k]
			if c.vanPart != (vanPart{owner, part}) || got == qty {
				continue
			}
			if n := min(qty-got, c.left); n > 0 {
				c.left -= n
				got += n
				due = max(due, c.due)
			}
		}
	}
	return got, due
}
