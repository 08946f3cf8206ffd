package night

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"testing/fstest"

	"gonum.org/v1/gonum/stat/distuv"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/sample/synth"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing"
)

var marketDay = data.NewDate(2026, 3, 9)

func madeUpSales(n int, seed int64) []data.Sale {
	spec := synth.NewSpec(1, n, seed, marketDay)
	d := new(synth.Draws)
	sales := make([]data.Sale, n)
	for i := range sales {
		sales[i] = spec.NewSale(d, i)
	}
	return sales
}

// shown is a van that comes on sale, with what it is truly worth prepared.
type shown struct {
	van   data.Van
	grade int
	seen  pricing.Condition // of a thorough look at it
	worth float64           // pounds, the median of what it fetches
}

// onSale makes up vans like those of the sales but none of them, each in a grade of its
// own that its faults hang on.
func onSale(t testing.TB, n int, seed int64) []shown {
	t.Helper()
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	spec := synth.NewSpec(1, 1, seed, marketDay)
	d := new(synth.Draws)
	var out []shown
	for i := 0; len(out) < n; i++ {
		s := spec.NewSale(d, i)
		if marketDay.DaysSince(s.Listed) > 365 {
			continue
		}
		m, _ := synth.FindModel(s.Maker, s.Model)
		van := data.Van{
			StockID: fmt.Sprintf("V%d", i), Maker: s.Maker, Model: s.Model, Body: s.Body, Chassis: s.Chassis,
			Gearbox: s.Gearbox, FirstRegistered: s.FirstRegistered, Mileage: s.Mileage, Berths: s.Berths,
			LengthMM: s.LengthMM, VAT: data.MarginScheme, Status: data.Owned, Equipment: m.Equipment,
		}
		look := synth.Inspection{Case: synth.Case{Van: van, Grade: s.Grade.Value}, On: marketDay.AddDays(-1), Inspector: "Pat", Thorough: 1}
		readings := synth.Readings(d, look, nil)
		out = append(out, shown{
			van: van, grade: s.Grade.Value,
			seen: pricing.ConditionOf(appraise.Assess(van, readings, nil, nil, books, data.DefaultPolicy(), marketDay)),
			worth: synth.TruePrice(synth.Traits{
				Maker: s.Maker, Model: s.Model, Body: s.Body, Gearbox: s.Gearbox, FirstRegistered: s.FirstRegistered,
				Mileage: s.Mileage, Berths: s.Berths.Value, LengthMM: s.LengthMM.Value, Grade: s.Grade.Value,
			}, marketDay),
		})
	}
	return out
}

// What was seen of a van tells its grade, with which its price goes: the intervals hold
// about nine in ten of the vans of each grade, and are narrower than without a look. Of the
// worst grade, one van in sixty of these, a look can't tell for sure: their intervals hold
// more with it than without.
func TestIntervalsHoldAtEveryGrade(t *testing.T) {
	if testing.Short() {
		t.Skip("a long comparison with simulation")
	}
	m := pricing.NewMarket(madeUpSales(2000, 7), marketDay, data.DefaultPolicy())
	var others []pricing.Condition
	for _, v := range onSale(t, 60, 41) {
		others = append(others, v.seen)
	}
	m.LearnCondition(others)
	noise := distuv.Normal{Sigma: synth.PriceNoise}
	var held, n, blind [6]float64
	width, widthBlind := 0.0, 0.0
	for _, v := range onSale(t, 1500, 99) {
		coverage := func(q pricing.Quote) (held, width float64) {
			low, high := math.Log(q.Low.Value.InexactFloat64()/v.worth), math.Log(q.High.Value.InexactFloat64()/v.worth)
			return noise.CDF(high) - noise.CDF(low), high - low
		}
		h, w := coverage(m.Quote(v.van, v.seen))
		b, wb := coverage(m.Quote(v.van, pricing.Condition{}))
		held[v.grade], blind[v.grade], n[v.grade] = held[v.grade]+h, blind[v.grade]+b, n[v.grade]+1
		width, widthBlind = width+w, widthBlind+wb
	}
	for grade := 1; grade <= 5; grade++ {
		coverage := held[grade] / n[grade]
		t.Logf("grade %d: %.0f vans, coverage %.3f, without a look %.3f", grade, n[grade], coverage, blind[grade]/n[grade])
		if grade == 5 {
			if coverage < blind[grade]/n[grade]+0.1 {
				t.Errorf("intervals hold %.3f of the vans of grade 5, %.3f without a look", coverage, blind[grade]/n[grade])
			}
			continue
		}
		if coverage < 0.85 || coverage > 0.95 {
			t.Errorf("intervals hold %.3f of the vans of grade %d, want 0.85 to 0.95", coverage, grade)
		}
	}
	if width >= widthBlind {
		t.Errorf("intervals with a look are %.3f of those without", width/widthBlind)
	}
}

// The law that made the sales up is found again: values, their intervals, and
// what price does to time. The law is written down in synth/price.go and
// synth/saletime.go; the chance that an interval holds a sale is taken from it
// exactly, so that only the sales fitted are a matter of luck, and what a look tells
// of a van's grade: with grades known the median error of 5,000 sales was below 1 %, and the 2.2 % here
// were set from the 1.9 % that a look leaves. Intervals should
// hold 87 to 93 %; one model's share scatters about its mean by a point or so,
// and more for few sales. What price does to time is found a little too small,
// since an error in a van's value passes for a price that did nothing.
func TestMarketFindsTheLawAgain(t *testing.T) {
	tests := []struct {
		sales    int
		coverage [2]float64
		error    float64    // median of |ln(value / worth)|, at most
		effect   [2]float64 // of the law's
	}{
		{400, [2]float64{0.85, 0.95}, 0.025, [2]float64{0.6, 1.3}},
		{5000, [2]float64{0.87, 0.93}, 0.022, [2]float64{0.8, 1.1}},
	}
	vans := onSale(t, 400, 99)
	noise := distuv.Normal{Sigma: synth.PriceNoise}
	for _, tt := range tests {
		t.Run(fmt.Sprint(tt.sales), func(t *testing.T) {
			m := pricing.NewMarket(madeUpSales(tt.sales, 7), marketDay, data.DefaultPolicy())
			held := 0.0
			var errors []float64
			for _, v := range vans {
				q := m.Quote(v.van, v.seen)
				if !q.Market.Known {
					t.Fatalf("%s has no value: %v", v.van.StockID, q.Reasons)
				}
				log := func(m data.Opt[data.Money]) float64 { return math.Log(m.Value.InexactFloat64() / v.worth) }
				held += noise.CDF(log(q.High)) - noise.CDF(log(q.Low))
				errors = append(errors, math.Abs(log(q.Market)))
			}
			slices.Sort(errors)
			coverage, middle := held/float64(len(vans)), errors[len(errors)/2]
			pace := m.Pace()
			t.Logf("coverage %.3f, median error %.4f, effect of price %.2f, median %.0f days, note %q",
				coverage, middle, pace.PriceEffect, pace.MedianDays, pace.Note)
			if coverage < tt.coverage[0] || coverage > tt.coverage[1] {
				t.Errorf("intervals hold %.3f of sales, want %v", coverage, tt.coverage)
			}
			if middle > tt.error {
				t.Errorf("median error of the value is %.4f, want at most %.4f", middle, tt.error)
			}
			if share := pace.PriceEffect / synth.SalePrice; share < tt.effect[0] || share > tt.effect[1] {
				t.Errorf("effect of price on time is %.2f, want %v of %.2f", pace.PriceEffect, tt.effect, synth.SalePrice)
			}
			// A price of the van's value is an asking price of that and the room
			// that buyers haggle for, 0.5 to 5.5 % in these sales.
			want := synth.SaleDays * math.Pow(math.Ln2, 1/synth.SaleShape) * math.Pow(1.03, synth.SalePrice)
			if math.Abs(pace.MedianDays/want-1) > 0.2 {
				t.Errorf("median time to sell is %.0f days, want about %.0f", pace.MedianDays, want)
			}
		})
	}
}

// More sales than the time to sell is learnt from teach the same pace.
func TestPaceOfManySales(t *testing.T) {
	if testing.Short() {
		t.Skip("fits 60,000 sales")
	}
	pace := pricing.NewMarket(madeUpSales(60_000, 7), marketDay, data.DefaultPolicy()).Pace()
	want := synth.SaleDays * math.Pow(math.Ln2, 1/synth.SaleShape) * math.Pow(1.03, synth.SalePrice)
	if math.Abs(pace.MedianDays/want-1) > 0.1 || pace.PriceEffect < 0.8*synth.SalePrice || pace.PriceEffect > 1.1*synth.SalePrice {
		t.Errorf("median %.1f days and effect %.2f, want about %.1f and %.1f", pace.MedianDays, pace.PriceEffect, want, synth.SalePrice)
	}
}

// From twelve sales on there is a model, and its intervals are honest.
func TestTwelveSalesPriceAVan(t *testing.T) {
	var sales []data.Sale
	for _, s := range madeUpSales(40, 3) {
		if !s.SoldOn.IsZero() && len(sales) < 12 {
			sales = append(sales, s)
		}
	}
	m := pricing.NewMarket(sales, marketDay, data.DefaultPolicy())
	noise := distuv.Normal{Sigma: synth.PriceNoise}
	held, unpriced, vans := 0.0, 0, onSale(t, 100, 98)
	for _, v := range vans {
		q := m.Quote(v.van, pricing.Condition{})
		if q.Method != "sales" {
			unpriced++ // unlike any of the twelve: said, not guessed
			continue
		}
		held += noise.CDF(math.Log(q.High.Value.InexactFloat64()/v.worth)) - noise.CDF(math.Log(q.Low.Value.InexactFloat64()/v.worth))
	}
	if unpriced > 10 {
		t.Errorf("%d of %d vans have no value by twelve sales", unpriced, len(vans))
	}
	if coverage := held / float64(len(vans)-unpriced); coverage < 0.75 {
		t.Errorf("intervals from twelve sales hold %.2f of sales", coverage)
	}
	if m.Pace().Note == "" {
		t.Error("twelve sales are said to tell what price does to time")
	}
}

// 100,000 sales of some hundred models.
func BenchmarkNewMarket(b *testing.B) {
	for _, n := range []int{1000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			sales := madeUpSales(n, 7)
			for b.Loop() {
				pricing.NewMarket(sales, marketDay, data.DefaultPolicy())
			}
		})
	}
}

// One van of many, after the fit; ten thousand take ten thousand times as long
// on one core.
func BenchmarkQuote(b *testing.B) {
	for _, n := range []int{400, 20_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			m := pricing.NewMarket(madeUpSales(n, 7), marketDay, data.DefaultPolicy())
			vans := onSale(b, 200, 99)
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				m.Quote(vans[i%len(vans)].van, pricing.Condition{})
				i++
			}
		})
	}
}

// A year of our own sales looked back on, a fit for each month.
func BenchmarkCheckPrices(b *testing.B) {
	sales := madeUpSales(20_000, 7)
	var done []pricing.SoldVan
	for i, v := range onSale(b, 1000, 5) {
		v.van.Status, v.van.SoldOn = data.Sold, marketDay.AddDays(-i%360)
		v.van.SoldPrice, v.van.Cost = data.Some(data.Pounds(v.worth)), data.Some(data.Pounds(0.8*v.worth))
		done = append(done, pricing.SoldVan{Van: v.van})
	}
	for b.Loop() {
		pricing.CheckPrices(done, nil, sales, data.DefaultPolicy(), marketDay)
	}
}
