package prep

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"github.com/shopspring/decimal"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

func near(a, b, within float64) bool { return math.Abs(a-b) <= within }

// Chances of 0.2, 0.5 and 0.3 for £1,000, £1,020 and £1,040, each spread evenly over
// its cell of £20: the quantiles and chances are read off by hand.
func TestSpreadIsReadOffByHand(t *testing.T) {
	s := masses{0.2, 0.5, 0.3}.spread(1000)
	for p, want := range map[float64]float64{0: 990, 0.1: 1000, 0.2: 1010, 0.45: 1020, 0.7: 1030, 0.85: 1040, 1: 1050} {
		if got := s.Quantile(p); !near(got, want, 1e-9) {
			t.Errorf("%v: £%v, want £%v", p, got, want)
		}
	}
	for pounds, want := range map[float64]float64{980: 0, 990: 0, 1000: 0.1, 1010: 0.2, 1020: 0.45, 1030: 0.7, 1040: 0.85, 1050: 1, 1060: 1} {
		if got := s.ChanceWithin(pounds); !near(got, want, 1e-9) {
			t.Errorf("£%v: %v, want %v", pounds, got, want)
		}
	}
	gap := masses{0.4, 0, 0.6}.spread(0)
	if got := gap.Quantile(0.4); !near(got, 10, 1e-9) {
		t.Errorf("the end of a cell before one without a chance: £%v, want £10", got)
	}
	sure := masses{1}.spread(700)
	for pounds, want := range map[float64]float64{699.99: 0, 700: 1, 701: 1} {
		if got := sure.ChanceWithin(pounds); got != want {
			t.Errorf("a certain £700 within £%v: %v", pounds, got)
		}
	}
}

// A defect of £50 with a chance of 0.4 lies between the cells of £40 and £60, in
// halves: 0.6, 0.2, 0.2. One of £1,000,000 goes into the last cell there is.
func TestADefectMovesItsChanceUp(t *testing.T) {
	got := masses{1}.add(0.4, 50)
	for k, want := range []float64{0.6, 0, 0.2, 0.2} {
		if !near(got[k], want, 1e-12) || len(got) != 4 {
			t.Fatalf("got %v", got)
		}
	}
	if far := (masses{1}).add(0.4, 1e6); len(far) != mostCells && len(far) != 1 || !near(sumOf(far), 1, 1e-12) {
		t.Errorf("%d cells that add up to %v", len(far), sumOf(far))
	}
	if tiny := (masses{1 - 1e-10, 0, 1e-10}).trim(); len(tiny) != 1 || !near(tiny[0], 1, 1e-12) {
		t.Errorf("what can't matter is kept: %v", tiny)
	}
	if kept := (masses{0.9, 0, 0.1}).trim(); len(kept) != 3 {
		t.Errorf("what matters is dropped: %v", kept)
	}
}

func sumOf(m masses) (sum float64) {
	for _, v := range m {
		sum += v
	}
	return sum
}

// The sum of two independent costs is the sum over all pairs; whatever would lie
// beyond the last cell is in it.
func TestSumOfTwoCostsIsThatOfAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) masses {
			m := make(masses, rapid.IntRange(1, 30).Draw(t, name))
			for k := range m {
				m[k] = rapid.Float64Range(0.01, 1).Draw(t, name)
			}
			total := sumOf(m)
			for k := range m {
				m[k] /= total
			}
			return m
		}
		a, b := draw("a"), draw("b")
		want := make(masses, len(a)+len(b)-1)
		for i := range a {
			for j := range b {
				want[i+j] += a[i] * b[j]
			}
		}
		got := a.plus(b, nil)
		if len(got) != len(want) {
			t.Fatalf("%d cells, want %d", len(got), len(want))
		}
		for k := range want {
			if !near(got[k], want[k], 1e-12) {
				t.Fatalf("cell %d: %v, want %v", k, got[k], want[k])
			}
		}
	})
	long := make(masses, mostCells)
	for k := range long {
		long[k] = 1 / float64(mostCells)
	}
	if got := long.plus(long, nil); len(got) != mostCells || !near(sumOf(got), 1, 1e-9) || got[mostCells-1] < 0.49 {
		t.Errorf("%d cells, %v in all, %v in the last", len(got), sumOf(got), got[len(got)-1])
	}
}

// The hours of named jobs: each cell has what the gamma law of the reference
// library has between its edges, and what lies beyond the last is in it.
func TestCellsOfTheGammaLaw(t *testing.T) {
	for _, tt := range []struct{ mean, sd float64 }{{300, 100}, {1000, 250}, {60, 45}} {
		m := gammaMasses(tt.mean, tt.sd)
		g := distuv.Gamma{Alpha: tt.mean * tt.mean / tt.sd / tt.sd, Beta: tt.mean / tt.sd / tt.sd}
		if last := float64(len(m)) * gridStep; last > tt.mean+6*tt.sd+60 || 1-g.CDF(last) > 1e-3 {
			t.Errorf("%v ± %v: cells to £%v", tt.mean, tt.sd, last)
		}
		mean := 0.0
		for k := range m[:len(m)-1] {
			want := g.CDF((float64(k)+0.5)*gridStep) - g.CDF((float64(k)-0.5)*gridStep)
			if !near(m[k], want, 1e-12) {
				t.Fatalf("%v ± %v: cell %d has %v, want %v", tt.mean, tt.sd, k, m[k], want)
			}
			mean += m[k] * float64(k) * gridStep
		}
		if !near(sumOf(m), 1, 1e-9) || !near(mean, tt.mean, 1) {
			t.Errorf("%v ± %v: chances add up to %v, mean £%v", tt.mean, tt.sd, sumOf(m), mean)
		}
	}
}

// Sheppard's formula (1899, from memory) for two defects of one system, each with a
// chance of one half and a correlation of ρ behind them: both come with
// 1/4 + asin ρ / 2π. At a correlation of 0.1 that is 0.26594, at 0.5 one third. The
// five nodes give it to a thousandth.
func TestTwoDefectsOfOneSystemComeTogether(t *testing.T) {
	for _, correlation := range []float64{0.1, 0.3} {
		w := &workings{}
		m := w.hidden([]defect{{0.5, 100}, {0.5, 1000}}, correlation)
		want := 0.25 + math.Asin(correlation)/(2*math.Pi)
		if !near(m[55], want, 0.001) { // £1,100 in cells of £20
			t.Errorf("ρ = %v: both come with %v, want %v", correlation, m[55], want)
		}
		if !near(m[0], want, 0.001) || !near(m[5], 0.5-want, 0.001) || !near(m[50], 0.5-want, 0.001) || !near(sumOf(m), 1, 1e-9) {
			t.Errorf("ρ = %v: none %v, one %v, the other %v", correlation, m[0], m[5], m[50])
		}
	}
}

// The moments of an estimate by summing its quantiles, which is another way to the
// same law.
func TestMomentsFromQuantiles(t *testing.T) {
	for _, e := range []Estimate{{1, 2, 6}, {2, 5, 6}, {0.5, 0.8, 1.3}, {3, 4, 5}} {
		mean, variance, third := e.Moments()
		const n = 40_000
		var m, v, s float64
		for i := range n {
			m += e.Quantile((float64(i) + 0.5) / n)
		}
		m /= n
		for i := range n {
			d := e.Quantile((float64(i)+0.5)/n) - m
			v, s = v+d*d, s+d*d*d
		}
		if !near(mean, m, 1e-4) || !near(variance, v/n, 1e-3) || !near(third, s/n, 2e-3) {
			t.Errorf("%v: moments %v, %v, %v; by quantiles %v, %v, %v", e, mean, variance, third, m, v/n, s/n)
		}
		twice := e.Scale(2)
		if twice != (Estimate{2 * e.Low, 2 * e.Likely, 2 * e.High}) {
			t.Errorf("twice %v is %v", e, twice)
		}
	}
}

// What is left of a job on which a limit of its estimate has been spent.
func TestHoursLeftOnTheLimits(t *testing.T) {
	for _, tt := range []struct {
		name  string
		e     Estimate
		spent float64
		want  float64
	}{
		{"the lowest spent: the median less that", Estimate{2, 4, 6}, 2, 2},
		{"the highest spent: a tenth of it", Estimate{2, 4, 6}, 6, 0.6},
		{"certain, and part of it spent", Estimate{3, 3, 3}, 2, 1},
		{"certain, and all of it spent", Estimate{3, 3, 3}, 3, 0},
		{"certain, and more spent", Estimate{3, 3, 3}, 4, 0.3},
	} {
		if got := tt.e.Left(tt.spent, 0.5); !near(got, tt.want, 1e-9) {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// The cost of a defect is its job's mean hours and its parts, each as often as the
// book says.
func TestCostOfAHiddenDefect(t *testing.T) {
	book := builtIn(t)
	job, _ := book.Job("brake-pads")
	hours := (job.HoursLow + 4*job.HoursLikely + job.HoursHigh) / 6 * job.Factor(data.PanelVan)
	want := 40 * hours
	for _, use := range job.Parts {
		part, _ := book.Part(use.Part)
		want += float64(use.Qty) * part.UnitCost.InexactFloat64()
	}
	if got := hiddenCost("brake-pads", data.PanelVan, book, 40); !near(got, want, 1e-9) || want < 20 {
		t.Errorf("£%v, want £%v", got, want)
	}
	if got := hiddenCost("no-such-job", data.PanelVan, book, 40); got != 0 {
		t.Errorf("a job that the book lacks costs £%v", got)
	}
	// One certain job and nothing hidden: the cost is known, to the penny.
	sure := Job{Code: "brake-pads", Skill: "mechanical", State: data.JobOpen, Book: Estimate{2, 2, 2}, PartsCost: decimal.NewFromInt(50)}
	c := CostOf([]Job{sure}, []appraise.Untested{{Job: "no-such-job", System: "x", Chance: 0.5}}, data.PanelVan, book, data.DefaultPolicy())
	if got := c.Spread.Quantile(0.5); !near(got, 2*32+50, 1e-9) || !c.Risk.IsZero() {
		t.Errorf("2 h and £50 of parts: £%v, risk %s", got, c.Risk)
	}
}

// Orders at twice the book's price: n of them, shrunk toward the book. The mean log is
// n ln 2 / (n + bookOrders), and nine in ten lie within 1.645 of the least spread,
// 0.02, over √(n + bookOrders).
func TestWhatOrdersTeachByHand(t *testing.T) {
	book := builtIn(t)
	part := book.Parts[0]
	var orders []data.Order
	day := data.NewDate(2026, 1, 5)
	const n = 8
	for range n {
		orders = append(orders, data.Order{
			Part: part.Code, Quantity: 1, OrderedOn: day, ArrivedOn: day.AddDays(2 * part.LeadDays),
			UnitCost: data.Some(part.UnitCost.Mul(decimal.NewFromInt(2))),
		})
	}
	f := LearnSupply(orders, nil, book).Factors()
	if len(f) != 4 {
		t.Fatalf("%+v, want all parts and this one, for price and days", f)
	}
	mean := n * math.Ln2 / (n + bookOrders)
	within := 1.645 * 0.02 / math.Sqrt(n+bookOrders)
	for _, all := range []SupplyFactor{f[0], f[2]} {
		if !near(all.Factor, math.Exp(mean), 1e-9) || !near(all.Low, math.Exp(mean-within), 1e-9) || !near(all.High, math.Exp(mean+within), 1e-9) {
			t.Errorf("%+v, want %v from %v to %v", all, math.Exp(mean), math.Exp(mean-within), math.Exp(mean+within))
		}
	}
	own := (n*math.Ln2 + bookOrders*mean) / (n + bookOrders)
	if !near(f[1].Factor, math.Exp(own), 1e-9) {
		t.Errorf("the part's own: %v, want %v", f[1].Factor, math.Exp(own))
	}
	// Beyond wildOrder times the book an order is a slip and teaches nothing; at it, it counts.
	for times, want := range map[int64]int{int64(wildOrder): n, int64(wildOrder) + 1: 0} {
		for i := range orders {
			orders[i].UnitCost, orders[i].ArrivedOn = data.Some(part.UnitCost.Mul(decimal.NewFromInt(times))), 0
		}
		got := 0
		if f := LearnSupply(orders, nil, book).Factors(); len(f) > 0 {
			got = f[0].Orders
		}
		if got != want {
			t.Errorf("%d times the book: %d orders count, want %d", times, got, want)
		}
	}
}
