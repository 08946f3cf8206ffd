package pricing

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What the Weibull has wrong of the days is found stretch by stretch: of vans that go at an
// even rate for 100 days and at a third of it from then on, a sale on a later day is a third
// as likely, and all stretches together expect what came.
func TestTheShapeOfTheDaysIsFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 9))
	learnt := stated("")
	learnt.model.Scale = 1
	learnt.model.Coef[0] = math.Log(120) // a rate of 1 / 120
	var times []float64
	var events []bool
	var x [][]float64
	for range 4000 {
		days := 100 * rng.ExpFloat64()
		if days > 100 {
			days = 100 + 3*(days-100)
		}
		times, events = append(times, min(days, 400)), append(events, days < 400)
		x = append(x, covariates(0, marketDay, "low-profile"))
	}
	learnt.learnShape(times, events, x, 0)
	learnt.tabulate(1000, marketDay)
	rate := func(from, to int) float64 {
		season := math.Exp(learnt.model.Linear(x[0]) - learnt.model.Coef[0])
		return (learnt.cumulative(to) - learnt.cumulative(from)) / float64(to-from) * season
	}
	if got := rate(5, 90); math.Abs(got*100-1) > 0.06 {
		t.Errorf("a rate of 1 / %.0f in the first 90 days, want 1 / 100", 1/got)
	}
	if got := rate(120, 380); math.Abs(got*300-1) > 0.12 {
		t.Errorf("a rate of 1 / %.0f from day 120 on, want 1 / 300", 1/got)
	}
	if got, last := rate(2000, 2010), rate(998, 999); math.Abs(got/last-1) > 1e-9 {
		t.Errorf("beyond the table a rate of %g, want the last one's %g", got, last)
	}
	few := stated("")
	few.learnShape(times[:fewSales-1], events[:fewSales-1], x[:fewSales-1], 0)
	if few.shape != nil {
		t.Error("too few sales have a shape")
	}
}

// A few sales in a stretch leave it near the Weibull: with ten that were expected and twenty
// that came it is at half as much again.
func TestAStretchLeansOnTheWeibull(t *testing.T) {
	learnt := stated("")
	learnt.model.Scale, learnt.model.Coef[0] = 1, math.Log(200)
	var times []float64
	var events []bool
	var x [][]float64
	for i := range 200 { // all sold by day 20, where the Weibull expects a tenth of that
		times, events, x = append(times, 1+float64(i%20)), append(events, true), append(x, make([]float64, len(timingNames)))
	}
	learnt.learnShape(times, events, x, 0)
	first := learnt.shape[0] // days 1 to 3: 30 sales
	expected := 0.0
	for _, day := range times {
		expected += min(day, first.until) / 200
	}
	came := 0.0
	for _, day := range times {
		if day <= first.until {
			came++
		}
	}
	closeTo(t, "times of the first stretch", first.times, (came+10)/(expected+10))
	if got := len(learnt.shape); got != 10 || !math.IsInf(learnt.shape[got-1].until, 1) {
		t.Errorf("%d stretches, the last until %v", got, learnt.shape[got-1].until)
	}
}

// Asking prices on record that were cut are found by those that stood long being asked less.
func TestCutsOfAskingPricesAreFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	made := func(cut, effect float64) (ratios, days []float64) {
		for range 600 {
			first := 0.05 * rng.NormFloat64()
			d := 80 * math.Exp(effect*first) * rng.ExpFloat64()
			ratios, days = append(ratios, first-cut*d), append(days, d)
		}
		return ratios, days
	}
	if got := cutPerDay(made(0.001, 0)); got < 0.0008 || got > 0.001 {
		t.Errorf("%.5f a day, want a little less than 0.001", got)
	}
	for _, effect := range []float64{0, 4} {
		if got := cutPerDay(made(0, effect)); got > 0.00005 {
			t.Errorf("prices that stood: %.5f a day was cut", got)
		}
	}
	ratios, days := made(0.001, 0)
	if got := cutPerDay(ratios[:fewSales-1], days[:fewSales-1]); got != 0 {
		t.Errorf("few sales tell a cut of %v", got)
	}
	if got := cutPerDay(ratios[:fewSales], make([]float64, fewSales)); got != 0 {
		t.Errorf("sales of one day tell a cut of %v", got)
	}
}

// An effect of price that errors of values thinned is raised to what the trade takes it to be,
// no further than the error of asking prices bears; one that is larger stays. A van asked as
// the others were stands as long as before.
func TestAThinnedEffectOfPrice(t *testing.T) {
	for _, tt := range []struct{ found, erring, want float64 }{{2, 0.3, 4}, {2, 0.8, 2.5}, {5, 0.3, 5}, {4, 0.5, 4}} {
		learnt := stated("")
		learnt.model.Coef[1] = tt.found
		x := [][]float64{covariates(0.02, marketDay, "low-profile"), covariates(0.06, marketDay, "low-profile")}
		before := learnt.model.Linear(covariates(0.04, marketDay, "low-profile"))
		learnt.calibrate(x, tt.erring)
		closeTo(t, "effect", learnt.model.Coef[1], tt.want)
		closeTo(t, "log days at the mean", learnt.model.Linear(covariates(0.04, marketDay, "low-profile")), before)
	}
}
