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
		for _, s := range latestSales(sales, 50) {
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
	if few := latestSales(sales[:50], 50); &few[0] != &sales[0] {
		t.Error("few sales were copied")
	}
}
