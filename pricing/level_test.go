package pricing

import (
	"fmt"
	"math"
	"testing"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// ourSales are n sales of ours, of the kind of pastSales, that fetched times what
// those fetch.
func ourSales(n int, times float64) []data.Sale {
	sales := pastSales(n, marketDay)
	for i := range sales {
		s := &sales[i]
		s.SaleID = fmt.Sprintf("OWN%03d", i)
		s.SoldPrice = data.Some(data.Pounds(s.SoldPrice.Value.InexactFloat64() * times))
		if s.Asking.Known {
			s.Asking = data.Some(data.Pounds(s.Asking.Value.InexactFloat64() * times))
		}
	}
	return sales
}

func ours(saleID string) bool { return len(saleID) > 3 && saleID[:3] == "OWN" }

// Values 6 % above what our vans fetch: three quarters of it are gone after twenty
// sales. Sales that agree with the market move values by less than 2 %.
func TestOurOwnSalesCorrectTheLevelOfValues(t *testing.T) {
	for _, tt := range []struct {
		name     string
		times    float64
		from, to float64 // of our level that values end at
	}{
		{"ours fetch 6 % less", 0.94, -0.015, 0.015},
		{"ours fetch 6 % more", 1.06, -0.015, 0.015},
		{"ours fetch what all do", 1, -0.02, 0.02},
	} {
		t.Run(tt.name, func(t *testing.T) {
			sales := append(pastSales(300, marketDay), ourSales(20, tt.times)...)
			m := NewMarket(sales, marketDay, data.DefaultPolicy())
			truth := NewMarket(pastSales(300, marketDay), marketDay, data.DefaultPolicy()).Quote(anyVan(), Condition{}).Market.Value.InexactFloat64() * tt.times
			m.LearnLevel(ours)
			q := m.Quote(anyVan(), Condition{})
			off := math.Log(q.Market.Value.InexactFloat64() / truth)
			if off < tt.from || off > tt.to {
				t.Errorf("values end %.1f %% off our level, factor %.3f of %d sales", 100*off, m.level.Factor, m.level.Sales)
			}
			sum := data.Money{}
			for _, e := range q.Explained {
				sum = sum.Add(e.Pounds)
			}
			if !sum.Equal(q.Market.Value) {
				t.Errorf("effects add up to %s, the value is %s", sum, q.Market.Value)
			}
		})
	}
}

func TestOldSalesAndOneSaleSayNothingOfTheLevel(t *testing.T) {
	old := ourSales(20, 0.8)
	for i := range old {
		old[i].SoldOn = marketDay.AddDays(-levelDays - 1 - i)
		old[i].Listed = old[i].SoldOn.AddDays(-40)
	}
	for name, own := range map[string][]data.Sale{"over a year old": old, "one": ourSales(1, 0.8), "none": nil} {
		m := NewMarket(append(pastSales(100, marketDay), own...), marketDay, data.DefaultPolicy())
		m.LearnLevel(ours)
		if m.level.Factor != 1 || m.level.Sales != 0 {
			t.Errorf("%s: level %+v", name, m.level)
		}
	}
}

func TestWarrantyIsLearntFromClaims(t *testing.T) {
	policy := data.DefaultPolicy() // 350 a van
	sold := func(id string, daysAgo int) data.Van {
		return data.Van{StockID: id, Status: data.Sold, SoldOn: marketDay.AddDays(-daysAgo)}
	}
	var vans []data.Van
	costs := map[string][]data.Cost{}
	for i := range 20 {
		id := fmt.Sprintf("A%02d", i)
		vans = append(vans, sold(id, 100+i))
		costs[id] = []data.Cost{{Kind: data.WarrantyClaim, Amount: pounds("750")}, {Kind: data.PartsCost, Amount: pounds("99")}}
	}
	vans = append(vans, sold("new", 30), sold("old", 4*365))
	costs["new"], costs["old"] = costs["A00"], costs["A00"]
	learnt, w := LearnWarranty(vans, costs, policy, marketDay)
	if got := data.FormatMoney(learnt.WarrantyCost); got != "550.00" || w.Vans != 20 { // half way from 350 to 750
		t.Errorf("learnt %s of %d vans, want 550.00 of 20", got, w.Vans)
	}
	if same, w := LearnWarranty(vans, nil, policy, marketDay); !same.WarrantyCost.Equal(policy.WarrantyCost) || w.Vans != 0 {
		t.Errorf("a yard without claims moved the policy to %s", same.WarrantyCost)
	}
}

// A cost from the day of listing on is one of selling; it counts where anybody booked one.
func TestSellingIsLearntFromCostsSinceTheListing(t *testing.T) {
	policy := data.DefaultPolicy() // 450 a van
	yard := func(n int, amount string, on int) ([]data.Van, map[string][]data.Cost) {
		var vans []data.Van
		costs := map[string][]data.Cost{}
		for i := range n {
			id := fmt.Sprintf("A%02d", i)
			vans = append(vans, data.Van{StockID: id, Status: data.Sold, Listed: marketDay.AddDays(-100), SoldOn: marketDay.AddDays(-50 - i)})
			costs[id] = []data.Cost{{Kind: data.OtherCost, On: marketDay.AddDays(on), Amount: pounds(amount)}, {Kind: data.PartsCost, On: marketDay.AddDays(on), Amount: pounds("99")}}
		}
		vans = append(vans, data.Van{StockID: "none", Status: data.Sold, Listed: marketDay.AddDays(-100), SoldOn: marketDay.AddDays(-50)})
		return vans, costs
	}
	for _, tt := range []struct {
		name   string
		vans   int
		amount string
		on     int
		want   string
		counts int
	}{
		{"twenty at 650: half way", 20, "650", -90, "550.00", 20},
		{"booked before the listing: preparation", 20, "650", -110, "450.00", 0},
		{"as the policy says", 20, "455", -90, "452.50", 20},
		{"a nought too many", 20, "4500", -90, "450.00", 0},
		{"one van", 1, "650", -90, "450.00", 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			vans, costs := yard(tt.vans, tt.amount, tt.on)
			learnt, c := LearnSelling(vans, costs, policy, marketDay)
			if got := data.FormatMoney(learnt.SellingCost); got != tt.want || c.Vans != tt.counts {
				t.Errorf("learnt %s of %d vans, want %s of %d", got, c.Vans, tt.want, tt.counts)
			}
		})
	}
}

// What was paid stands in place of what was estimated.
func TestPaidCostsReplaceEstimates(t *testing.T) {
	v := data.Van{StockID: "A", Status: data.Sold, VAT: data.MarginScheme, Cost: data.Some(pounds("20000")), SoldPrice: data.Some(pounds("26000")), SoldOn: marketDay}
	c := func(kind data.CostKind, amount string) data.Cost {
		return data.Cost{Kind: kind, Amount: pounds(amount)}
	}
	tests := []struct {
		name           string
		costs          []data.Cost
		prep, warranty string
	}{
		{"nothing paid", nil, "130.00", "350.00"},
		{"parts of a done job, paid", []data.Cost{c(data.PartsCost, "45")}, "145.00", "350.00"},
		{"sent out, transport and other come on top", []data.Cost{c(data.SubletCost, "10"), c(data.TransportCost, "20"), c(data.OtherCost, "-5")}, "155.00", "350.00"},
		{"claims", []data.Cost{c(data.WarrantyClaim, "80"), c(data.WarrantyClaim, "40")}, "130.00", "120.00"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := marginOf(v, tt.costs).Breakdown
			if got := data.FormatMoney(b.Prep); got != tt.prep {
				t.Errorf("prep %s, want %s", got, tt.prep)
			}
			if got := data.FormatMoney(b.Warranty); got != tt.warranty {
				t.Errorf("warranty %s, want %s", got, tt.warranty)
			}
			left := b.Price.Sub(b.VAT).Sub(b.Cost).Sub(b.Prep).Sub(b.Warranty).Sub(b.Holding).Sub(b.Selling)
			if !left.Equal(b.Profit) {
				t.Errorf("profit %s, the parts leave %s", b.Profit, left)
			}
		})
	}
}

// marginOf is the margin of a van with a done job and a dropped one.
func marginOf(v data.Van, costs []data.Cost) MarginRow {
	jobs := []prep.Job{
		{Code: "a", State: data.JobDone, LabourCost: pounds("100"), PartsCost: pounds("30")},
		{Code: "b", State: data.JobDropped},
	}
	return Margin(appraise.Assessment{Van: v}, jobs, costs, Quote{}, data.DefaultPolicy(), marketDay)
}
