package pages

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// realised sets what sold vans fetched beside what would have been advised.
type realised struct {
	Sum    string // over all that have both
	Months []monthLine
	Vans   []outcomeLine // the latest sold first
	Cut    int
}

type monthLine struct {
	Month, Sold, Fetched, Spread, Within, Hours string
}

type outcomeLine struct {
	Van                                         link
	Name, SoldOn, Asked, Advised, Fetched, Diff string
	Range                                       string
}

// realised is nil where no van was sold of late.
func (s *report) realised() *realised {
	if len(s.Outcomes) == 0 {
		return nil
	}
	out := &realised{Sum: realisedSum(s.Outcomes)}
	for _, m := range s.Months {
		out.Months = append(out.Months, monthLine{
			Month: m.Month.Time().Format("January 2006"), Sold: number(m.Sold), Fetched: orUnknown(m.Advised.Bias, signed),
			Spread: orUnknown(m.Advised.Spread, func(d decimal.Decimal) string { return data.FormatDecimal(d, 1) }),
			Within: orUnknown(m.Within, wholePercent), Hours: orUnknown(m.Hours.Bias, signed),
		})
	}
	slices.Reverse(out.Months)
	sold := make([]*pricing.PriceCheck, len(s.Outcomes))
	for i := range s.Outcomes {
		sold[i] = &s.Outcomes[i]
	}
	slices.SortStableFunc(sold, func(a, b *pricing.PriceCheck) int {
		return cmp.Or(cmp.Compare(b.Van.SoldOn, a.Van.SoldOn), cmp.Compare(a.Van.StockID, b.Van.StockID))
	})
	out.Cut = max(0, len(sold)-soldRows)
	for _, o := range sold[:len(sold)-out.Cut] {
		line := outcomeLine{
			Van: s.vanLink("../", o.Van.StockID), Name: nameOf(o.Van), SoldOn: day(o.Van.SoldOn), Asked: optPounds(o.Van.Asking),
			Advised: optPounds(o.Advised), Fetched: optPounds(o.Van.SoldPrice), Diff: orUnknown(o.OffAdvised, signed), Range: notKnown,
		}
		if o.Low.Known && o.High.Known {
			line.Range = pounds(o.Low.Value) + " to " + pounds(o.High.Value)
		}
		out.Vans = append(out.Vans, line)
	}
	return out
}

// realisedSum says how far the vans together fetched more or less than advised.
func realisedSum(outcomes []pricing.PriceCheck) string {
	all := pricing.AchievedInAll(outcomes)
	if !all.Off.Known {
		return "No van sold of late could have been priced from the sales known then."
	}
	return fmt.Sprintf("%s achieved %s in all against %s advised: %s.",
		count(all.Vans, "van"), pounds(all.Fetched), pounds(all.Advised), signed(all.Off.Value))
}

// signed writes a percentage that is a difference, with its sign.
func signed(d decimal.Decimal) string {
	if d.IsPositive() {
		return "+" + percent(d)
	}
	return percent(d)
}

func wholePercent(d decimal.Decimal) string {
	return strings.Replace(data.FormatDecimal(d, 0), "-", "−", 1) + "%"
}
