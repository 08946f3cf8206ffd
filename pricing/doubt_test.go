package pricing

import (
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
)

// The limits, a fifth and five times, are common practice, no source: each case
// sits on one of them or a pound inside.
func TestAmountsThatAreLikelySlips(t *testing.T) {
	some := func(s string) data.Opt[data.Money] { return data.Some(pounds(s)) }
	market := Quote{Market: some("40000"), Method: "sales"}
	for _, tt := range []struct {
		name  string
		van   data.Van
		quote Quote
		want  []string
	}{
		{"as vans are bought and asked for", data.Van{Cost: some("31000"), Asking: some("41995"), Guide: some("30000")}, market, nil},
		{"a cost with a digit lost", data.Van{Cost: some("3100")}, market,
			[]string{"purchase price £3,100 is a fifth or less of the market value, £40,000; did you mean £31,000?"}},
		{"a fifth of the market", data.Van{Cost: some("8000")}, market,
			[]string{"purchase price £8,000 is a fifth or less of the market value, £40,000; did you mean £80,000?"}},
		{"a pound more", data.Van{Cost: some("8001")}, market, nil},
		{"an asking price with a digit too many", data.Van{Asking: some("419950")}, market,
			[]string{"asking price £419,950 is five times or more the market value, £40,000; did you mean £41,995?"}},
		{"five times the market", data.Van{Asking: some("200000")}, market,
			[]string{"asking price £200,000 is five times or more the market value, £40,000; did you mean £20,000?"}},
		{"a pound less", data.Van{Asking: some("199999")}, market, nil},
		{"a hundred times less, which no one digit mends", data.Van{Cost: some("310")}, market,
			[]string{"purchase price £310 is a fifth or less of the market value, £40,000"}},
		{"given away", data.Van{Cost: some("0")}, market, []string{"purchase price £0 is a fifth or less of the market value, £40,000"}},
		{"a guide with a digit lost", data.Van{Guide: some("3900")}, market,
			[]string{"guide £3,900 is a fifth or less of the market value, £40,000; did you mean £39,000?"}},
		{"little is owed", data.Van{FinanceOwed: some("100")}, market, nil},
		{"ten times its value is owed", data.Van{FinanceOwed: some("250000")}, market,
			[]string{"finance owed £250,000 is five times or more the market value, £40,000; did you mean £25,000?"}},
		{"valued by its guide", data.Van{Guide: some("40000"), Cost: some("3000")}, Quote{Market: some("40000"), Method: "guide"},
			[]string{"purchase price £3,000 is a fifth or less of the guide, £40,000; did you mean £30,000?"}},
		{"sold for a digit too few", data.Van{Cost: some("31000"), Asking: some("40995"), SoldPrice: some("3995")}, Quote{}, []string{
			"purchase price £31,000 is five times or more the selling price, £3,995; one of the two is likely a slip",
			"asking price £40,995 is five times or more the selling price, £3,995; one of the two is likely a slip",
		}},
		{"sold, with a guide", data.Van{Cost: some("31000"), Guide: some("40000"), SoldPrice: some("3995")}, Quote{},
			[]string{"selling price £3,995 is a fifth or less of the guide, £40,000; did you mean £39,950?"}},
		{"nothing but what is asked for it", data.Van{Asking: some("40000"), Cost: some("2900")}, Quote{},
			[]string{"purchase price £2,900 is a fifth or less of the asking price, £40,000; one of the two is likely a slip"}},
		{"nothing to hold it against", data.Van{Cost: some("2900")}, Quote{}, nil},
		{"a guide of nothing", data.Van{Cost: some("2900"), Guide: some("0")}, Quote{}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, d := range Doubts(tt.van, tt.quote) {
				got = append(got, d.Says)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("got  %q\nwant %q", got, tt.want)
			}
		})
	}
}

// Whatever a van is worth, a cost between a half of it and twice it is none, and
// the same cost with a digit more or fewer is one whose likely slip leads back.
func TestADigitMoreOrFewerIsDoubted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := decimal.NewFromInt(rapid.Int64Range(2_000, 200_000).Draw(t, "market value"))
		cost := data.Pence(value.Mul(decimal.NewFromFloat(rapid.Float64Range(0.5, 2).Draw(t, "share"))))
		quote := Quote{Market: data.Some(value), Method: "sales"}
		if got := Doubts(data.Van{Cost: data.Some(cost)}, quote); len(got) > 0 {
			t.Fatalf("%v is doubted: %+v", cost, got)
		}
		for _, slip := range []data.Money{cost.Mul(decimal.NewFromInt(10)), cost.Div(decimal.NewFromInt(10))} {
			got := Doubts(data.Van{Cost: data.Some(slip)}, quote)
			if len(got) != 1 || !got[0].Off.Equal(slip.Sub(value).Abs()) {
				t.Fatalf("%v for %v: %+v", slip, cost, got)
			}
		}
	})
}
