package night

import (
	"context"
	"fmt"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// One works out the bid for one van as Work would, and nothing else: the vans
// in hand count only as the work that is in the workshop's way. A van that is
// already owned is treated as if it were offered, at a cost not yet known.
func One(ctx context.Context, b ForBid, policy data.Policy, asOf data.Date, workers int, stockID string) (*Result, *Van, error) {
	yard := b.Yard
	asked, err := yard.Find(stockID)
	switch {
	case err != nil:
		return nil, nil, err
	case asked.Status == data.Sold:
		return nil, nil, fmt.Errorf("%s was sold on %s: there is nothing to bid for", stockID, asked.SoldOn)
	}
	r := newResult(yard, policy, asOf, func(v *data.Van) bool {
		return v.StockID == stockID || v.Status.InHand()
	})
	one, _ := r.Find(stockID)
	if one.Status != data.Offered {
		one.Status, one.Cost = data.Offered, data.Opt[data.Money]{}
	}
	err = together(workers,
		func() error {
			if b.market != nil {
				r.Market = <-b.market
			} else {
				r.studySales()
			}
			return nil
		},
		func() error {
			for i := range r.Vans {
				r.Vans[i].Assessment = r.appraise(r.Vans[i].Van)
			}
			return r.learn(ctx, workers)
		},
	)
	if err != nil {
		return nil, nil, err
	}
	err = each(ctx, workers, len(r.Vans), func(i int) {
		if v := &r.Vans[i]; v == one {
			v.assess(r)
		} else {
			v.findWork(r)
		}
	})
	if err != nil {
		return nil, nil, err
	}
	var work []prep.VanJobs
	for i := range r.Vans {
		if v := &r.Vans[i]; v != one {
			work = append(work, prep.VanJobs{Van: v.Van, Jobs: v.Jobs})
		}
	}
	one.conclude(r, prep.NewBacklog(work))
	return r, one, nil
}
