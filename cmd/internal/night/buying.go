package night

import (
	"context"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// whatToBuy works out which kinds of van should earn most, from those that we sold
// and those that stand.
func (r *Result) whatToBuy(context.Context, int) error {
	var sold []*pricing.MarginRow
	var inHand []pricing.InHand
	for i := range r.Vans {
		switch v := &r.Vans[i]; {
		case v.Status == data.Sold:
			sold = append(sold, v.Margin)
		case v.Status.InHand():
			inHand = append(inHand, pricing.InHand{Van: v.Van, Quote: v.Quote})
		}
	}
	r.Buying = r.Market.Wanted(sold, inHand, r.bottlenecks())
	return nil
}

// bottlenecks says what one more van of a model and body would wait for longest in
// the workshop: by the work of the vans of that model that are in hand or offered, of
// that body where there are none, or of all.
func (r *Result) bottlenecks() func(maker, model string, body data.Body) string {
	load := prep.NewLoad(r.workshopVans(), r.Workshop)
	like := map[[2]string][]prep.VanJobs{}
	for i := range r.Vans {
		v := &r.Vans[i]
		if v.Status == data.Sold || len(v.Jobs) == 0 {
			continue
		}
		for _, kind := range [][2]string{{v.Maker, v.Model}, {"", string(v.Body)}, {}} {
			like[kind] = append(like[kind], prep.VanJobs{Van: v.Van, Jobs: v.Jobs})
		}
	}
	known := map[[2]string]string{}
	return func(maker, model string, body data.Body) string {
		for _, kind := range [][2]string{{maker, model}, {"", string(body)}, {}} {
			vans := like[kind]
			if len(vans) == 0 {
				continue
			}
			if _, ok := known[kind]; !ok {
				if need, ok := load.Bottleneck(vans); ok {
					known[kind] = need.String()
				}
			}
			return known[kind]
		}
		return ""
	}
}
