package attention

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
	"github.com/vanwright/vanwright/pricing"
)

// van lists what one unsold van needs. row is its place in the workshop's
// queue, nil where it has none.
func (l *list) van(v *Van, row *prep.QueueRow) {
	l.unsafe(v)
	if v.Bid != nil {
		l.bid(v)
	}
	if row != nil {
		l.promise(v, row)
		l.blocked(v, row)
	}
	l.price(v)
	l.papers(v)
	l.doubts(v)
	if v.Margin != nil {
		for _, f := range v.Margin.Flags {
			l.flag(v, f)
		}
	}
}

func (l *list) unsafe(v *Van) {
	stops := v.Assessment.Stops()
	if len(stops) == 0 {
		return
	}
	var points []string
	asks := map[string]bool{}
	for _, f := range stops {
		title := f.Title
		if !f.MendedOn.IsZero() {
			title += " (mended, to be read again)"
		}
		asks[f.Job] = asks[f.Job] || f.MendedOn.IsZero()
		if !slices.Contains(points, title) {
			points = append(points, title)
		}
	}
	cost, who := data.Money{}, Workshop
	for _, j := range v.Jobs {
		if asks[j.Code] && j.Open() {
			cost = cost.Add(j.Cost())
			if j.Technician != "" {
				who = j.Technician
			}
		}
	}
	t := Thing{
		StockID: v.StockID, Kind: Unsafe, Due: l.asOf, Who: who,
		What: leads[Unsafe] + strings.Join(points, ", "),
	}
	if cost.IsPositive() {
		t.Pounds, t.Meaning = data.Some(cost), "work asked for"
	}
	l.add(t)
}

func (l *list) bid(v *Van) {
	b := v.Bid
	t := Thing{StockID: v.StockID, Kind: Bid, Due: l.asOf, Who: Buyer}
	if b.Known && b.MaxBid.IsPositive() {
		t.What = leads[Bid] + fmt.Sprintf("open at %s, maximum bid %s", data.InPounds(b.OpeningBid), data.InPounds(b.MaxBid))
		t.Pounds, t.Meaning = data.Some(b.MaxBid), "maximum bid"
	} else {
		t.What = leads[Bid] + "no bid leaves the target profit"
		if !b.Known {
			t.What = leads[Bid] + "no price can be given"
		}
	}
	if owed := v.FinanceOwed; owed.Known && owed.Value.GreaterThan(b.MaxBid) {
		t.What += fmt.Sprintf("; finance owed %s is above it", data.InPounds(owed.Value))
	}
	l.add(t)
}

// promise warns of a promised day before which the van may not be ready.
func (l *list) promise(v *Van, row *prep.QueueRow) {
	if v.PromisedOn.IsZero() {
		return
	}
	t := Thing{StockID: v.StockID, Kind: Promise, Due: v.PromisedOn, Who: Sales}
	promised := leads[Promise] + "promised for " + v.PromisedOn.Words()
	late := func(d data.Date) {
		days := d.DaysSince(v.PromisedOn)
		t.Pounds = data.Some(row.ValuePerDay.Mul(decimal.NewFromInt(int64(days))))
		t.Meaning = "cost of the delay"
	}
	switch {
	case row.ReadyOn.IsZero():
		t.What = promised + ", and its work can't be planned"
	case row.ReadyOn > v.PromisedOn:
		late(row.ReadyOn)
		t.What = fmt.Sprintf("%s, planned for %s", promised, row.ReadyOn.Words())
	case row.ReadyP80 > v.PromisedOn:
		late(row.ReadyP80)
		t.What = fmt.Sprintf("%s, planned for %s, 80%% likely by %s", promised, row.ReadyOn.Words(), row.ReadyP80.Words())
	default:
		return
	}
	l.add(t)
}

// blocked tells of work that waits for a part or a person. A point that is not yet
// safe is a thing of its own kind.
func (l *list) blocked(v *Van, row *prep.QueueRow) {
	if len(row.Waiting) == 0 {
		return
	}
	l.add(Thing{
		StockID: v.StockID, Kind: Blocked, Due: v.PromisedOn, Who: Workshop,
		What:   leads[Blocked] + data.FirstFew(row.Waiting),
		Pounds: data.Some(weekOf(row.ValuePerDay)), Meaning: "cost of a week's delay",
	})
}

func weekOf(aDay data.Money) data.Money { return aDay.Mul(decimal.NewFromInt(7)) }

// price compares a ready van's asking price with the price plan's.
func (l *list) price(v *Van) {
	if v.Status != data.Ready || v.Quote == nil || !v.Quote.AskingPrice.Known {
		return
	}
	advised := v.Quote.AskingPrice.Value
	t := Thing{StockID: v.StockID, Kind: Price, Due: l.asOf, Who: Sales}
	switch {
	case !v.Asking.Known:
		t.What = "set the asking price: " + data.InPounds(advised)
		t.Pounds, t.Meaning = data.Some(advised), "asking price"
	case !v.Asking.Value.Equal(advised):
		t.What = fmt.Sprintf("change the asking price from %s to %s", data.InPounds(v.Asking.Value), data.InPounds(advised))
		t.Pounds, t.Meaning = data.Some(advised.Sub(v.Asking.Value).Abs()), "change of price"
	default:
		return
	}
	l.add(t)
}

// papers tells of papers that have run out or soon will, and of hoses and their kind
// that are due soon, each on its day.
func (l *list) papers(v *Van) {
	for _, e := range v.Assessment.Papers.Expiring {
		says, who := "expires soon", Office
		switch {
		case e.On < l.asOf:
			says = "expired"
		case e.Due:
			says, who = "due soon by its age", Workshop
		}
		l.add(Thing{
			StockID: v.StockID, Kind: Paper, Due: e.On, Who: who,
			What: fmt.Sprintf("%s: %s, %s", says, data.Title(e.What), e.Day()),
		})
	}
}

// doubts asks for amounts and a mileage that are likely wrong to be looked up.
func (l *list) doubts(v *Van) {
	var quote pricing.Quote
	if v.Quote != nil {
		quote = *v.Quote
	}
	for _, d := range pricing.Doubts(v.Van, quote) {
		l.add(Thing{
			StockID: v.StockID, Kind: Data, Who: Office, What: "look it up: " + d.Says,
			Pounds: data.Some(d.Off), Meaning: "away from " + d.Beside,
		})
	}
	if why := v.Assessment.Papers.MileageDoubt; why != "" && v.Status != data.Sold {
		l.add(Thing{StockID: v.StockID, Kind: Data, Who: Office, What: "look up the mileage: " + strings.TrimSuffix(why, ".")})
	}
}

// flag puts a flag of margin.csv into a thing to do. An unsafe van and a price
// away from the market have things of their own kind already.
func (l *list) flag(v *Van, f pricing.Flag) {
	m := v.Margin
	b := m.Breakdown
	add := func(kind Kind, who string, pounds data.Opt[data.Money], meaning, format string, args ...any) {
		l.add(Thing{StockID: v.StockID, Kind: kind, What: fmt.Sprintf(format, args...), Pounds: pounds, Meaning: meaning, Who: who})
	}
	none := data.Opt[data.Money]{}
	wholeVAT := pricing.VATTreatment{}.OutputVAT(m.Price.Value, v.Cost.Value, l.policy).Sub(b.VAT)
	if v.VATDoubt { // reckoned on the whole price already
		wholeVAT = b.VAT.Sub(pricing.VATTreatment{Margin: true}.OutputVAT(m.Price.Value, v.Cost.Value, l.policy))
	}
	switch f {
	case pricing.NoRetail:
		add(Money, Owner, m.Cost, "purchase price", "salvage category %s: no retail price", v.Salvage)
	case pricing.SchemeBarred:
		add(VAT, Accountant, data.Some(b.VAT), "VAT", "barred from the margin scheme: VAT is worked out on the whole price")
	case pricing.SchemeInDoubt:
		add(VAT, Accountant, data.Some(wholeVAT), "VAT at stake", "see whether the purchase invoice shows VAT: the margin scheme is in doubt")
	case pricing.SchemeAssumed:
		add(VAT, Accountant, data.Some(wholeVAT), "VAT at stake", "VAT scheme not recorded, margin scheme taken")
	case pricing.CostUnknown:
		add(Data, Office, none, "", "enter the purchase price: it is not recorded")
	case pricing.NoPrice:
		add(Money, Sales, none, "", "no price can be given")
	case pricing.FinanceOwed:
		add(Money, Office, v.FinanceOwed, "finance owed", "settle the finance: it can't be sold until then")
	case pricing.BelowCost:
		add(Money, Owner, data.Some(b.Profit.Neg()), "loss", "sells at a loss at its %s price", m.Basis)
	case pricing.BelowTarget:
		add(Money, Owner, data.Some(b.Target.Sub(b.Profit)), "short of the target profit", "leaves %s, below the target profit", data.InPounds(b.Profit))
	case pricing.OverAge:
		held := pricing.Holding(m.DaysHeld, m.Cost.Value, l.policy)
		add(Money, Owner, data.Some(held), "holding cost so far", "over age: in stock for %d days", m.DaysHeld)
	case pricing.PrepOver:
		add(Money, Workshop, none, "", "labour over estimate by more than a quarter")
	case pricing.PaperBlocks:
		add(Paper, Office, data.Some(weekOf(pricing.DayValue(*m, l.policy))), "cost of a week's delay", "cannot be handed over: %s", strings.Join(pricing.MissingToHandOver(v.Assessment, l.asOf), ", "))
	}
}
