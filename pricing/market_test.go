package pricing

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/hedonic"
	"github.com/vanwright/vanwright/pricing/survival"
)

var marketDay = data.NewDate(2026, 3, 9)

// anyVan is of the kind that pastSales are of.
func anyVan() data.Van {
	return data.Van{
		StockID: "V1", Maker: "Larkfield", Model: "Rothmere 540", Body: data.LowProfile, Status: data.Owned, VAT: data.MarginScheme,
		FirstRegistered: marketDay.AddDays(-6 * 365), Mileage: 35_000,
	}
}

func TestFewSalesAreSaidToBeFew(t *testing.T) {
	tests := []struct {
		name   string
		sales  int
		guide  string
		method string
		reason string
	}{
		{"no sale and no guide: blank", 0, "", "none", "0 usable past sales; 12 are needed for a price model"},
		{"no sale: the guide", 0, "35000", "guide", "value taken from the guide price"},
		{"eleven sales: the guide", hedonic.MinRows - 1, "35000", "guide", "11 usable past sales; 12 are needed"},
		{"eleven sales and no guide: blank", hedonic.MinRows - 1, "", "none", "no price: value unknown"},
		{"twelve sales", hedonic.MinRows, "", "sales", "12 past sales of the same model"},
		{"twelve sales, the effect of price from the prior", hedonic.MinRows, "", "sales", "partly a trade assumption, 12 dated sales"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v := anyVan()
			if tt.guide != "" {
				v.Guide = data.Some(pounds(tt.guide))
			}
			q := NewMarket(pastSales(tt.sales, marketDay), marketDay, data.DefaultPolicy()).Quote(v, Condition{})
			if q.Method != tt.method || q.Price.Known != (tt.method != "none") {
				t.Errorf("method %q with price %v, want %q", q.Method, q.Price, tt.method)
			}
			if reasons := strings.Join(q.Reasons, "; "); !strings.Contains(reasons, tt.reason) {
				t.Errorf("reasons %q, want %q among them", reasons, tt.reason)
			}
		})
	}
}

// Sales in which the dear vans went first would have prices raised without
// end; sales that teach nothing leave the prior as it was stated.
func TestTimingFallsBackToThePrior(t *testing.T) {
	with := func(change func(i int, s *data.Sale)) []data.Sale {
		sales := pastSales(80, marketDay)
		for i := range sales {
			change(i, &sales[i])
		}
		return sales
	}
	// days on sale follow the asking price with the elasticity given.
	elastic := func(effect float64) func(i int, s *data.Sale) {
		return func(i int, s *data.Sale) {
			over := 0.08 * math.Sin(float64(i)*1.7)
			s.Asking = data.Some(data.Pounds(s.SoldPrice.Value.InexactFloat64() * 1.03 * math.Exp(over)))
			s.Listed = s.SoldOn.AddDays(-int(60 * math.Exp(effect*over) * math.Exp(0.3*math.Sin(float64(i)*5.3))))
		}
	}
	tests := []struct {
		name     string
		sales    []data.Sale
		note     string
		from, to float64 // where the effect of price must lie
	}{
		{"dear vans stand longer: the sales decide", with(elastic(3)), "", 1.5, 4.5},
		{"dear vans went first: the prior holds it", with(elastic(-3)), "the sales alone point the wrong way", 3.9, 4.1},
		{"twenty sales: near the prior", with(elastic(3))[:20], "partly a trade assumption, 20 dated sales", 2.0, 5.0},
		{"no sale dated: the prior as stated", with(func(_ int, s *data.Sale) { s.Listed = 0 }), "too few dated past sales", priorPriceEffect, priorPriceEffect},
		{"no sale: the prior as stated", nil, "too few past sales", priorPriceEffect, priorPriceEffect},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			pace := NewMarket(tt.sales, marketDay, data.DefaultPolicy()).Pace()
			if tt.note == "" && pace.Note != "" || !strings.Contains(pace.Note, tt.note) {
				t.Errorf("note %q, want %q", pace.Note, tt.note)
			}
			if pace.PriceEffect < tt.from || pace.PriceEffect > tt.to {
				t.Errorf("effect %.2f, want %.2f to %.2f", pace.PriceEffect, tt.from, tt.to)
			}
			if tt.sales == nil && math.Abs(pace.MedianDays-priorMedianDays) > 1e-9 {
				t.Errorf("median %.3f days, want the prior's %d", pace.MedianDays, priorMedianDays)
			}
		})
	}
}

func TestComparables(t *testing.T) {
	sales := pastSales(30, marketDay)
	for i := range 10 { // another model, which fetches the same
		s := sales[i]
		s.SaleID, s.Model = fmt.Sprintf("T%03d", i), "Strand 6"
		sales = append(sales, s)
	}
	sales[0].SoldPrice = data.Some(pounds("3650")) // a nought was lost
	odd := sales[0].SaleID
	m := NewMarket(sales, marketDay, data.DefaultPolicy())
	q := m.Quote(anyVan(), Condition{})
	if len(q.Comparables) != nearest {
		t.Fatalf("got %d comparables, want %d", len(q.Comparables), nearest)
	}
	for i, c := range q.Comparables {
		if c.Sale.Model != "Rothmere 540" {
			t.Errorf("%s is of another model, though there are sales of this one", c.Sale.SaleID)
		}
		if c.Sale.SaleID == odd {
			t.Errorf("%s was mistyped and is compared with", odd)
		}
		if i > 0 && c.Distance < q.Comparables[i-1].Distance {
			t.Errorf("%s is nearer than the one before it", c.Sale.SaleID)
		}
		if off := math.Abs(math.Log(c.Adjusted.InexactFloat64() / q.Market.Value.InexactFloat64())); off > 0.15 {
			t.Errorf("%s brought to this van is %s, the van's value %s", c.Sale.SaleID, c.Adjusted, q.Market.Value)
		}
	}

	// A model with two sales shows both, then leans on its maker.
	two := append(pastSales(30, marketDay), sales[30:32]...)
	v := anyVan()
	v.Model = "Strand 6"
	q = NewMarket(two, marketDay, data.DefaultPolicy()).Quote(v, Condition{})
	for i, c := range q.Comparables {
		if want := map[bool]string{true: "Strand 6", false: "Rothmere 540"}[i < 2]; c.Sale.Model != want {
			t.Errorf("comparable %d is a %s, want a %s", i+1, c.Sale.Model, want)
		}
	}
}

// The order in which sales were typed in says nothing.
func TestOrderOfSalesDoesNotMatter(t *testing.T) {
	sales := pastSales(40, marketDay)
	first := NewMarket(sales, marketDay, data.DefaultPolicy()).Quote(anyVan(), Condition{})
	turned := make([]data.Sale, len(sales))
	for i, s := range sales {
		turned[len(sales)-1-i] = s
	}
	second := NewMarket(turned, marketDay, data.DefaultPolicy()).Quote(anyVan(), Condition{})
	if a, b := fmt.Sprintf("%+v", first), fmt.Sprintf("%+v", second); a != b {
		t.Errorf("got\n%s\nand\n%s", a, b)
	}
}

// The table of hazards that plans read says what the fitted model says, inside
// the table and beyond it.
func TestHazardTableIsTheModel(t *testing.T) {
	m := NewMarket(pastSales(60, marketDay), marketDay, data.DefaultPolicy())
	m.timing.shape = nil
	m.timing.tabulate(tabulatedDays, marketDay)
	for _, day := range []int{0, 1, 30, tabulatedDays - 2} {
		pace := m.timing.pace(data.Overcab)
		got := 1 - math.Exp(pace*(m.timing.cumulative(day)-m.timing.cumulative(day+1)))
		want := chanceOf(m.timing.model, float64(day), float64(day+1), m.timing.at(1, marketDay, data.Overcab))
		if math.Abs(got-want) > 1e-10 {
			t.Errorf("day %d: chance %.12f, want %.12f", day, got, want)
		}
	}
}

// What a price leaves, reckoned in float64 for plans, is what Breakdown says.
func TestProceedsAreThoseOfTheReckoning(t *testing.T) {
	policy := bare("0")
	for _, treatment := range []VATTreatment{margin, qualifying, {}} {
		left := treatment.proceeds(pounds("30000"), policy)
		for _, price := range []string{"24995", "30000", "36495", "42995"} {
			r := Breakdown(SaleTerms{VATTreatment: treatment, Price: pounds(price), Cost: pounds("30000")}, policy)
			want := r.Price.Sub(r.VAT).InexactFloat64()
			if got := left(pounds(price).InexactFloat64()); math.Abs(got-want) > 0.01 {
				t.Errorf("%+v at %s leaves %.3f, want %.2f", treatment, price, got, want)
			}
		}
	}
}

// Thinned out, a long list of sales teaches the same pace as the whole of it.
func TestThinningFavoursNoOutcome(t *testing.T) {
	list := make([]int, 1003)
	for i := range list {
		list[i] = i
	}
	kept := thin(list, 100)
	if len(kept) != 100 || kept[0] != 0 || kept[99] < 985 {
		t.Fatalf("kept %d from %d to %d", len(kept), kept[0], kept[len(kept)-1])
	}
	for i := 1; i < len(kept); i++ {
		if gap := kept[i] - kept[i-1]; gap != 10 && gap != 11 {
			t.Errorf("a gap of %d", gap)
		}
	}
	if got := thin(list[:100], 100); len(got) != 100 {
		t.Errorf("kept %d of 100", len(got))
	}
}

// chanceOf is the chance of a sale in (from, to] days of a van that stands since
// from, from the hazard of a Weibull, (t/e^η)^(1/σ): written apart from the code
// under test.
func chanceOf(a *survival.AFT, from, to float64, x []float64) float64 {
	hazard := func(t float64) float64 { return math.Pow(t/math.Exp(a.Linear(x)), 1/a.Scale) }
	return 1 - math.Exp(hazard(from)-hazard(to))
}
