package pricing

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// pastSales makes sales of one model, two a month, that fetch base less 100 for
// each thousand miles, give or take a little that sums to nothing.
func pastSales(n int, last data.Date) []data.Sale {
	var sales []data.Sale
	for i := range n {
		on := last.AddDays(-15 * i)
		miles := 20_000 + 1000*(i*7%30)
		price := (40_000 - float64(miles)/10) * math.Exp(0.03*math.Sin(float64(i)*2.4))
		sales = append(sales, data.Sale{
			SaleID: fmt.Sprintf("S%03d", i), Maker: "Larkfield", Model: "Rothmere 540", Body: data.LowProfile,
			FirstRegistered: on.AddDays(-6 * 365), Mileage: miles, Listed: on.AddDays(-40 - i%50),
			Asking: data.Some(data.Estimate(price * 1.03)),
			SoldOn: on, SoldPrice: data.Some(data.Estimate(price)),
		})
	}
	return sales
}

func soldVan(id string, on data.Date, price data.Money) SoldVan {
	return SoldVan{Van: data.Van{
		StockID: id, Maker: "Larkfield", Model: "Rothmere 540", Body: data.LowProfile, Status: data.Sold, VAT: data.MarginScheme,
		FirstRegistered: on.AddDays(-6 * 365), Mileage: 35_000, Cost: data.Some(pounds("30000")),
		SoldOn: on, SoldPrice: data.Some(price), Asking: data.Some(pounds("99999")), Listed: on.AddDays(-30),
	}}
}

// What was advised must not know what came after: sales of that month and
// later, however they turn out, change nothing.
func TestRealisedKnowsNothingOfWhatCameLater(t *testing.T) {
	day := data.NewDate(2026, 3, 9)
	sales := pastSales(60, day)
	done := []SoldVan{soldVan("V1", data.NewDate(2025, 11, 20), pounds("36500"))}
	first, _, _ := CheckPrices(done, nil, sales, data.DefaultPolicy(), marketDay)
	changed := 0
	for i := range sales {
		if sales[i].SoldOn >= data.NewDate(2025, 11, 1) {
			sales[i].SoldPrice = data.Some(pounds("9000"))
			changed++
		}
	}
	second, _, _ := CheckPrices(done, nil, sales, data.DefaultPolicy(), marketDay)
	if changed == 0 || !first[0].Value.Known {
		t.Fatal("the test changes nothing or has no value to watch")
	}
	if !first[0].Value.Value.Equal(second[0].Value.Value) || !first[0].Advised.Value.Equal(second[0].Advised.Value) {
		t.Errorf("value %s and advice %s became %s and %s", first[0].Value.Value, first[0].Advised.Value, second[0].Value.Value, second[0].Advised.Value)
	}
}

// Vans that fetched 5 % more than the model says, and 5 % less, show as such.
func TestRealisedShowsBias(t *testing.T) {
	sales := pastSales(60, data.NewDate(2026, 3, 9))
	day := data.NewDate(2026, 2, 14)
	plain, _, _ := CheckPrices([]SoldVan{soldVan("V1", day, pounds("36500"))}, nil, sales, data.DefaultPolicy(), marketDay)
	value := plain[0].Value.Value
	for _, tt := range []struct {
		name  string
		times float64
		want  string
	}{{"dearer", 1.05, "5"}, {"as said", 1, "0"}, {"cheaper", 0.95, "-5"}} {
		t.Run(tt.name, func(t *testing.T) {
			price := data.Pounds(value.InexactFloat64() * tt.times)
			one, two := soldVan("V1", day, price), soldVan("V2", day, price)
			one.HoursBook, one.HoursSpent = 10, 12
			two.HoursBook, two.HoursSpent = 20, 22
			_, months, _ := CheckPrices([]SoldVan{one, two}, nil, sales, data.DefaultPolicy(), marketDay)
			if len(months) != 1 || months[0].Sold != 2 || months[0].Month != data.NewDate(2026, 2, 1) {
				t.Fatalf("got %+v, want one month with two vans", months)
			}
			m := months[0]
			if !m.Value.Bias.Value.Equal(pounds(tt.want)) || !m.Value.Spread.Value.IsZero() {
				t.Errorf("bias %s, spread %s; want %s and 0", m.Value.Bias.Value, m.Value.Spread.Value, tt.want)
			}
			// 20 % and 10 % over: 15 on average, √50 apart.
			if !m.Hours.Bias.Value.Equal(pounds("15")) || !m.Hours.Spread.Value.Equal(pounds("7.1")) {
				t.Errorf("hours: bias %s, spread %s; want 15 and 7.1", m.Hours.Bias.Value, m.Hours.Spread.Value)
			}
		})
	}
}

func TestRealisedSaysNothingBeforeItCan(t *testing.T) {
	day := data.NewDate(2026, 2, 14)
	outcomes, months, _ := CheckPrices([]SoldVan{soldVan("V1", day, pounds("36500"))}, nil, pastSales(11, day.AddDays(-40)), data.DefaultPolicy(), marketDay)
	if outcomes[0].Value.Known || outcomes[0].Method != "none" || months[0].Value.Vans != 0 || months[0].Within.Known {
		t.Errorf("got %+v from eleven sales, want nothing said", months[0])
	}
	if outcomes, months, _ := CheckPrices(nil, nil, nil, data.DefaultPolicy(), marketDay); outcomes != nil || months != nil {
		t.Error("something came of nothing")
	}
}

func TestRealisedLooksBackTwelveMonths(t *testing.T) {
	var done []SoldVan
	for i := range 15 {
		done = append(done, soldVan(fmt.Sprintf("V%02d", i), data.NewDate(2025, 1, 10).AddMonths(i), pounds("36500")))
	}
	outcomes, months, _ := CheckPrices(done, nil, nil, data.DefaultPolicy(), marketDay)
	if len(months) != 12 || len(outcomes) != 12 || months[0].Month != data.NewDate(2025, 4, 1) {
		t.Errorf("got %d months from %s, want 12 from 2025-04-01", len(months), months[0].Month)
	}
}

func TestTotals(t *testing.T) {
	row := func(body data.Body, site string, from data.PurchaseSource, status data.Status, price, cost string, known bool) *MarginRow {
		v := data.Van{Body: body, Site: site, PurchaseSource: from, Status: status}
		r := Breakdown(SaleTerms{VATTreatment: margin, Price: pounds(price), Cost: pounds(cost)}, bare("0"))
		return &MarginRow{Van: v, Known: known, Breakdown: r}
	}
	rows := []*MarginRow{
		row(data.LowProfile, "North", data.Private, data.Ready, "36000.05", "30000", true),
		row(data.AClass, "North", data.Trade, data.Ready, "24000.05", "25000", true),
		row(data.AClass, "", data.Trade, data.Sold, "42000", "36000", true),
		row(data.AClass, "North", data.Trade, data.Ready, "1", "1", false),
	}
	rows[0].Flags = []Flag{BelowTarget}
	type line struct {
		By, Name      string
		Sold          bool
		Vans, Counted int
		Price, VAT    string
	}
	var got []line
	for _, t := range Totals(rows) {
		got = append(got, line{t.By, t.Name, t.Sold, t.Vans, t.Counted, t.Sum.Price.String(), t.Sum.VAT.String()})
	}
	want := []line{
		{"all", "", false, 3, 2, "60000.1", "1000.01"},
		{"all", "", true, 1, 1, "42000", "1000"},
		{"body", "a-class", false, 2, 1, "24000.05", "0"},
		{"body", "a-class", true, 1, 1, "42000", "1000"},
		{"body", "low-profile", false, 1, 1, "36000.05", "1000.01"},
		{"site", "", true, 1, 1, "42000", "1000"},
		{"site", "North", false, 3, 2, "60000.1", "1000.01"},
		{"source", "private", false, 1, 1, "36000.05", "1000.01"},
		{"source", "trade", false, 2, 1, "24000.05", "0"},
		{"source", "trade", true, 1, 1, "42000", "1000"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// Each way of grouping parts the same vans, so its groups add up to all.
func TestGroupsAddUp(t *testing.T) {
	var rows []*MarginRow
	for i := range 40 {
		v := data.Van{Body: data.Bodies[i%5], Site: string(rune('A' + i%3)), PurchaseSource: data.Trade, Status: data.Ready}
		s := SaleTerms{VATTreatment: margin, Price: decimal.New(int64(3_000_001+i*7919), -2), Cost: decimal.New(int64(2_500_000+i*104729), -2)}
		rows = append(rows, &MarginRow{Van: v, Known: i%9 > 0, Breakdown: Breakdown(s, data.DefaultPolicy())})
	}
	sums := map[string]data.Money{}
	for _, t := range Totals(rows) {
		sums[t.By] = sums[t.By].Add(t.Sum.Profit)
	}
	for by, sum := range sums {
		if !sum.Equal(Sum(rows).Profit) {
			t.Errorf("by %s the profits come to %s, together to %s", by, sum, Sum(rows).Profit)
		}
	}
}
