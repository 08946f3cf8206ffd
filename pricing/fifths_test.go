package pricing

import (
	"fmt"
	"testing"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/data"
)

// Twenty vans of £1,000 to £20,000: the dearest fifth fetched 10% less than advised
// and half of it lies outside its range.
func TestFifthsFromTheCheapest(t *testing.T) {
	var outcomes []PriceCheck
	for i := range 20 {
		o := PriceCheck{Advised: data.Some(decimal.NewFromInt(int64(1000 * (20 - i)))), Within: true, OffAdvised: data.Some(decimal.Zero)}
		o.Value, o.OffValue = o.Advised, o.OffAdvised
		o.Van.StockID = fmt.Sprint(i)
		if i < 4 {
			o.OffAdvised, o.Within = data.Some(decimal.NewFromInt(-10)), i < 2
		}
		outcomes = append(outcomes, o)
	}
	got := ByFifths(outcomes)
	if len(got) != 5 || !got[0].From.Equal(decimal.NewFromInt(1000)) || !got[0].To.Equal(decimal.NewFromInt(4000)) || !got[0].Within.Equal(decimal.NewFromInt(100)) {
		t.Fatalf("got %+v", got)
	}
	if last := got[4]; last.Sold != 4 || !last.Advised.Bias.Value.Equal(decimal.NewFromInt(-10)) || !last.Within.Equal(decimal.NewFromInt(50)) {
		t.Errorf("the dearest fifth is %+v", last)
	}
	if few := ByFifths(outcomes[:19]); few != nil {
		t.Errorf("19 vans give %+v", few)
	}
}
