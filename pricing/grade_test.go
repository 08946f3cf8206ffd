package pricing

import (
	"math"
	"testing"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/hedonic"
)

// evenGrades are n sales with grades 1 to 5 in turn, six years old.
func evenGrades(n int) []*data.Sale {
	var sales []*data.Sale
	for i, s := range pastSales(n, marketDay) {
		s.Grade = data.Some(1 + i%5)
		sales = append(sales, &s)
	}
	return sales
}

func TestFaultsTellTheGrade(t *testing.T) {
	g := learnGrades(evenGrades(100))
	g.effect = [5]float64{0.07, 0.035, 0, -0.035, -0.07}
	six := func(points int, faults float64) Condition {
		return Condition{AgeYears: 6, Points: points, Faults: faults}
	}
	usual := g.share * six(50, 0).expected()
	open, _ := g.of(Condition{AgeYears: 6})
	if math.Abs(open.variance-0.07*0.07/2) > 1e-6 || math.Abs(open.mean+g.effect[open.likely-1]) > 1e-9 {
		t.Errorf("nothing seen of even grades: variance %.5f, mean %.4f off", open.variance, open.mean)
	}
	tests := []struct {
		name   string
		seen   Condition
		likely [2]int
	}{
		{"no fault at fifty points", six(50, 0), [2]int{1, 1}},
		{"as many as usual", six(50, usual), [2]int{2, 4}},
		{"three times as many", six(50, 3*usual), [2]int{5, 5}},
	}
	last := math.Inf(1)
	for _, tt := range tests {
		d, ok := g.of(tt.seen)
		if !ok || d.likely < tt.likely[0] || d.likely > tt.likely[1] {
			t.Errorf("%s: grade %d, want %v", tt.name, d.likely, tt.likely)
		}
		if d.variance >= open.variance {
			t.Errorf("%s: a look leaves a variance of %.5f, none leaves %.5f", tt.name, d.variance, open.variance)
		}
		if value := d.mean + g.effect[d.likely-1]; value >= last {
			t.Errorf("%s: the value does not fall with faults", tt.name)
		} else {
			last = value
		}
	}
}

func TestWithoutGradesInTheSalesNothingMoves(t *testing.T) {
	g := learnGrades(evenGrades(hedonic.MinRows - 1))
	if _, ok := g.of(Condition{AgeYears: 6, Points: 50, Faults: 20}); ok {
		t.Error("a grade is told by fewer sales than make a price model")
	}
	p := hedonic.Prediction{Value: 30_000, Low: 27_000, High: 33_000, LogSD: 0.06}
	if got := new(graded).move(p); got.Value != p.Value || got.Low != p.Low || got.LogSD != p.LogSD {
		t.Errorf("moved to %+v", got)
	}
}

// The interval of a mixture: its ends leave one in twenty on each side, by summing the
// grades' own normal laws.
func TestIntervalOfTheGradesTogether(t *testing.T) {
	g := graded{likely: 2, chance: [5]float64{0, 0.7, 0.1, 0, 0.2}, off: [5]float64{0.02, 0, -0.03, -0.08, -0.15}}
	for k, p := range g.chance {
		g.mean += p * g.off[k]
	}
	for k, p := range g.chance {
		g.variance += p * math.Pow(g.off[k]-g.mean, 2)
	}
	const sd = 0.05
	p := g.move(hedonic.Prediction{Value: 30_000, Low: 30_000 * math.Exp(-z90*sd), High: 30_000 * math.Exp(z90*sd), LogSD: sd})
	below := func(x float64) float64 {
		sum := 0.0
		for k, share := range g.chance {
			sum += share * 0.5 * math.Erfc((g.off[k]-math.Log(x/30_000))/sd/math.Sqrt2)
		}
		return sum
	}
	if math.Abs(below(p.Low)-0.05) > 1e-4 || math.Abs(below(p.High)-0.95) > 1e-4 {
		t.Errorf("%.4f lie below %.0f, %.4f below %.0f", below(p.Low), p.Low, below(p.High), p.High)
	}
	if want := 30_000 * math.Exp(0.1*-0.03+0.2*-0.15); math.Abs(p.Value-want) > 1e-6 {
		t.Errorf("value %.2f, want %.2f", p.Value, want)
	}
}

func TestConditionCountsFaultsAndHalfOfThoseMended(t *testing.T) {
	f := func(v data.Verdict, mended data.Date) appraise.Finding {
		return appraise.Finding{Verdict: v, MendedOn: mended}
	}
	c := ConditionOf(appraise.Assessment{
		AsOf: marketDay, Van: anyVan(),
		Findings: []appraise.Finding{f(data.Sound, 0), f(data.Worn, 0), f(data.Defect, marketDay), f(data.Unsafe, 0), f(data.Untested, 0)},
	})
	if c.Points != 4 || c.Faults != 2.5 || math.Abs(c.AgeYears-6) > 0.01 {
		t.Errorf("got %+v", c)
	}
}

// A yard whose vans show twice the faults of the book expects twice as many, in the end.
func TestUsualFaultsAreTheYardsOwn(t *testing.T) {
	m := &Market{grades: grades{share: faultShare / 2}}
	var seen []Condition
	for range 200 {
		c := Condition{AgeYears: 5, Points: 50}
		c.Faults = 2 * faultShare * 50
		seen = append(seen, c)
	}
	m.LearnCondition(seen)
	if got := m.grades.share / (faultShare / 2); got < 1.9 || got > 2 {
		t.Errorf("%.2f times the book", got)
	}
	m.LearnCondition(nil)
	if m.grades.share != faultShare/2 {
		t.Errorf("nothing seen: %v", m.grades.share)
	}
}
