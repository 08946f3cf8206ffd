package workbook

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

// stock writes the vans in hand, oldest stock first, with the money paid for
// them, and below the sums by age.
func (b *book) stock(margins []*night.Van) error {
	var inHand []*night.Van
	for _, v := range margins {
		if v.Status.InHand() {
			inHand = append(inHand, v)
		}
	}
	slices.SortStableFunc(inHand, func(a, b *night.Van) int {
		return cmp.Or(cmp.Compare(b.Margin.DaysHeld, a.Margin.DaysHeld), cmp.Compare(a.StockID, b.StockID))
	})
	var paid data.Money
	var rows []*pricing.MarginRow
	days := 0
	for _, v := range inHand {
		paid = paid.Add(v.Cost.Value)
		days += v.Margin.DaysHeld
		rows = append(rows, v.Margin)
	}
	n := len(inHand)
	var total map[string]any
	if n > 0 {
		sum := func(col string, result any) formula {
			return formula{text: fmt.Sprintf("SUM(%[1]s2:%[1]s%[2]d)", col, n+1), result: result}
		}
		total = map[string]any{"stock_id": "All in hand", "days_held": sum("G", days), "paid": sum("I", paid)}
		for i, a := range pricing.StockByAge(rows) {
			total[ageTitle(a.StockAge)] = sum(letter(firstAge+i), a.Paid)
		}
	}
	return writeSheet(b, "Stock", stockColumns(), inHand, total)
}

// ageTitle heads the column of a band of days in stock.
func ageTitle(a pricing.StockAge) string { return strings.ReplaceAll(a.String(), " ", "_") }

// firstAge is the column, from 0, in which the ages begin.
const firstAge = 10

func stockColumns() []column[*night.Van] {
	type van = *night.Van
	columns := []column[van]{
		{"stock_id", 12, words, func(v van, _ int) any { return v.StockID }},
		{"status", 10, words, func(v van, _ int) any { return data.Title(v.Status) }},
		{"site", 14, words, func(v van, _ int) any { return cmp.Or(v.Site, notSaid) }},
		{"maker", 14, words, func(v van, _ int) any { return v.Maker }},
		{"model", 18, words, func(v van, _ int) any { return v.Model }},
		{"acquired", 13, day, func(v van, _ int) any { return v.Acquired }},
		{"days_held", 8, whole, func(v van, _ int) any { return v.Margin.DaysHeld }},
		{"days_to_sell", 8, whole, func(v van, _ int) any { return v.Margin.DaysToSell }},
		{"paid", 14, money, func(v van, _ int) any { return optMoney(v.Cost) }},
		{"ready_on", 13, day, func(v van, _ int) any { return v.ReadyOn }},
	}
	for _, a := range pricing.StockAges {
		columns = append(columns, column[van]{ageTitle(a), 14, money, func(v van, row int) any {
			in := fmt.Sprintf("G%d>=%d", row, a.From)
			if a.To > 0 {
				in = fmt.Sprintf("AND(%s,G%d<=%d)", in, row, a.To)
			}
			var result any = ""
			if a.Holds(v.Margin.DaysHeld) {
				result = v.Cost.Value
			}
			return formula{text: fmt.Sprintf(`IF(%s,I%d,"")`, in, row), result: result}
		}})
	}
	return columns
}
