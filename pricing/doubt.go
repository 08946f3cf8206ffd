package pricing

import (
	"fmt"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// doubtfulTimes is how many times above or below what it is held against an
// amount is taken for a slip of the hand: a digit too many or too few moves it
// tenfold, and a wreck or a bargain stays inside. Common practice, no source.
const doubtfulTimes = 5

// Doubt is an amount of vans.csv that is likely a slip. It is kept as written.
type Doubt struct {
	Says string     // one clause: how far it is off, and what was likely meant
	Off  data.Money // how far it lies from what it is held against, in Beside
	// Beside is what it is held against, such as "the market value".
	Beside string
}

// Doubts holds every amount that vans.csv gives of a van against what the market
// says; where no value can be given against its guide; and where there is none
// either against the price it was sold at or is offered for. quote is that of a
// sold van, which has none, or of one not sold. What is owed on a van may be
// little, but is seldom much.
func Doubts(v data.Van, quote Quote) []Doubt {
	amounts := []struct {
		what   string
		amount data.Opt[data.Money]
	}{
		{"purchase price", v.Cost}, {"asking price", v.Asking}, {"selling price", v.SoldPrice}, {"guide", v.Guide}, {"finance owed", v.FinanceOwed},
	}
	beside, by, sure := reference(v, quote)
	if !beside.Known || !beside.Value.IsPositive() {
		return nil
	}
	var out []Doubt
	for _, a := range amounts {
		if !a.amount.Known || "the "+a.what == by {
			continue
		}
		says, meant := beyond(a.amount.Value, beside.Value)
		if says == "" || a.what == "finance owed" && a.amount.Value.LessThan(beside.Value) {
			continue
		}
		says = fmt.Sprintf("%s %s is %s %s, %s", a.what, data.InPounds(a.amount.Value), says, by, data.InPounds(beside.Value))
		switch {
		case !sure:
			says += "; one of the two is likely a slip"
		case meant.IsPositive():
			says += "; did you mean " + data.InPounds(meant) + "?"
		}
		out = append(out, Doubt{
			Says: says,
			Off:  a.amount.Value.Sub(beside.Value).Abs(), Beside: by,
		})
	}
	return out
}

// reference is the surest amount that a van's others are held against, and
// whether it is surer than they are.
func reference(v data.Van, quote Quote) (beside data.Opt[data.Money], by string, sure bool) {
	switch {
	case quote.Market.Known && quote.Method != "guide":
		return quote.Market, "the market value", true
	case v.Guide.Known:
		return v.Guide, "the guide", true
	case v.SoldPrice.Known:
		return v.SoldPrice, "the selling price", false
	}
	return v.Asking, "the asking price", false
}

// beyond says how an amount lies outside a fifth and five times another, blank
// where it does not, and what was likely meant: the same digits with one more or
// one fewer, zero where that does not mend it.
func beyond(amount, beside data.Money) (says string, meant data.Money) {
	switch {
	case tooLow(amount, beside):
		says, meant = "a fifth or less of", amount.Mul(decimal.NewFromInt(10))
	case tooLow(beside, amount):
		says, meant = "five times or more", data.Share(amount, 10)
	}
	if tooLow(meant, beside) || tooLow(beside, meant) {
		meant = data.Money{}
	}
	return says, meant
}

// tooLow reports whether an amount is the doubtfulTimes-th part of another or
// less.
func tooLow(amount, of data.Money) bool {
	return amount.Mul(decimal.NewFromInt(doubtfulTimes)).LessThanOrEqual(of)
}
