package pricing

import (
	"testing"

	"github.com/vanwright/vanwright/data"
)

// Salvage S or N: retail only with disclosure, 20 to 40 % off: common
// practice, no source. A or B: never retail (gov.uk margin-scheme page bars
// them; iaea-online.org for the categories).
func TestSalvageLowersTheValue(t *testing.T) {
	m := NewMarket(nil, data.NewDate(2026, 3, 9), data.DefaultPolicy())
	quote := func(salvage string) Quote {
		return m.Quote(data.Van{
			StockID: "V1", VAT: data.MarginScheme, Salvage: salvage, Status: data.Owned,
			FirstRegistered: data.NewDate(2018, 4, 2), Guide: data.Some(pounds("40000")),
		}, Condition{})
	}
	clean := quote("")
	for salvage, share := range map[string]string{"N": "0.80", "S": "0.65"} {
		q := quote(salvage)
		if want := clean.Market.Value.Mul(pounds(share)); !q.Market.Value.Equal(want) {
			t.Errorf("%s: got %s, want %s", salvage, q.Market.Value, want)
		}
		if !q.Low.Value.LessThan(q.Market.Value) || !q.High.Value.GreaterThan(q.Market.Value) {
			t.Errorf("%s: interval %s to %s does not hold %s", salvage, q.Low.Value, q.High.Value, q.Market.Value)
		}
	}
	for _, salvage := range []string{"A", "B"} {
		if q := quote(salvage); q.Price.Known || q.Market.Known {
			t.Errorf("%s: priced at %s", salvage, q.Price.Value)
		}
	}
}
