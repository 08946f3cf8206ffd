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
	until, paused := pricing.RejectUntil(v.Van, v.Jobs)
	if until.IsZero() || until < l.asOf && !paused {
		return
	}
	what := fmt.Sprintf("delivered on %s: the buyer may reject it until %s", v.DeliveredOn.Words(), until.Words())
	if paused {
		what = fmt.Sprintf("delivered on %s and back for a repair: the buyer's right to reject stands still, with at least 7 days after its return", v.DeliveredOn.Words())
	}
	l.add(Thing{StockID: v.StockID, Kind: Money, What: what, Due: until, Pounds: data.OptPence(v.SoldPrice), Meaning: "selling price", Who: Sales})
}
