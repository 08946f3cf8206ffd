package pricing

// What is known of a purchase before a yard has a record of its own: likelyCostShare
// of what the van sells for, and this many pounds and days of preparation. They count
// as bookPurchases vans. Common practice, no source.
const (
	likelyPrep     = 1500.0
	likelyPrepDays = 21
	bookPurchases  = 10.0
	mostPrepDays   = 180 // a van listed later than that was not being prepared all the time
)

// purchase is what a van of a kind costs to buy, as a share of what it sells for,
// and to prepare, in pounds and days.
type purchase struct{ costShare, prep, prepDays float64 }

// purchases is that of all our own vans and by model.
type purchases struct {
	all    purchase
	models map[[2]string]purchase
}

// learnPurchases takes it from vans that we sold, each figure a mean in which what is
// known before counts as bookPurchases vans.
func learnPurchases(sold []*MarginRow) purchases {
	book := purchase{likelyCostShare, likelyPrep, likelyPrepDays}
	p := purchases{all: book.learn(sold), models: map[[2]string]purchase{}}
	models := map[[2]string][]*MarginRow{}
	for _, row := range sold {
		model := [2]string{row.Van.Maker, row.Van.Model}
		models[model] = append(models[model], row)
	}
	for key, rows := range models {
		p.models[key] = p.all.learn(rows)
	}
	return p
}

// learn corrects a prior by some vans.
func (prior purchase) learn(rows []*MarginRow) purchase {
	share, prep, days := shrunk{prior.costShare, bookPurchases}, shrunk{prior.prep, bookPurchases}, shrunk{prior.prepDays, bookPurchases}
	for _, r := range rows {
		v := r.Van
		if !r.Known || !r.Price.Value.IsPositive() {
			continue
		}
		if s := v.Cost.Value.InexactFloat64() / r.Price.Value.InexactFloat64(); s > 0.3 && s < 1.3 { // beyond, one of the two was mistyped
			share.add(s)
			prep.add(r.Breakdown.Prep.InexactFloat64())
		}
		if on := v.Listed.DaysSince(v.Acquired); !v.Listed.IsZero() && !v.Acquired.IsZero() && on >= 0 && on <= mostPrepDays {
			days.add(float64(on))
		}
	}
	return purchase{share.mean, prep.mean, days.mean}
}

func (p purchases) of(maker, model string) purchase {
	if model, ok := p.models[[2]string{maker, model}]; ok {
		return model
	}
	return p.all
}

// shrunk is a mean in which what was known before counts as some observations.
type shrunk struct{ mean, counts float64 }

func (s *shrunk) add(x float64) {
	s.counts++
	s.mean += (x - s.mean) / s.counts
}
