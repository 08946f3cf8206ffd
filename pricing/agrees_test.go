package pricing

import (
	"fmt"
	"math"
	"strconv"
	"testing"
	"testing/fstest"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// A record that agrees with the book moves none of its figures by more than 2 %.
func TestARecordThatAgreesMovesNothing(t *testing.T) {
	books, err := data.LoadBooks(fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	policy := data.DefaultPolicy()
	var r Record

	var finished []prep.Finished
	var spent []prep.Spent
	var orders []data.Order
	for i := range 60 {
		off := []float64{0.8, 1, 1.25}[i%3] // as often quicker as slower, by the same ratio
		job := &books.Labour[i/6]
		finished = append(finished, prep.Finished{Job: job.Code, Skill: job.Skill, Book: 2, Spent: 2 * off})
		part := &books.Parts[i/3%5]
		spent = append(spent, prep.Spent{Part: part.Code, Book: 50, Paid: 50 * off})
		orders = append(orders, data.Order{
			Part: part.Code, Quantity: 1, OrderedOn: marketDay.AddDays(-100), ArrivedOn: marketDay.AddDays(part.LeadDays - 100), UnitCost: data.Some(part.UnitCost),
		})
	}
	r.Hours = prep.Calibrate(finished)
	r.Supply = prep.LearnSupply(orders, spent, books)

	var hidden []prep.HiddenJob
	for i := range 1000 {
		hidden = append(hidden, prep.HiddenJob{System: []string{"gas", "water"}[i%2], Chance: 0.1, Came: i%20 < 2})
	}
	r.Defects = prep.LearnDefects(hidden)

	var vans []data.Van
	costs := map[string][]data.Cost{}
	for i := range 40 {
		id := fmt.Sprintf("OWN%03d", i)
		vans = append(vans, data.Van{StockID: id, Status: data.Sold, Listed: marketDay.AddDays(-200), SoldOn: marketDay.AddDays(-120)})
		claim := data.Cost{Kind: data.WarrantyClaim, Amount: pounds("700"), On: marketDay.AddDays(-90)}
		advert := data.Cost{Kind: data.OtherCost, Amount: pounds([]string{"400", "500"}[i%2]), On: marketDay.AddDays(-190)}
		if costs[id] = []data.Cost{advert}; i%2 == 0 {
			costs[id] = append(costs[id], claim)
		}
	}
	_, r.Warranty = LearnWarranty(vans, costs, policy, marketDay)
	_, r.Selling = LearnSelling(vans, costs, policy, marketDay)

	sales := append(pastSales(300, marketDay), ourSales(20, 1)...)
	for i := range sales {
		s := &sales[i]
		p := math.Mod(float64(i)*math.Sqrt2, 1) // evenly over the law of days that is the book's
		days := priorMedianDays * math.Pow(-math.Log1p(-p)/math.Ln2, priorScale)
		s.Listed = s.SoldOn.AddDays(-1 - int(days))
		s.Asking = data.Some(data.Estimate(s.SoldPrice.Value.InexactFloat64() / []float64{0.95, 0.966, 0.98}[i%3]))
	}
	r.Market = NewMarket(sales, marketDay, policy)
	r.Market.LearnLevel(ours)

	rows := r.Table()
	seen := map[string]bool{}
	for _, row := range rows {
		seen[row.What] = true
		book, _ := strconv.ParseFloat(row.Book, 64)
		learnt, err := strconv.ParseFloat(row.Learnt, 64)
		if err != nil || math.Abs(learnt/book-1) > 0.02 {
			t.Errorf("%s of %s: the book says %s, a record that agrees makes it %s", row.What, row.Of, row.Book, row.Learnt)
		}
	}
	for _, what := range []string{"hours", "part prices", "lead days", "defects", "warranty", "selling cost", "value", "paid of asking", "days to sell"} {
		if !seen[what] {
			t.Errorf("nothing was learnt of %s", what)
		}
	}
}
