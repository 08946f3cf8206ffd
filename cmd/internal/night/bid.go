package night

import (
	"context"
	"fmt"
	"io/fs"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// BidOptions are those of data.Load for the bid for one van: what was sold
// counts as a past sale, and the vans sold last also by the defects that came to
// light.
func BidOptions() data.LoadOptions {
	return data.LoadOptions{Wanted: func(vans []data.Van) func(*data.Van) bool {
		since := data.LatestSold(vans, prep.RecordVans)
		return func(v *data.Van) bool { return v.Status != data.Sold || !since.IsZero() && v.SoldOn >= since }
	}}
}

// LoadForBid reads of a yard what the bid for one van needs, or all of it, where
// every bad row is to be known.
func LoadForBid(ctx context.Context, yard fs.FS, named string, s Settings, all bool) (*data.Yard, error) {
	if all {
		return Load(ctx, yard, named, s)
	}
	return load(ctx, yard, named, s, BidOptions())
}

// BidFor works out the bid for one van as Run would, and nothing else: the vans
// in hand count only as the work that is in the workshop's way. A van that is
// already owned is treated as if it were offered, at a cost not yet known.
func BidFor(ctx context.Context, yard *data.Yard, policy data.Policy, asOf data.Date, workers int, stockID string) (*Result, *Van, error) {
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
	van, _ := r.Find(stockID)
	if van.Status != data.Offered {
		van.Status, van.Cost = data.Offered, data.Opt[data.Money]{}
	}
	if err := take(ctx, workers, r.learning()); err != nil {
		return nil, nil, err
	}
	if err := r.eachVan(ctx, workers, func(v *Van) { v.listJobs(r) }); err != nil {
		return nil, nil, err
	}
	var before []prep.VanJobs
	for i := range r.Vans {
		if v := &r.Vans[i]; v != van {
			before = append(before, prep.VanJobs{Van: v.Van, Jobs: v.Jobs})
		}
	}
	van.price(r)
	van.bid(r, prep.NewBacklog(before))
	return r, van, nil
}
