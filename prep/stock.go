package prep

import (
	"cmp"
	"maps"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// stock is the parts that are there and those on their way.
type stock struct {
	shelf   map[string]int  // by part: what was counted and what came for stock, less what was fitted
	arrived map[vanPart]int // what was ordered for a van, has arrived and was not fitted
	coming  []coming        // by due day, then as ordered
}

type vanPart struct{ stockID, part string }

// coming is an order that has not arrived.
type coming struct {
	vanPart // a blank stockID: for stock
	due     data.Date
	left    int
}

// refilledDays is how long ago the shelf of the built-in book was full. Common
// practice, no source.
const refilledDays = 30

// Fitted are parts that a job took.
type Fitted struct {
	StockID, Part string
	Quantity      int
	On            data.Date // the latest day on which that can have been; unknown where it has no date
}

// FittedParts are those that jobs have taken: each that is done or has begun, and the
// first time of one that is asked for again.
func FittedParts(jobs []Job) (fitted []Fitted) {
	for i := range jobs {
		j := &jobs[i]
		if j.State != data.JobStarted && j.State != data.JobDone && !j.Again {
			continue
		}
		for _, use := range j.Parts {
			if use.Qty > 0 {
				fitted = append(fitted, Fitted{j.StockID, use.Part, use.Qty, max(j.DoneOn, j.Since)})
			}
		}
	}
	return fitted
}

// newStock counts what orders have brought and what jobs have taken since the parts
// were counted: day by day, and never below nothing, since what was fitted was there.
// What was ordered for a van is set aside for it, and its jobs take that first. A job
// without a day, or an arrival, comes before everything that has one; where the book
// says when a part was counted, what came before or on that day is in the count.
// Nobody counted the stock of the built-in book: it is what a shelf holds that is
// filled up every month.
func newStock(work []VanJobs, shop Workshop, books *data.Books, asOf data.Date) *stock {
	s := &stock{shelf: map[string]int{}, arrived: map[vanPart]int{}}
	type move struct {
		on  data.Date
		qty int // of the part that came; below zero: that was fitted
	}
	moves := map[string][]move{}
	counted := make(map[string]data.Date, len(books.Parts))
	for _, p := range books.Parts {
		if counted[p.Code] = p.CountedOn; p.BuiltIn() {
			counted[p.Code] = asOf.AddDays(-refilledDays)
		}
	}
	// A yard of years has many moves, of which few came after the count.
	count := func(part string, m move) {
		if on, known := counted[part]; known && (on.IsZero() || m.on > on) {
			moves[part] = append(moves[part], m)
		}
	}
	for _, o := range shop.Orders {
		switch there := !o.ArrivedOn.IsZero() && o.ArrivedOn <= asOf; {
		case there && o.StockID == "":
			count(o.Part, move{o.ArrivedOn, o.Quantity})
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
	fitted := slices.Clone(shop.Fitted)
	for _, w := range work {
		fitted = append(fitted, FittedParts(w.Jobs)...)
	}
	for _, f := range fitted {
		if left := f.Quantity - s.takeArrived(vanPart{f.StockID, f.Part}, f.Quantity); left > 0 {
			count(f.Part, move{f.On, -left})
		}
	}
	for _, p := range books.Parts {
		of := moves[p.Code]
		slices.SortStableFunc(of, func(a, b move) int { return cmp.Or(cmp.Compare(a.on, b.on), cmp.Compare(b.qty, a.qty)) })
		left := p.InStock
		for _, m := range of {
			left = max(left+m.qty, 0)
		}
		s.shelf[p.Code] = left
	}
	return s
}

// clone is for a plan of its own to take from.
func (s *stock) clone() *stock {
	return &stock{maps.Clone(s.shelf), maps.Clone(s.arrived), slices.Clone(s.coming)}
}

// there is how many of each part are in the house for the work: on the shelf, and set
// aside for one of its vans.
func (s *stock) there(work []VanJobs) map[string]int {
	n := maps.Clone(s.shelf)
	ours := map[string]bool{}
	for _, w := range work {
		ours[w.Van.StockID] = true
	}
	for of, qty := range s.arrived { // sums hang on no order
		if ours[of.stockID] {
			n[of.part] += qty
		}
	}
	return n
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
	if got > 0 {
		s.arrived[of] -= got
	}
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
