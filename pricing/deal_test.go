package pricing

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// exchange is a deal between two margin-scheme vans with nothing but VAT in it.
func exchange(price, allowance, resold string) Exchange {
	return Exchange{
		Selling:   SaleTerms{VATTreatment: margin, Price: pounds(price), Cost: pounds("30000")},
		Taking:    SaleTerms{VATTreatment: margin, Price: pounds(resold)},
		Allowance: pounds(allowance),
		StandIn:   pounds("10000"),
	}
}

// The figures follow from three sources: the margin's VAT is a sixth (Notice
// 718/1 s3.3, quoted at community.quickfile.co.uk/t/correct-margin-scheme-calculation/5776),
// nothing is due at or below cost (acc-uniquesolutions.co.uk 2021-08-03 on the
// same notice), and the allowance is the purchase price of the van taken in
// (VATMARG13350).
func TestDealVAT(t *testing.T) {
	tests := []struct {
		name                     string
		price, allowance, resold string
		wantCash, wantVAT, later string
	}{
		{"two gains, two VATs", "36000", "10000", "13000", "26000", "1500", "7500"},
		{"bumped by 2,000: the same cash and VAT, earlier", "38000", "12000", "13000", "26000", "1500", "7500"},
		{"bumped by 4,000: the van taken in makes a loss, whose VAT is lost", "40000", "14000", "13000", "26000", "1666.67", "7333.33"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := NewDeal(exchange(tt.price, tt.allowance, tt.resold), bare("0"))
			got := []string{d.Cash.String(), d.VAT.String(), d.Later.String()}
			if diff := cmp.Diff([]string{tt.wantCash, tt.wantVAT, tt.later}, got); diff != "" {
				t.Errorf("cash, VAT, left later (-want +got):\n%s", diff)
			}
		})
	}
}

// An allowance 1,200 above what the van is worth, at an unchanged price, costs
// 5/6 of it while the van taken in still makes a margin, and all of it where
// that van fetches no more than it was worth. Derived from the same rules.
func TestOverAllowanceCosts(t *testing.T) {
	for _, tt := range []struct{ name, resold, want string }{
		{"both margins positive", "13000", "1000"},
		{"resold for no more than the first allowance", "10000", "1200"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			plain := NewDeal(exchange("36000", "10000", tt.resold), bare("0"))
			over := NewDeal(exchange("36000", "11200", tt.resold), bare("0"))
			if got := plain.Later.Sub(over.Later); !got.Equal(pounds(tt.want)) {
				t.Errorf("costs %s, want %s", got, tt.want)
			}
			if !over.Over.Equal(pounds("1200")) || !over.Now.Equal(plain.Now.Sub(pounds("1200"))) {
				t.Errorf("over-allowance %s leaves %s now, want 1200 off %s", over.Over, over.Now, plain.Now)
			}
		})
	}
}

// HMRC, VATVAL06140 (older edition): the balance to pay in its two examples.
func TestHMRCBalances(t *testing.T) {
	tests := []struct {
		name                      string
		price, allowance, finance string
		want                      string
	}{
		{"inflated deposit: the real deal", "14400", "800", "0", "13600"},
		{"inflated deposit: as the finance company saw it", "16800", "3200", "0", "13600"},
		{"settlement: before", "10000", "5000", "6000", "11000"},
		{"settlement: price and allowance raised", "12500", "7500", "6000", "11000"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			x := exchange(tt.price, tt.allowance, "9000")
			x.Finance = pounds(tt.finance)
			if d := NewDeal(x, bare("0")); !d.Cash.Equal(pounds(tt.want)) {
				t.Errorf("balance %s, want %s", d.Cash, tt.want)
			}
		})
	}
}

// The shortfall is owed on top and is no part of either value: from memory, and
// common practice.
func TestNegativeEquityStaysOutOfThePrices(t *testing.T) {
	x := exchange("36000", "10000", "13000")
	clear := NewDeal(x, bare("0"))
	x.Finance = pounds("11500")
	d := NewDeal(x, bare("0"))
	if !d.Short.Equal(pounds("1500")) || !d.Cash.Equal(pounds("37500")) {
		t.Errorf("short by %s with %s to pay, want 1500 and 37500", d.Short, d.Cash)
	}
	if !d.VAT.Equal(clear.VAT) || !d.Later.Equal(clear.Later) || !d.Sale.Price.Equal(clear.Sale.Price) {
		t.Errorf("finance moved VAT to %s, what is left to %s, the price to %s", d.VAT, d.Later, d.Sale.Price)
	}
}

// A qualifying van sold at 42,000 that was bought at 30,000 + 6,000 VAT owes
// 7,000 and leaves 5,000; put through the margin scheme it would owe 1,000 and
// hide 6,000. gov.uk, "Using the VAT margin scheme for second-hand vehicles":
// a van bought on an invoice that shows VAT is barred.
func TestQualifyingVanIsNeverPutThroughTheScheme(t *testing.T) {
	van := data.Van{StockID: "A", Status: data.Ready, VAT: data.Qualifying, Cost: data.Some(pounds("36000"))}
	x, err := NewExchange(MarginRow{Van: van, Price: data.Some(pounds("42000"))}, data.Opt[data.Money]{},
		offer("B", "13000", "10000"), pounds("10000"))
	if err != nil {
		t.Fatal(err)
	}
	d := NewDeal(x, bare("0"))
	if !d.Sale.VAT.Equal(pounds("7000")) || !d.Sale.Cost.Equal(pounds("30000")) || !d.Sale.Profit.Equal(pounds("5000")) {
		t.Errorf("got VAT %s on a cost of %s leaving %s, want 7000, 30000 and 5000", d.Sale.VAT, d.Sale.Cost, d.Sale.Profit)
	}
}

func TestGifts(t *testing.T) {
	tests := []struct {
		name string
		x    Exchange
		want []Gift
	}{
		{"both margins positive: price and allowance cost 5/6, work all of it", exchange("36000", "10000", "13000"),
			[]Gift{{"price", pounds("416.67")}, {"allowance", pounds("416.67")}, {"work", pounds("500")}}},
		{"no margin on the van taken in: only the price sheds VAT", exchange("36000", "13000", "13000"),
			[]Gift{{"price", pounds("416.67")}, {"allowance", pounds("500")}, {"work", pounds("500")}}},
		{"no margin on the van sold: only the allowance sheds VAT", exchange("29000", "10000", "13000"),
			[]Gift{{"allowance", pounds("416.67")}, {"price", pounds("500")}, {"work", pounds("500")}}},
		{"300 of margin left: VAT comes off that alone", exchange("30300", "13000", "13000"),
			[]Gift{{"price", pounds("450")}, {"allowance", pounds("500")}, {"work", pounds("500")}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := NewDeal(tt.x, bare("0")).Gifts(pounds("500"), bare("0"))
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// The allowance ties money up until the van taken in is sold: 500 at 8.5 % for
// 73 days is 8.50, simple interest on actual days over 365.
func TestAllowanceAlsoCostsItsHolding(t *testing.T) {
	policy := bare("0")
	policy.StockingRate = pounds("0.085")
	x := exchange("36000", "10000", "13000")
	x.Taking.Days = 73
	gifts := NewDeal(x, policy).Gifts(pounds("500"), policy)
	if want := (Gift{"allowance", pounds("425.17")}); !gifts[1].Cost.Equal(want.Cost) || gifts[1].How != want.How {
		t.Errorf("got %v, want %v second", gifts, want)
	}
}

func drawExchange(t *rapid.T) Exchange {
	money := func(name string, hi int) data.Money {
		return decimal.New(int64(rapid.IntRange(0, hi).Draw(t, name)), -2)
	}
	return Exchange{
		Selling: drawSaleTerms(t), Taking: drawSaleTerms(t),
		Allowance: money("allowance", 9000000), StandIn: money("stand-in", 9000000), Finance: money("finance", 9000000),
	}
}

// What each side puts in goes somewhere: the customer's cash and van pay for
// our van and the lender, and each price splits into its costs to the penny.
func TestDealAddsUpToThePenny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		policy := drawPolicy(t)
		d := NewDeal(drawExchange(t), policy)
		if got := d.Cash.Add(d.Allowance); !got.Equal(d.Sale.Price.Add(d.Finance)) {
			t.Fatalf("the customer gives %s for a price and a debt of %s", got, d.Sale.Price.Add(d.Finance))
		}
		costs := decimal.Zero
		for _, r := range []ProfitBreakdown{d.Sale, d.Resale} {
			costs = costs.Add(r.Cost).Add(r.Prep).Add(r.Warranty).Add(r.Holding).Add(r.Selling)
		}
		if got := d.Later.Add(d.VAT).Add(costs); !got.Equal(d.Sale.Price.Add(d.Resale.Price)) {
			t.Fatalf("left, VAT and costs come to %s, the prices to %s", got, d.Sale.Price.Add(d.Resale.Price))
		}
		if got := d.Now.Add(d.Over); !got.Equal(d.Sale.Profit) || !d.Over.Add(d.StandIn).Equal(d.Allowance) {
			t.Fatalf("over-allowance of %s does not part %s from %s", d.Over, d.Sale.Profit, d.Now)
		}
		for _, m := range []data.Money{d.Cash, d.VAT, d.Now, d.Later, d.Over, d.Short} {
			if !m.Equal(data.Pence(m)) {
				t.Fatalf("%s is not whole pence", m)
			}
		}
		if d.VAT.IsNegative() || d.Short.IsNegative() {
			t.Fatalf("VAT %s or shortfall %s is negative", d.VAT, d.Short)
		}
	})
}

// Raising price and allowance by the same sum: VATVAL06140 and VATMARG13300
// treat the raised figures as the true ones. It moves no cash, and while the
// van sold makes a margin it never saves VAT.
func TestBumpingMovesNoCashAndSavesNoVAT(t *testing.T) {
	penny := pounds("0.01")
	rapid.Check(t, func(t *rapid.T) {
		policy, x := drawPolicy(t), drawExchange(t)
		if x.Selling.VATTreatment.Margin && x.Selling.Price.LessThan(x.Selling.Cost) {
			x.Selling.Price, x.Selling.Cost = x.Selling.Cost, x.Selling.Price
		}
		bump := decimal.New(int64(rapid.IntRange(1, 1000000).Draw(t, "bump")), -2)
		before := NewDeal(x, policy)
		x.Selling.Price, x.Allowance = x.Selling.Price.Add(bump), x.Allowance.Add(bump)
		after := NewDeal(x, policy)
		if !after.Cash.Equal(before.Cash) {
			t.Fatalf("cash moved from %s to %s", before.Cash, after.Cash)
		}
		// Each VAT is rounded by itself, so their sum may move by a penny.
		if after.VAT.LessThan(before.VAT.Sub(penny)) {
			t.Fatalf("VAT fell from %s to %s", before.VAT, after.VAT)
		}
	})
}

// Below cost the floor hides what a higher price adds, so the property above
// has a limit, and this is it.
func TestBumpingBelowCostDoesMoveVAT(t *testing.T) {
	before := NewDeal(exchange("29000", "10000", "13000"), bare("0"))
	after := NewDeal(exchange("30000", "11000", "13000"), bare("0"))
	if !before.VAT.Equal(pounds("500")) || !after.VAT.Equal(pounds("333.33")) {
		t.Errorf("VAT %s, then %s; want 500, then 333.33", before.VAT, after.VAT)
	}
}

func TestGivingMoreNeverLeavesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		policy := drawPolicy(t)
		d := NewDeal(drawExchange(t), policy)
		sum := decimal.New(int64(rapid.IntRange(1, 200000).Draw(t, "sum")), -2)
		gifts := d.Gifts(sum, policy)
		for i, g := range gifts {
			if g.Cost.IsNegative() {
				t.Fatalf("giving %s by %s leaves %s more", sum, g.How, g.Cost.Neg())
			}
			if i > 0 && g.Cost.LessThan(gifts[i-1].Cost) {
				t.Fatalf("%v: not the cheapest first", gifts)
			}
		}
	})
}

func offer(stockID, price, standIn string) Bid {
	return Bid{
		Quote: Quote{Van: data.Van{StockID: stockID, Status: data.Offered, VAT: data.MarginScheme}, Price: data.Some(pounds(price))},
		Known: true, StandIn: pounds(standIn), PrepDays: 7, DaysToSell: 60, Prep: prep.Cost{P50: pounds("900"), P80: pounds("1400")},
	}
}

func TestNewExchange(t *testing.T) {
	out := MarginRow{
		Van:      data.Van{StockID: "A", Status: data.Ready, VAT: data.MarginScheme, Cost: data.Some(pounds("30000"))},
		DaysHeld: 40, DaysToSell: 55, Price: data.Some(pounds("36000")),
		Breakdown: ProfitBreakdown{Prep: pounds("2000")},
	}
	in := offer("B", "13000", "10000")
	in.Quote.Van.FinanceOwed = data.Some(pounds("2500"))

	x, err := NewExchange(out, data.Opt[data.Money]{}, in, pounds("10500"))
	if err != nil {
		t.Fatal(err)
	}
	want := Exchange{
		Selling:   SaleTerms{VATTreatment: margin, Price: pounds("36000"), Cost: pounds("30000"), Prep: pounds("2000"), Days: 40},
		Taking:    SaleTerms{VATTreatment: margin, Price: pounds("13000"), Prep: pounds("900"), Days: 67},
		Allowance: pounds("10500"), StandIn: pounds("10000"), Finance: pounds("2500"),
	}
	if diff := cmp.Diff(want, x); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if x, err = NewExchange(out, data.Some(pounds("35500")), in, pounds("10500")); err != nil || !x.Selling.Price.Equal(pounds("35500")) {
		t.Errorf("agreed at 35500, reckoned at %s (%v)", x.Selling.Price, err)
	}

	refused := []struct {
		name   string
		change func(out *MarginRow, in *Bid)
		want   string
	}{
		{"the same van twice", func(out *MarginRow, in *Bid) { in.Quote.Van.StockID = "A" }, "A can't be sold and taken in at once"},
		{"already sold", func(out *MarginRow, in *Bid) {
			out.Van.Status, out.Van.SoldOn = data.Sold, data.NewDate(2026, 1, 10)
		}, "A was sold on 2026-01-10"},
		{"not ours", func(out *MarginRow, in *Bid) { out.Van.Status = data.Offered }, "A is offered: only a van in hand"},
		{"already ours", func(out *MarginRow, in *Bid) { in.Quote.Van.Status = data.Owned }, "B is owned, so ours already: only a van that is offered"},
		{"selling salvage", func(out *MarginRow, in *Bid) { out.Van.Salvage = "B" }, "A is salvage category B"},
		{"taking salvage", func(out *MarginRow, in *Bid) { in.Quote.Van.Salvage = "A" }, "B is salvage category A"},
		{"no price", func(out *MarginRow, in *Bid) { out.Price.Known = false }, "A has no price"},
		{"no cost", func(out *MarginRow, in *Bid) { out.Van.Cost.Known = false }, "A has no cost"},
		{"no bid", func(out *MarginRow, in *Bid) { in.Known = false }, "B has no stand-in value"},
	}
	for _, tt := range refused {
		t.Run(tt.name, func(t *testing.T) {
			out, in := out, in
			tt.change(&out, &in)
			if _, err := NewExchange(out, data.Opt[data.Money]{}, in, pounds("10500")); err == nil || !strings.HasPrefix(err.Error(), tt.want) {
				t.Errorf("got %v, want %q …", err, tt.want)
			}
		})
	}
}
