package pricing

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/vanwright/vanwright/data"
)

func TestOfManySalesTheLatestListedCount(t *testing.T) {
	sales := pastSales(200, marketDay)
	for i := range sales {
		sales[i].Listed = marketDay.AddDays(-i / 2) // two a day
	}
	sales[7].Listed = 0 // listed nobody knows when, sold long ago
	sales[7].SoldOn = marketDay.AddDays(-1000)
	sales[199].SoldOn, sales[199].Listed = 0, marketDay // still for sale

	idsOf := func(sales []data.Sale) []string {
		var ids []string
		for _, s := range latestSales(sales, 50, marketDay) {
			ids = append(ids, s.SaleID)
		}
		return slices.Sorted(slices.Values(ids))
	}
	got := idsOf(sales)
	if !slices.Contains(got, sales[199].SaleID) || slices.Contains(got, sales[7].SaleID) || len(got) != 50 {
		t.Errorf("chosen %q, want the van still for sale among them and not the one sold long ago", got)
	}
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(sales), func(i, j int) { sales[i], sales[j] = sales[j], sales[i] })
	if again := idsOf(sales); !slices.Equal(again, got) {
		t.Errorf("in another order of the rows %q are chosen, not %q", again, got)
	}
	if few := latestSales(sales[:50], 50, marketDay); &few[0] != &sales[0] {
		t.Error("few sales were copied")
	}
}

func TestOfManySalesOfAYearAnEvenSpreadCounts(t *testing.T) {
	sales := pastSales(400, marketDay)
	for i := range sales {
		sales[i].Listed = marketDay.AddDays(-i) // one a day
	}
	since := marketDay.AddDays(-299)
	chosen := latestSales(sales, 50, since)
	var days []data.Date
	for _, s := range chosen {
		days = append(days, s.Listed)
	}
	slices.Sort(days)
	if len(days) != 50 || days[0] < since {
		t.Fatalf("%d chosen from %s on; want 50 from %s", len(days), days[0], since)
	}
	for i := 1; i < len(days); i++ {
		if gap := days[i].DaysSince(days[i-1]); gap != 6 { // 300 days for 50
			t.Errorf("%d days between one and the next; want 6", gap)
		}
	}
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(sales), func(i, j int) { sales[i], sales[j] = sales[j], sales[i] })
	if again := latestSales(sales, 50, since); !slices.EqualFunc(again, chosen, func(a, b data.Sale) bool { return a.SaleID == b.SaleID }) {
		t.Error("in another order of the rows others are chosen")
	}
}
