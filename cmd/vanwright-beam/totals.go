package main

import (
	"bytes"
	"slices"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/cmd/internal/write/csvout"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

func init() {
	register.Combiner1[Sums](&sumFn{})
	register.DoFn2x3[string, Sums, string, Block, error](&totalFn{})
}

// Sums is what some vans leave together.
type Sums struct {
	Vans    int
	Counted int                     // of them, with price and cost known: what Money is of
	Money   pricing.ProfitBreakdown // sums of the rounded amounts; ProfitPct is of the sums
}

// sumsOf is what one van leaves.
func sumsOf(v *night.Van) Sums {
	if v.Margin == nil || !v.Margin.Known {
		return Sums{Vans: 1}
	}
	return Sums{Vans: 1, Counted: 1, Money: v.Margin.Breakdown}
}

// sumFn adds up Sums. Decimals are exact, so that neither the order nor the
// bundles in which a runner adds can be seen in what comes out.
type sumFn struct{}

// MergeAccumulators adds two sums.
func (sumFn) MergeAccumulators(a, b Sums) Sums {
	return Sums{
		Vans:    a.Vans + b.Vans,
		Counted: a.Counted + b.Counted,
		Money:   pricing.Sum([]*pricing.MarginRow{{Known: true, Breakdown: a.Money}, {Known: true, Breakdown: b.Money}}),
	}
}

// total is a row of totals.csv.
type total struct {
	status string
	Sums
}

var totals = csvout.New("totals.csv", []string{"status"},
	csvout.Text("status", func(t total) string { return t.status }),
	csvout.Int("vans", func(t total) int { return t.Vans }),
	csvout.Int("counted", func(t total) int { return t.Counted }),
	csvout.Money("price", func(t total) data.Money { return t.Money.Price }),
	csvout.Money("cost", func(t total) data.Money { return t.Money.Cost }),
	csvout.Money("vat", func(t total) data.Money { return t.Money.VAT }),
	csvout.Money("prep", func(t total) data.Money { return t.Money.Prep }),
	csvout.Money("warranty", func(t total) data.Money { return t.Money.Warranty }),
	csvout.Money("holding", func(t total) data.Money { return t.Money.Holding }),
	csvout.Money("selling", func(t total) data.Money { return t.Money.Selling }),
	csvout.Money("profit", func(t total) data.Money { return t.Money.Profit }),
	csvout.OptDecimal("profit_pct", 1, func(t total) data.Opt[decimal.Decimal] { return t.Money.ProfitPct }),
	csvout.Money("target_profit", func(t total) data.Money { return t.Money.Target }),
)

// totalFn makes a status and its sums into a row of totals.csv, in the order
// in which a van goes through them.
type totalFn struct{}

// ProcessElement makes one row.
func (totalFn) ProcessElement(status string, s Sums) (string, Block, error) {
	var text bytes.Buffer
	if _, err := totals.Write(&text, slices.Values([]total{{status, s}})); err != nil {
		return "", Block{}, err
	}
	header, row, _ := bytes.Cut(text.Bytes(), []byte("\n"))
	return totals.Name(), Block{
		Place: slices.Index(data.Statuses, data.Status(status)), Header: string(header) + "\n", Rows: 1, Text: row,
	}, nil
}
