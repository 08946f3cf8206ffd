package workbook

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// Letters of the Margin sheet's columns, by the order of marginColumns.
const (
	colStatus    = "B"
	colPrice     = "D"
	colCost      = "F"
	colVAT       = "G"
	colPrep      = "H"
	colWarranty  = "I"
	colHolding   = "J"
	colSelling   = "K"
	colProfit    = "L"
	colPct       = "M"
	colTarget    = "N"
	colSite      = "Q"
	colReckoned  = "S"
	colReported  = "T"
	colCheck     = "U"
	colBody      = "V"
	colSource    = "W"
	notSaid      = "not said"
	profitOfRow  = "ROUND(" + colPrice + "%[1]d-" + colVAT + "%[1]d-" + colCost + "%[1]d-" + colPrep + "%[1]d-" + colWarranty + "%[1]d-" + colHolding + "%[1]d-" + colSelling + "%[1]d,2)"
	pctOfRow     = "IF(" + colPrice + "%[1]d-" + colVAT + "%[1]d=0,\"\",ROUND(100*" + colProfit + "%[1]d/(" + colPrice + "%[1]d-" + colVAT + "%[1]d),1))"
	checkOfRow   = "ROUND(" + colProfit + "%[1]d-" + colReported + "%[1]d,2)"
	reckonedWord = "yes"
)

// marginColumns are the columns of margin.csv, then what the workbook adds: the
// profit that was reported, and by how much the formula differs from it.
func marginColumns() []column[*night.Van] {
	type van = *night.Van
	known := func(of func(k pricing.ProfitBreakdown) any) func(van, int) any {
		return func(v van, _ int) any {
			if !v.Margin.Known {
				return nil
			}
			return of(v.Margin.Breakdown)
		}
	}
	rangeOf := func(end func(r pricing.ProfitRange) data.Money) func(van, int) any {
		return func(v van, _ int) any {
			if !v.Margin.Range.Known {
				return nil
			}
			return end(v.Margin.Range.Value)
		}
	}
	return []column[van]{
		{"stock_id", 12, words, func(v van, _ int) any { return v.StockID }},
		{"status", 11, words, func(v van, _ int) any { return data.Title(v.Status) }},
		{"days_held", 8, whole, func(v van, _ int) any { return v.Margin.DaysHeld }},
		{"price", 13, money, func(v van, _ int) any { return optMoney(v.Margin.Price) }},
		{"price_basis", 10, words, func(v van, _ int) any { return data.Title(v.Margin.Basis) }},
		{"cost", 13, money, func(v van, _ int) any { return optMoney(v.Margin.Cost) }},
		{"vat", 12, money, known(func(k pricing.ProfitBreakdown) any { return k.VAT })},
		{"prep", 12, money, func(v van, _ int) any { return v.Margin.Breakdown.Prep }},
		{"warranty", 11, money, func(v van, _ int) any { return v.Margin.Breakdown.Warranty }},
		{"holding", 12, money, known(func(k pricing.ProfitBreakdown) any { return k.Holding })},
		{"selling", 11, money, func(v van, _ int) any { return v.Margin.Breakdown.Selling }},
		{"profit", 13, money, func(v van, row int) any { return liveOf(v, profitOfRow, row, v.Margin.Breakdown.Profit) }},
		{"profit_pct", 9, onePlace, func(v van, row int) any {
			return liveOf(v, pctOfRow, row, optDecimal(v.Margin.Breakdown.ProfitPct))
		}},
		{"target_profit", 12, money, known(func(k pricing.ProfitBreakdown) any { return k.Target })},
		{"flags", 44, prose, func(v van, _ int) any { return flagsOf(v) }},
		{"days_to_sell", 8, whole, func(v van, _ int) any { return v.Margin.DaysToSell }},
		{"site", 14, words, func(v van, _ int) any { return cmp.Or(v.Site, notSaid) }},
		{"vat_scheme", 11, words, func(v van, _ int) any { return data.Title(v.VAT) }},
		{"reckoned", 18, words, func(v van, _ int) any {
			if v.Margin.Known {
				return reckonedWord
			}
			return "no"
		}},
		{"profit_reported", 13, money, known(func(k pricing.ProfitBreakdown) any { return k.Profit })},
		{"check", 9, money, func(v van, row int) any { return liveOf(v, checkOfRow, row, 0) }},
		{"body", 13, words, func(v van, _ int) any { return cmp.Or(data.Title(v.Body), notSaid) }},
		{"source", 14, words, func(v van, _ int) any { return cmp.Or(data.Title(v.PurchaseSource), notSaid) }},
		{"first_registered", 13, day, func(v van, _ int) any { return v.FirstRegistered }},
		{"acquired", 13, day, func(v van, _ int) any { return v.Acquired }},
		{"sold_on", 13, day, func(v van, _ int) any { return v.SoldOn }},
		{"maker", 14, words, func(v van, _ int) any { return v.Maker }},
		{"model", 18, words, func(v van, _ int) any { return v.Model }},
		{"asking", 13, money, func(v van, _ int) any { return optMoney(v.Margin.Asking) }},
		{"profit_low", 13, money, rangeOf(func(r pricing.ProfitRange) data.Money { return r.Low })},
		{"profit_high", 13, money, rangeOf(func(r pricing.ProfitRange) data.Money { return r.High })},
	}
}

// liveOf is a formula in the row of a van whose reckoning is complete.
func liveOf(v *night.Van, text string, row int, result any) any {
	if !v.Margin.Known {
		return nil
	}
	return formula{text: fmt.Sprintf(text, row), result: result}
}

func flagsOf(v *night.Van) string {
	flags := make([]string, len(v.Margin.Flags))
	for i, f := range v.Margin.Flags {
		flags[i] = data.Title(f)
	}
	return strings.Join(flags, "; ")
}

// marginTotals is the line below the rows: the sums of the vans that are
// reckoned, so that the identity holds in it too, and how many rows fail the
// check.
func marginTotals(vans []*night.Van, totals []pricing.Total) map[string]any {
	n := len(vans)
	if n == 0 {
		return nil
	}
	sum := sumOfAll(totals)
	row := n + 2
	sumOf := func(col string, result data.Money) formula {
		text := fmt.Sprintf(`SUMIF($%[1]s$2:$%[1]s$%[2]d,"%[3]s",%[4]s$2:%[4]s$%[2]d)`, colReckoned, n+1, reckonedWord, col)
		return formula{text: text, result: result}
	}
	span := fmt.Sprintf("%[1]s2:%[1]s%[2]d", colCheck, n+1)
	return map[string]any{
		"stock_id": "All worked out",
		"price":    sumOf(colPrice, sum.Price), "cost": sumOf(colCost, sum.Cost), "vat": sumOf(colVAT, sum.VAT),
		"prep": sumOf(colPrep, sum.Prep), "warranty": sumOf(colWarranty, sum.Warranty), "holding": sumOf(colHolding, sum.Holding),
		"selling": sumOf(colSelling, sum.Selling), "target_profit": sumOf(colTarget, sum.Target),
		"profit":          formula{text: fmt.Sprintf(profitOfRow, row), result: sum.Profit},
		"profit_pct":      formula{text: fmt.Sprintf(pctOfRow, row), result: optDecimal(sum.ProfitPct)},
		"profit_reported": formula{text: fmt.Sprintf("SUM(%[1]s2:%[1]s%[2]d)", colReported, n+1), result: sum.Profit},
		"reckoned":        "rows that differ:",
		"check":           formula{text: fmt.Sprintf(`COUNTIF(%[1]s,">0")+COUNTIF(%[1]s,"<0")`, span), result: 0, counts: true},
	}
}

// sumOfAll adds up the vans in hand and those sold.
func sumOfAll(totals []pricing.Total) pricing.ProfitBreakdown {
	var parts []*pricing.MarginRow
	for _, t := range totals {
		if t.By == "all" {
			parts = append(parts, &pricing.MarginRow{Known: true, Breakdown: t.Sum})
		}
	}
	return pricing.Sum(parts)
}
