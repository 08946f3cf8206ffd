package attention

import (
	"fmt"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// sold names a sold van that its buyer may still reject, and amounts of it that
// are likely wrong.
func (l *list) sold(v *Van) {
	l.doubts(v)
	r := pricing.RightToReject(v.Van, v.Progress)
	if !r.Runs(l.asOf) {
		return
	}
	due := r.Until
	if due < l.asOf && !r.Paused {
		due = r.Then
	}
	l.add(Thing{
		StockID: v.StockID, Kind: Money, What: "delivered on " + v.DeliveredOn.Words() + rejection(r, l.asOf),
		Due: due, Pounds: data.OptPence(v.SoldPrice), Meaning: "selling price", Who: Sales,
	})
}

// rejection says how long a buyer may reject a van, and what moved it.
func rejection(r pricing.Rejection, asOf data.Date) string {
	atLeast := ""
	if r.AtLeast {
		atLeast = "at least "
	}
	switch {
	case r.Paused && r.Since.IsZero():
		return fmt.Sprintf(" and back for a repair: the buyer's right to reject stands still, with at least %d days after its return; no row says when it was asked for", r.Left)
	case r.Paused:
		return fmt.Sprintf(" and back for a repair asked for on %s: the buyer's right to reject stands still, with %s%d days left after its return", r.Since.Words(), atLeast, r.Left)
	case asOf > r.Until:
		return fmt.Sprintf(": a repair was done on %s; if it was asked for by %s, the buyer may reject it until %s", r.InDoubt.To.Words(), r.Until.Words(), r.Then.Words())
	}
	says := fmt.Sprintf(": the buyer may reject it %suntil %s", atLeast, r.Until.Words())
	if len(r.Repairs) == 0 {
		return says
	}
	s := r.Repairs[len(r.Repairs)-1]
	if s.From.IsZero() {
		return says + fmt.Sprintf(", after a repair done on %s; no row says when it was asked for", s.To.Words())
	}
	return says + fmt.Sprintf(", after a repair from %s to %s", s.From.Words(), s.To.Words())
}
