package pricing

import (
	"fmt"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// How stated chances came true, worked by hand; the ranges by Wilson's formula.
func TestChancesByFifths(t *testing.T) {
	var some []Stated
	for i := range 50 { // 10 each at 30, 40 … 70 %, of which 1, 3, 5, 7 and 9 came
		fifth := i % 5
		some = append(some, Stated{0.3 + 0.1*float64(fifth), i/5 < 1+2*fifth})
	}
	rows := soonTable(some)
	want := []string{
		"all 50.0 50.0 50 38.7 61.3",
		"fifth 1 30.0 10.0 10 2.3 34.8",
		"fifth 2 40.0 30.0 10 12.7 55.8",
		"fifth 3 50.0 50.0 10 26.9 73.1",
		"fifth 4 60.0 70.0 10 44.2 87.3",
		"fifth 5 70.0 90.0 10 65.2 97.7",
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows", len(rows))
	}
	for i, r := range rows {
		if got := fmt.Sprint(r.Of, " ", r.Book, " ", r.Learnt, " ", r.Evidence, " ", r.Low, " ", r.High); got != want[i] || r.What != "sold within 60" {
			t.Errorf("got %s, want %s", got, want[i])
		}
	}
	if rows := soonTable(some[:24]); len(rows) != 1 {
		t.Errorf("24 vans give %d rows", len(rows))
	}
	if rows := soonTable(some[:9]); rows != nil {
		t.Errorf("nine vans give %v", rows)
	}
}

// Vans listed in the month count, sold or not, once sixty days have passed.
func TestWhichListingsAreLookedBackOn(t *testing.T) {
	month := data.NewDate(2025, 11, 1)
	van := func(id string, listed data.Date, asking string) data.Van {
		v := anyVan()
		v.StockID, v.Listed = id, listed
		if asking != "" {
			v.Asking = data.Some(pounds(asking))
		}
		return v
	}
	vans := []data.Van{
		van("in", month, "36995"), van("last day", data.NewDate(2025, 11, 30), "36995"),
		van("before", data.NewDate(2025, 10, 31), "36995"), van("after", data.NewDate(2025, 12, 1), "36995"), van("no asking price", month, ""),
	}
	ids := func(asOf data.Date) (out []string) {
		for _, v := range listedIn(vans, month, asOf) {
			out = append(out, v.StockID)
		}
		return out
	}
	if got := fmt.Sprint(ids(marketDay)); got != "[in last day]" {
		t.Errorf("got %s", got)
	}
	if got := fmt.Sprint(ids(month.AddDays(60))); got != "[in]" {
		t.Errorf("sixty days after the first: %s", got)
	}

	// A dearer van is the less likely to go, and what came is by the days on sale.
	m := NewMarket(pastSales(100, month), month, data.DefaultPolicy())
	quick, slow, dear := van("a", month, "36995"), van("b", month, "36995"), van("c", month, "40995")
	quick.Status, quick.SoldOn = data.Sold, month.AddDays(60)
	slow.Status, slow.SoldOn = data.Sold, month.AddDays(61)
	got := m.stated([]data.Van{quick, slow, dear})
	if len(got) != 3 || !got[0].Came || got[1].Came || got[2].Came || got[2].Chance >= got[0].Chance || got[0].Chance != got[1].Chance {
		t.Errorf("got %+v", got)
	}
}
