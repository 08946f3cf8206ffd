package pricing

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/data"
)

// soldRow is the margin of a van of ours that was sold.
func soldRow(i int, cost, price string) *MarginRow {
	on := marketDay.AddDays(-10 * i)
	v := soldVan(fmt.Sprintf("S%03d", i), on, pounds(price)).Van
	v.Cost, v.Acquired, v.Listed = data.Some(pounds(cost)), on.AddDays(-100), on.AddDays(-69)
	row := MarginRow{Van: v, Known: true, Price: v.SoldPrice}
	row.Breakdown.Prep = pounds("500")
	return &row
}

func nobody(string, string, data.Body) string { return "" }

// kindAt finds the row of a band.
func kindAt(t *testing.T, b Buying, from int64) Wanted {
	t.Helper()
	for _, k := range b.Kinds {
		if k.From.IntPart() == from {
			return k
		}
	}
	t.Fatalf("no kind from %d in %+v", from, b.Kinds)
	return Wanted{}
}

// pastSales sells a van every 15 days, all of one model and between 35,000 and 39,500
// pounds. Little's law: 73 of three years, each some D days on a pitch, are 73 × D / 1,095
// at once, where all past sales are ours or nobody's in particular.
func TestAsManyAreBorneAsSellWhileOneStands(t *testing.T) {
	m := NewMarket(pastSales(100, marketDay), marketDay, data.DefaultPolicy())
	var sold []*MarginRow
	for i := range 73 {
		sold = append(sold, soldRow(i*3/2, "30000", "37000"))
	}
	k := kindAt(t, m.Wanted(sold, nil, nobody), 30_000)
	if k.Sales != 74 { // the day itself counts
		t.Errorf("%d past sales of three years, want 74", k.Sales)
	}
	if want := int(math.Round(74 * float64(k.PitchDays) / 1095)); k.CanBear != want || k.More != want {
		t.Errorf("bears %d and %d more, want %d: %d days on a pitch", k.CanBear, k.More, want, k.PitchDays)
	}
	if off := math.Abs(k.PerDay.InexactFloat64()*float64(k.PitchDays) - k.Profit.InexactFloat64()); off > 0.01*math.Abs(k.Profit.InexactFloat64())+20 {
		t.Errorf("%s a day for %d days is not %s", k.PerDay, k.PitchDays, k.Profit)
	}
	if !k.Low.LessThan(k.PerDay) || !k.High.GreaterThan(k.PerDay) {
		t.Errorf("%s a day is not between %s and %s", k.PerDay, k.Low, k.High)
	}
}

// Of a feed in which one sale in ten is ours, fewer buyers are ours.
func TestBuyersOfOthersAreNotOurs(t *testing.T) {
	var feed []data.Sale
	for i := range 10 {
		for j, s := range pastSales(100, marketDay) {
			s.SaleID = fmt.Sprintf("S%d-%d", i, j)
			feed = append(feed, s)
		}
	}
	m := NewMarket(feed, marketDay, data.DefaultPolicy())
	few := kindAt(t, m.Wanted([]*MarginRow{soldRow(100, "30000", "37000")}, nil, nobody), 30_000)
	unknown := kindAt(t, m.Wanted(nil, nil, nobody), 30_000)
	if few.CanBear*3 > unknown.CanBear || few.CanBear < 1 {
		t.Errorf("bears %d where one of 680 sales was ours, %d where nobody knows", few.CanBear, unknown.CanBear)
	}
}

func TestWhatIsInHandCountsAgainstWhatIsBorne(t *testing.T) {
	m := NewMarket(pastSales(100, marketDay), marketDay, data.DefaultPolicy())
	bears := kindAt(t, m.Wanted(nil, nil, nobody), 30_000).CanBear
	stands := func(n int) []InHand {
		var in []InHand
		for i := range n {
			v := anyVan()
			v.StockID = fmt.Sprintf("V%d", i)
			q := m.Quote(v, Condition{})
			in = append(in, InHand{v, &q})
		}
		return in
	}
	for _, tt := range []struct {
		name         string
		inHand, more int
		reason       string
	}{
		{"one", 1, bears - 1, "past sales bear"},
		{"as many as are borne", bears, 0, "as many as past sales bear"},
		{"too many", bears + 3, 0, "as many as past sales bear"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			k := kindAt(t, m.Wanted(nil, stands(tt.inHand), nobody), 30_000)
			if k.InHand != tt.inHand || k.More != tt.more || k.Worthwhile != (tt.more > 0) || !strings.Contains(k.Reason, tt.reason) {
				t.Errorf("%d in hand, %d more, worthwhile %v, %q", k.InHand, k.More, k.Worthwhile, k.Reason)
			}
		})
	}
}

func TestKindsThatLeaveNothingAreNotWanted(t *testing.T) {
	m := NewMarket(pastSales(100, marketDay), marketDay, data.DefaultPolicy())
	var dear []*MarginRow
	for i := range 30 {
		dear = append(dear, soldRow(i, "36800", "37000"))
	}
	b := m.Wanted(dear, nil, nobody)
	k := kindAt(t, b, 30_000)
	if k.PerDay.IsPositive() || k.Worthwhile || !strings.Contains(k.Reason, "leaves nothing") || !b.Pitch.IsZero() {
		t.Errorf("bought at 99%% of their price: %s a day, worthwhile %v, %q; a pitch %s", k.PerDay, k.Worthwhile, k.Reason, b.Pitch)
	}
}

func TestAKindWithoutPastSalesIsJudgedByThoseInHand(t *testing.T) {
	v := anyVan()
	v.Model, v.Guide = "Never seen", data.Some(pounds("52000"))
	m := NewMarket(nil, marketDay, data.DefaultPolicy())
	q := m.Quote(v, Condition{})
	k := kindAt(t, m.Wanted(nil, []InHand{{v, &q}}, nobody), 50_000)
	if k.Sales != 0 || k.CanBear != 0 || k.More != 0 || k.InHand != 1 || !strings.Contains(k.Reason, "no past sale") {
		t.Errorf("got %+v", k)
	}
	if empty := m.Wanted(nil, nil, nobody); len(empty.Kinds) != 0 || !empty.Pitch.IsZero() {
		t.Errorf("nothing is known, yet %+v", empty)
	}
}

// Ten vans count as much as what is known before.
func TestPurchasesAreLearntFromOurOwnVans(t *testing.T) {
	var sold []*MarginRow
	for i := range 10 {
		sold = append(sold, soldRow(i, "25900", "37000")) // 70 %, prepared in 31 days for 500
	}
	sold = append(sold, soldRow(11, "259", "37000")) // mistyped
	p := learnPurchases(sold[:10])
	for _, tt := range []struct {
		what      string
		got, want float64
	}{
		{"share of the price that it cost", p.all.costShare, (0.82 + 0.70) / 2},
		{"preparation", p.all.prep, (1500.0 + 500) / 2},
		{"days of it", p.all.prepDays, (21.0 + 31) / 2},
		{"a model leans on all", p.of("Larkfield", "Rothmere 540").costShare, (0.76 + 0.70) / 2},
		{"a model that we never had", p.of("Larkfield", "Strand 6").costShare, 0.76},
		{"a cost of a hundredth of the price teaches nothing of it", learnPurchases(sold).all.costShare, 0.76},
	} {
		if math.Abs(tt.got-tt.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", tt.what, tt.got, tt.want)
		}
	}
}
