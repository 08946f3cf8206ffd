package pricing

import (
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Twelve sales, one typed tenfold or with a nought lost, with an asking price that
// shows it, one that has the same slip, or none: the interval stays narrow, or
// there is no market value, and the reason says so.
func TestOneSlipAmongFewSales(t *testing.T) {
	for _, times := range []float64{10, 0.1} {
		for _, asking := range []string{"right", "slipped", "none"} {
			for _, n := range []int{12, 13, 16, 24} {
				for at := range 3 {
					sales := pastSales(n, marketDay)
					s := &sales[at*5%n]
					s.SoldPrice = data.Some(data.Pounds(s.SoldPrice.Value.InexactFloat64() * times))
					switch asking {
					case "slipped":
						s.Asking = data.Some(s.SoldPrice.Value)
					case "none":
						s.Asking = data.Opt[data.Money]{}
					}
					v := anyVan()
					v.Guide = data.Some(pounds("36000"))
					q := NewMarket(sales, marketDay, data.DefaultPolicy()).Quote(v, Condition{})
					if q.Method == "guide" {
						if len(q.Reasons) == 0 {
							t.Errorf("%d sales: the guide is used without a reason", n)
						}
						continue
					}
					if wide := q.High.Value.InexactFloat64() / q.Low.Value.InexactFloat64(); !(wide < 3) {
						t.Errorf("%d sales, one %v times, asking %s: %s to %s, %.1f times, by %s", n, times, asking, q.Low.Value, q.High.Value, wide, q.Method)
					}
				}
			}
		}
	}
}

// A sold price that can't be one for its asking price teaches neither value nor
// what buyers pay.
func TestASoldPriceIsHeldAgainstItsAskingPrice(t *testing.T) {
	tests := []struct {
		name         string
		paid, asked  string
		teaches, odd bool
	}{
		{"a usual haggle", "29000", "30000", true, false},
		{"the least that is believed", "18000", "30000", true, false},
		{"below it", "17990", "30000", false, true},
		{"the most that is believed", "34500", "30000", true, false},
		{"above it", "34510", "30000", false, true},
		{"no asking price to hold it against", "17990", "", true, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := pastSales(1, marketDay)[0]
			s.SoldPrice, s.Asking = data.Some(pounds(tt.paid)), data.Opt[data.Money]{}
			if tt.asked != "" {
				s.Asking = data.Some(pounds(tt.asked))
			}
			if usable(&s) != tt.teaches || mistyped(&s) != tt.odd {
				t.Errorf("usable %v, mistyped %v", usable(&s), mistyped(&s))
			}
			b := learnPaid([]data.Sale{s})
			if want := tt.asked != "" && !tt.odd; (b.sales == 1) != want || len(b.paid) != len(priorPaid)+b.sales {
				t.Errorf("taught by %d sales, %d points", b.sales, len(b.paid))
			}
		})
	}
}
