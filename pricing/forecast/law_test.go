package forecast

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// even is a cumulative hazard of so much a day.
func even(rate float64, days int) []float64 {
	h := make([]float64, days+1)
	for d := range h {
		h[d] = rate * float64(d)
	}
	return h
}

// on is a hazard that brings the sale on one day for certain.
func on(day, last int) []float64 {
	h := make([]float64, last+1)
	for d := day; d <= last; d++ {
		h[d] = 1e9
	}
	return h
}

func prices(draws Draws) (logs []float64) {
	for _, d := range draws {
		logs = append(logs, math.Log(d.Price))
	}
	return logs
}

func TestPointsSpreadEvenly(t *testing.T) {
	p := NewPoints(400, 7)
	near(t, "mean of the worths", stat.Mean(p.worth, nil), 0, 0.02)
	near(t, "deviation of the worths", stat.StdDev(p.worth, nil), 1, 0.01)
	near(t, "mean patience", stat.Mean(p.patience, nil), 1, 0.03)
	near(t, "deviation of patience", stat.StdDev(p.patience, nil), 1, 0.08)
	near(t, "mean haggle", stat.Mean(p.haggle, nil), 0.5, 0.005)
	near(t, "mean buyer", stat.Mean(p.buyer, nil), 0.5, 0.005)
	all := [][]float64{p.worth, p.patience, p.haggle, p.buyer}
	for i := range all {
		for j := range i {
			near(t, "correlation of two", stat.Correlation(all[i], all[j], nil), 0, 0.05)
		}
	}
	for _, u := range slices.Concat(p.haggle, p.buyer) {
		if u <= 0 || u >= 1 {
			t.Fatalf("a chance of %v", u)
		}
	}
	// In each tenth of haggles a tenth of the points.
	var tenths [10]int
	for _, u := range p.haggle {
		tenths[int(u*10)]++
	}
	for i, n := range tenths {
		if n < 38 || n > 42 {
			t.Errorf("tenth %d has %d of 400 points", i, n)
		}
	}
	if again := NewPoints(400, 7); !slices.Equal(again.worth, p.worth) || !slices.Equal(again.buyer, p.buyer) {
		t.Error("one seed, two sets of points")
	}
	if other := NewPoints(400, 8); slices.Equal(other.worth, p.worth) {
		t.Error("two seeds, one set of points")
	}
}

// Sales that come at an even rate, by the exponential law.
func TestDaysFollowTheHazard(t *testing.T) {
	law := Law{Paid: []float64{math.Log(0.95)}}
	plan := Plan{Asks: []Ask{{0, math.Log(20_000)}}, Hazard: even(0.02, 400), Worth: math.Log(20_000)}
	draws := law.Draw(plan, NewPoints(400, 1))
	for _, days := range []int{1, 10, 60, 150} {
		near(t, "sold within", draws.SoldWithin(days), 1-math.Exp(-0.02*float64(days)), 0.01)
	}
	near(t, "half are sold by", float64(draws.DaysQuantile(0.5)), math.Ln2/0.02, 1)
	for _, d := range draws {
		near(t, "paid", d.Price, 19_000, 1e-6)
		near(t, "weight", d.Weight, 1.0/400, 1e-12)
	}
	near(t, "mean price", draws.MeanPrice(), 19_000, 1e-6)
	near(t, "never sold within no days", draws.SoldWithin(0), 0, 0)
}

// A van that nobody takes goes on the last day, and one that goes at once on the first.
func TestDaysEnd(t *testing.T) {
	law := Law{Paid: []float64{0}}
	plan := Plan{Asks: []Ask{{0, 10}}, Hazard: even(0, 90), Worth: 10}
	if got := law.Draw(plan, NewPoints(50, 1)).DaysQuantile(0.01); got != 90 {
		t.Errorf("never bought, gone on day %d of 90", got)
	}
	plan.Hazard = even(1e9, 90)
	if got := law.Draw(plan, NewPoints(50, 1)).DaysQuantile(0.99); got != 1 {
		t.Errorf("bought at once, gone on day %d", got)
	}
}

// The step of a ladder from day 20 is what is asked from the 21st day of sale on.
func TestStepsArePaidFromTheirDay(t *testing.T) {
	law := Law{Paid: []float64{0}}
	plan := Plan{Asks: []Ask{{0, math.Log(30_000)}, {20, math.Log(29_000)}, {40, math.Log(28_000)}}, Hazard: even(0.03, 300), Worth: math.Log(30_000)}
	seen := map[float64]bool{}
	for _, d := range law.Draw(plan, NewPoints(400, 1)) {
		want := 30_000.0
		switch {
		case d.Days > 40:
			want = 28_000
		case d.Days > 20:
			want = 29_000
		}
		near(t, "paid", d.Price, want, 1e-6)
		seen[want] = true
	}
	if len(seen) != 3 {
		t.Errorf("%d of three asking prices were paid", len(seen))
	}
}

// Where the asking price only caps what buyers would pay, the log of the price is the lesser
// of two, whose mean over a normal error is −σ φ(0); where half of them give back a quarter
// and half three quarters, half of that.
func TestTheAskingPriceCapsThePrice(t *testing.T) {
	plan := Plan{Asks: []Ask{{0, 10}}, Hazard: on(50, 100), Worth: 10, Usual: 50}
	for _, k := range []float64{0, 0.5, 1} {
		law := Law{Paid: []float64{0}, GivenBack: k, WorthSD: 0.1}
		logs := prices(law.Draw(plan, NewPoints(400, 3)))
		near(t, "mean of the log", stat.Mean(logs, nil), 10-k*0.1/math.Sqrt(2*math.Pi), 0.001)
		if top := slices.Max(logs); top > 10+1e-12 {
			t.Errorf("e^%v was paid of an asking price of e^10", top)
		}
	}
	// One asked a tenth above its worth gives back that, less what is haggled.
	law := Law{Paid: []float64{-0.02}, GivenBack: 1}
	plan.Asks[0].Log = 10.1
	near(t, "asked above the worth", prices(law.Draw(plan, NewPoints(9, 1)))[0], 10.1-0.02-0.1, 1e-9)
	// Of one that is worth more, no more than is asked.
	plan.Asks[0].Log = 9.9
	near(t, "asked below the worth", prices(law.Draw(plan, NewPoints(9, 1)))[0], 9.9, 1e-9)
	// Where more than is asked is paid by habit, that is the cap.
	law = Law{Paid: []float64{0.03}, GivenBack: 1}
	near(t, "paid above what is asked", prices(law.Draw(plan, NewPoints(9, 1)))[0], 9.93, 1e-9)
}

// What falls off the worth while the thing stands is given back too, beyond the usual time.
func TestTheWorthFallsMeanwhile(t *testing.T) {
	law := Law{Paid: []float64{-0.02}, GivenBack: 1}
	for day, want := range map[int]float64{50: -0.02, 150: -0.12, 30: 0} {
		plan := Plan{Asks: []Ask{{0, 10}}, Hazard: on(day, 200), Worth: 10, Usual: 50, Fall: 0.001}
		near(t, "paid of what is asked", prices(law.Draw(plan, NewPoints(9, 1)))[0], 10+want, 1e-9)
	}
}

// A thing that is worth more goes sooner, and one that has stood is likelier worth less.
func TestWhatHasStoodIsWorthLess(t *testing.T) {
	law := Law{Paid: []float64{0}, GivenBack: 1, WorthSD: 0.08, Power: 5, Felt: 0.5}
	plan := Plan{Asks: []Ask{{0, 10}}, Hazard: even(0.01, 900), Worth: 10}
	points := NewPoints(400, 1)
	fresh := law.Draw(plan, points)
	plan.Stood = 2
	stood := law.Draw(plan, points)
	if fresh.MeanPrice() <= stood.MeanPrice()*1.001 {
		t.Errorf("%.0f is paid for a fresh one, %.0f for one that has stood", fresh.MeanPrice(), stood.MeanPrice())
	}
	if fresh.SoldWithin(60) <= stood.SoldWithin(60) {
		t.Errorf("a chance of %.3f of a fresh one, %.3f of one that has stood", fresh.SoldWithin(60), stood.SoldWithin(60))
	}
	total := 0.0
	for i, d := range stood {
		total += d.Weight
		// By the chance that it stood so long: exp(−2 e^(Power·Felt·δ)).
		want := math.Exp(-2*math.Exp(2.5*0.08*points.worth[i]) + 2*math.Exp(2.5*0.08*points.worth[0]))
		near(t, "weight over the first one's", d.Weight/stood[0].Weight, want, 1e-9)
	}
	near(t, "weights of all", total, 1, 1e-9)
	plan.Stood = 1e6 // past what floats tell apart
	for _, d := range law.Draw(plan, points) {
		near(t, "weight", d.Weight, 1.0/400, 1e-12)
	}
	// Days and worth: of the dearer half more go early than of the cheaper.
	early := func(dear bool) (n int) {
		for i, d := range fresh {
			if (points.worth[i] > 0) == dear && d.Days <= 60 {
				n++
			}
		}
		return n
	}
	if early(true) <= early(false) {
		t.Errorf("%d of the dearer half go within 60 days, %d of the cheaper", early(true), early(false))
	}
}

func TestQuantilesOfWhatIsPaid(t *testing.T) {
	law := Law{Paid: []float64{-0.10, -0.04, 0}}
	for p, want := range map[float64]float64{0.01: -0.10, 1.0 / 6: -0.10, 1.0 / 3: -0.07, 0.5: -0.04, 2.0 / 3: -0.02, 5.0 / 6: 0, 0.99: 0} {
		near(t, "quantile", law.paid(p), want, 1e-12)
	}
}

func TestQuantilesOfDraws(t *testing.T) {
	draws := Draws{{0.5, 30, 3}, {0.2, 10, 1}, {0.3, 20, 2}}
	price := func(d Draw) float64 { return d.Price }
	for p, want := range map[float64]float64{0.1: 1, 0.2: 1, 0.21: 2, 0.5: 2, 0.51: 3, 1: 3} {
		near(t, "quantile of the price", draws.Quantile(p, price), want, 0)
	}
	near(t, "mean price", draws.MeanPrice(), 2.3, 1e-12)
	for days, want := range map[int]float64{9: 0, 10: 0.2, 19: 0.2, 20: 0.5, 30: 1} {
		near(t, "sold within", draws.SoldWithin(days), want, 1e-12)
	}
	if got := draws.DaysQuantile(0.5); got != 20 {
		t.Errorf("half go within %d days, want 20", got)
	}
	// Weights that add up to a little less than 1 still have a last one.
	if got := (Draws{{0.4, 1, 5}, {0.4, 2, 6}}).Quantile(0.99, price); got != 6 {
		t.Errorf("the last is %v, want 6", got)
	}
}

// Of buyers a share k gives back (1 + k)/2, the others k/2: so many draws have it so.
func TestSortsOfBuyersComeByTheirWeight(t *testing.T) {
	law := Law{Paid: []float64{0}, GivenBack: 0.3}
	plan := Plan{Asks: []Ask{{0, 10.1}}, Hazard: on(5, 10), Worth: 10, Usual: 5}
	n := map[string]int{}
	for _, log := range prices(law.Draw(plan, NewPoints(400, 2))) {
		switch {
		case math.Abs(log-(10.1-0.15*0.1)) < 1e-9:
			n["little"]++
		case math.Abs(log-(10.1-0.65*0.1)) < 1e-9:
			n["much"]++
		}
	}
	near(t, "of 400 give back much", float64(n["much"]), 120, 3)
	if n["little"]+n["much"] != 400 {
		t.Errorf("%v of 400", n)
	}
}
