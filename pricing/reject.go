package pricing

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// A consumer's short-term right to reject lasts 30 days from the day after
// delivery. It stands still from the day on which a repair is asked for until the
// van is back, and then has what was left of the 30 days, or 7 days if that is more
// (Consumer Rights Act 2015 section 22, legislation.gov.uk; that both of those days
// belong to the pause is from memory).
const (
	rejectDays    = 30
	leftAfterWork = 7
)

// Rejection is how long the buyer of a sold van may reject it.
type Rejection struct {
	Until   data.Date   // the last day; where Paused, had the van not come back for a repair
	Repairs []WorkSpell // that moved Until, by their beginning
	AtLeast bool        // the day on which one of Repairs was asked for is not known: Until may be later

	Paused bool      // a repair has stopped the clock
	Since  data.Date // when it was asked for; unknown where no row says
	Left   int       // days left from its return on, at least where Since is unknown

	// InDoubt is a repair that was done after Until. It counts where it was asked for
	// by Until, of which nothing is known: then the right lasts until Then.
	InDoubt WorkSpell
	Then    data.Date
}

// Runs reports whether the buyer may reject the van on a day, or might where the
// records leave it in doubt.
func (r Rejection) Runs(on data.Date) bool {
	return !r.Until.IsZero() && (r.Paused || on <= r.Until || on <= r.Then)
}

// WorkSpell is a repair after delivery, from the day on which it was asked for to
// the day on which it was done, which stands for the van's return.
type WorkSpell struct {
	From, To data.Date // From is unknown where no row has it, To while it lasts
}

// RightToReject works out the buyer's short-term right to reject a sold van from
// the rows of its progress: the zero Rejection where it was not delivered.
func RightToReject(v data.Van, rows []data.Progress) Rejection {
	if v.Status != data.Sold || v.DeliveredOn.IsZero() {
		return Rejection{}
	}
	r := Rejection{Until: v.DeliveredOn.AddDays(rejectDays)}
	counted := v.DeliveredOn // to this day the clock's stops are in Until
	for _, s := range repairs(rows, v.DeliveredOn) {
		from := cmp.Or(s.From, s.To)
		switch {
		case !r.Since.IsZero():
			// Within the repair that lasts.
		case s.To.IsZero():
			r.pause(s.From, counted)
		case from > r.Until && s.From.IsZero():
			r.InDoubt, r.Then = s, max(r.Then, s.To.AddDays(leftAfterWork))
		case from > r.Until || s.To <= counted && !s.From.IsZero():
			// Asked for too late, or within a longer repair.
		default:
			days := s.To.DaysSince(max(from, counted.AddDays(1))) + 1
			r.Until = max(r.Until.AddDays(max(days, 0)), s.To.AddDays(leftAfterWork))
			r.AtLeast = r.AtLeast || s.From.IsZero()
			r.Repairs = append(r.Repairs, s)
			counted = max(counted, s.To)
		}
	}
	return r
}

// pause stops the clock from a day on; it is not stopped where the right had run out.
func (r *Rejection) pause(from, counted data.Date) {
	if from > r.Until || r.Paused {
		return
	}
	r.Paused, r.Since, r.Left = true, from, leftAfterWork
	if !from.IsZero() {
		r.Left = max(leftAfterWork, r.Until.DaysSince(max(from, counted.AddDays(1)))+1)
	}
}

// repairs lists the repairs after delivery, by the day from which each is known of:
// those that last stand last on their day.
func repairs(rows []data.Progress, delivered data.Date) []WorkSpell {
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(a, b data.Progress) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.On, b.On))
	})
	var out []WorkSpell
	for len(rows) > 0 {
		n := 1
		for n < len(rows) && rows[n].Job == rows[0].Job {
			n++
		}
		out = append(out, spellsOf(rows[:n], delivered)...)
		rows = rows[n:]
	}
	known := func(s WorkSpell) data.Date { return cmp.Or(s.From, s.To) }
	lasts := func(s WorkSpell) int {
		if s.To.IsZero() {
			return 1
		}
		return 0
	}
	slices.SortFunc(out, func(a, b WorkSpell) int {
		return cmp.Or(cmp.Compare(known(a), known(b)), cmp.Compare(lasts(a), lasts(b)), cmp.Compare(a.To, b.To))
	})
	return out
}

// spellsOf parts the rows of one job, in their order, into repairs after delivery:
// each from the first row that has it in hand to the one that ends it.
func spellsOf(rows []data.Progress, delivered data.Date) []WorkSpell {
	var out []WorkSpell
	var from data.Date
	inHand := false
	for i := range rows {
		p := &rows[i]
		if p.State != data.JobDone && p.State != data.JobDropped {
			switch {
			case p.On > delivered && !inHand:
				inHand, from = true, p.On
			case p.On.IsZero() && p.State != data.JobOpen:
				inHand, from = true, 0
			}
			continue
		}
		if to := cmp.Or(p.DoneOn, p.On); to > delivered {
			if from > to {
				from = 0 // entered after the event
			}
			out = append(out, WorkSpell{from, to})
		}
		inHand, from = false, 0
	}
	if inHand {
		out = append(out, WorkSpell{From: from})
	}
	return out
}
