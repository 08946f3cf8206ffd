package pages

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// concern is one reason to look at a van, and what hangs on it in pounds where
// that can be said.
type concern struct {
	pounds data.Opt[data.Money]
	text   string
}

// matter is one van's line on the front page.
type matter struct {
	Van    link
	Name   string
	Status string
	Pounds string
	Says   []string // the weightiest first
	most   data.Opt[data.Money]
}

// matters lists the vans that need somebody, the most pounds first. What
// several concerns of one van come to is not added up: they may be the same
// pounds.
func (s *site) matters() []matter {
	var out []matter
	for i := range s.Vans {
		v := &s.Vans[i]
		concerns := s.concerns(v)
		if len(concerns) == 0 {
			continue
		}
		m := matter{
			Van: s.vanLink("", v.StockID), Name: nameOf(v.Van), Status: string(v.Status),
			most: concerns[0].pounds, Pounds: orUnknown(concerns[0].pounds, pounds),
		}
		for _, c := range concerns {
			m.Says = append(m.Says, c.text)
		}
		out = append(out, m)
	}
	slices.SortStableFunc(out, func(a, b matter) int { return moreFirst(a.most, b.most) })
	return out
}

// moreFirst orders amounts from the largest down; unknown ones come last.
func moreFirst(a, b data.Opt[data.Money]) int {
	if a.Known != b.Known {
		if a.Known {
			return -1
		}
		return 1
	}
	return b.Value.Cmp(a.Value)
}

// concerns gathers what is open on one van, the most pounds first. A sold van
// has none.
func (s *site) concerns(v *night.Van) []concern {
	if v.Status == data.Sold {
		return nil
	}
	var out []concern
	add := func(m data.Opt[data.Money], format string, args ...any) {
		out = append(out, concern{m, fmt.Sprintf(format, args...)})
	}
	s.unsafeConcern(v, add)
	if v.Status == data.Offered {
		s.bidConcerns(v, add)
	} else {
		s.promiseConcern(v, add)
	}
	if v.Margin != nil {
		s.marginConcerns(v, add)
	}
	var soon, past []string
	for _, e := range v.Assessment.Papers.Expiring {
		text := data.Title(e.What) + " " + day(e.On)
		if e.On < s.AsOf {
			past = append(past, text)
		} else {
			soon = append(soon, text)
		}
	}
	if len(past) > 0 {
		add(data.Opt[data.Money]{}, "expired: %s", strings.Join(past, ", "))
	}
	if len(soon) > 0 {
		add(data.Opt[data.Money]{}, "expires soon: %s", strings.Join(soon, ", "))
	}
	slices.SortStableFunc(out, func(a, b concern) int { return moreFirst(a.pounds, b.pounds) })
	return out
}

type addConcern = func(m data.Opt[data.Money], format string, args ...any)

func (s *site) unsafeConcern(v *night.Van, add addConcern) {
	points, jobs := 0, map[string]bool{}
	for _, f := range v.Assessment.Findings {
		if f.Verdict == data.Unsafe {
			points++
			jobs[f.Job] = true
		}
	}
	if points == 0 {
		return
	}
	sum := data.Money{}
	for _, j := range v.Jobs {
		if jobs[j.Code] && j.Open() {
			sum = sum.Add(j.Cost())
		}
	}
	add(data.Some(sum), "%s found unsafe: not to be driven or used as it is (work of %s)", count(points, "point"), pounds(sum))
}

func (s *site) bidConcerns(v *night.Van, add addConcern) {
	b := v.Bid
	if b == nil {
		return
	}
	switch {
	case !b.Known || !b.MaxBid.IsPositive():
		why := "no bid leaves the profit wanted"
		if len(b.Reasons) > 0 {
			why = b.Reasons[len(b.Reasons)-1]
		}
		add(data.Opt[data.Money]{}, "waits for an answer: %s", why)
	default:
		add(data.Some(b.Breakdown.Profit), "a bid is waiting: open at %s, stop at %s, which leaves %s",
			pounds(b.OpeningBid), pounds(b.MaxBid), pounds(b.Breakdown.Profit))
	}
	if owed := v.FinanceOwed; owed.Known && owed.Value.GreaterThan(b.MaxBid) {
		add(data.Some(owed.Value.Sub(b.MaxBid)), "finance owed %s is above the bid: settle before buying", pounds(owed.Value))
	}
}

func (s *site) promiseConcern(v *night.Van, add addConcern) {
	q, queued := s.queue[v.StockID]
	if v.PromisedOn.IsZero() || !queued {
		return
	}
	late := func(d data.Date) data.Opt[data.Money] {
		return data.Some(q.ValuePerDay.Mul(decimal.NewFromInt(int64(d.DaysSince(v.PromisedOn)))))
	}
	switch {
	case q.ReadyOn.IsZero():
		add(data.Opt[data.Money]{}, "promised for %s, but its work can't be planned", day(v.PromisedOn))
	case q.ReadyOn > v.PromisedOn:
		add(late(q.ReadyOn), "promised for %s, ready on %s: %s late", day(v.PromisedOn), day(q.ReadyOn),
			count(q.ReadyOn.DaysSince(v.PromisedOn), "day"))
	case q.ReadyP80 > v.PromisedOn:
		add(late(q.ReadyP80), "promised for %s, planned for %s, but one time in five later than %s",
			day(v.PromisedOn), day(q.ReadyOn), day(q.ReadyP80))
	}
}

// marginConcerns puts each flag of margin.csv in a sentence with its pounds.
func (s *site) marginConcerns(v *night.Van, add addConcern) {
	row := v.Margin
	r, none := row.Breakdown, data.Opt[data.Money]{}
	wholeVAT := pricing.VATTreatment{}.OutputVAT(row.Price.Value, v.Cost.Value, s.Policy).Sub(r.VAT)
	for _, f := range row.Flags {
		switch f {
		case pricing.NoRetail:
			add(row.Cost, "salvage category %s: it has no retail price", v.Salvage)
		case pricing.SchemeBarred:
			add(data.Some(r.VAT), "barred from the margin scheme: VAT is reckoned on the whole price")
		case pricing.SchemeInDoubt:
			add(data.Some(wholeVAT), "bought from %s under the margin scheme: if its invoice shows VAT, %s more is due",
				v.PurchaseSource, pounds(wholeVAT))
		case pricing.SchemeAssumed:
			add(data.Some(wholeVAT), "VAT scheme not said and the margin scheme taken: %s hangs on it", pounds(wholeVAT))
		case pricing.CostUnknown:
			add(none, "what it cost is not known")
		case pricing.NoPrice:
			add(none, "no price can be given")
		case pricing.FinanceOwed:
			add(v.FinanceOwed, "finance of %s is still owed: it can't be sold until that is settled", pounds(v.FinanceOwed.Value))
		case pricing.BelowCost:
			add(data.Some(r.Profit.Neg()), "at its %s price it loses %s", row.Basis, pounds(r.Profit.Neg()))
		case pricing.BelowTarget:
			short := r.Target.Sub(r.Profit)
			add(data.Some(short), "leaves %s, which is %s short of the profit wanted", pounds(r.Profit), pounds(short))
		case pricing.OverAge:
			held := pricing.Holding(row.DaysHeld, row.Cost.Value, s.Policy)
			add(data.Some(held), "in stock for %s, which has cost %s in holding", count(row.DaysHeld, "day"), pounds(held))
		case pricing.OffMarket:
			away := v.Asking.Value.Sub(v.Quote.Market.Value).Abs()
			add(data.Some(away), "asked at %s, outside the market's %s to %s",
				pounds(v.Asking.Value), optPounds(v.Quote.Low), optPounds(v.Quote.High))
		case pricing.PrepOver:
			add(none, "work has outrun the book by more than a quarter")
		case pricing.PaperBlocks:
			week := pricing.DayValue(*row, s.Policy).Mul(decimal.NewFromInt(7))
			add(data.Some(week), "a paper keeps it from being handed over; a week's delay costs %s", pounds(week))
		default:
			add(none, "%s", data.Title(f))
		}
	}
}
