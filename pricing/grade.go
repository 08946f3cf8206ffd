package pricing

import (
	"math"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/pricing/hedonic"
)

// What findings say of a grade. Common practice, no source: a van of the worst grade
// shows about four times the faults of one of the best, and older ones more; a point
// in fifteen of a van of five years is at fault; a fault that was mended says half;
// and inspectors differ, as if the true number lay a third off.
const (
	faultsPerGrade = 1.45 // a grade worse, so many times the faults
	faultShare     = 1.0 / 15
	faultAgeYears  = 5.0 // a van of this age shows twice the faults of a new one
	bookPoints     = 500 // read points that faultShare counts as
	mendedFault    = 0.5
	faultSpread    = 0.1 // variance of the faults over their expected number squared
	bookGrades     = 10  // sales of all ages that count in each span of ages
	ageSpanYears   = 4
	worstGrade     = 5
)

// Condition is what an appraisal saw of a van.
type Condition struct {
	AgeYears float64
	Points   int     // read
	Faults   float64 // worn or worse; one that was mended counts less
}

// ConditionOf counts what an appraisal saw.
func ConditionOf(a appraise.Assessment) Condition {
	c := Condition{AgeYears: max(0, a.AsOf.YearsSince(a.Van.FirstRegistered))}
	for i := range a.Findings {
		f := &a.Findings[i]
		if f.Verdict < data.Sound {
			continue
		}
		c.Points++
		switch {
		case f.Verdict == data.Sound:
		case f.MendedOn.IsZero():
			c.Faults++
		default:
			c.Faults += mendedFault
		}
	}
	return c
}

// expected is how many faults a van of the usual grade would show, were one point in
// one at fault on a new one.
func (c Condition) expected() float64 { return float64(c.Points) * (1 + c.AgeYears/faultAgeYears) }

// grades is what past sales and the yard's own vans teach of grades.
type grades struct {
	spans  [][worstGrade]float64 // by span of ages: the chance of each grade; none where sales have no grades
	effect [worstGrade]float64   // of each grade on the log of the value
	share  float64               // of the expected faults that the yard's vans show
}

// learnGrades counts the grades of past sales by the age at sale.
func learnGrades(sales []*data.Sale) grades {
	g := grades{share: faultShare / 2}
	var all [worstGrade]float64
	var spans [][worstGrade]float64
	known := 0.0
	for _, s := range sales {
		if !s.Grade.Known || s.Grade.Value < 1 || s.Grade.Value > worstGrade || s.SoldOn.IsZero() {
			continue
		}
		for len(spans) <= spanOf(s.SoldOn.YearsSince(s.FirstRegistered)) {
			spans = append(spans, [worstGrade]float64{})
		}
		spans[spanOf(s.SoldOn.YearsSince(s.FirstRegistered))][s.Grade.Value-1]++
		all[s.Grade.Value-1]++
		known++
	}
	if known < hedonic.MinRows {
		return g
	}
	for _, span := range spans {
		n := 0.0
		for k := range span {
			span[k] += bookGrades * all[k] / known
			n += span[k]
		}
		for k := range span {
			span[k] /= n
		}
		g.spans = append(g.spans, span)
	}
	return g
}

func spanOf(ageYears float64) int { return int(min(max(ageYears, 0), 60) / ageSpanYears) }

// learnEffect finds what each grade is worth by the price model, on a few of its sales.
func (m *Market) learnEffect() {
	if m.model == nil || len(m.grades.spans) == 0 {
		return
	}
	n := 0.0
	for _, s := range thin(m.sales, 20) {
		row := thingOfSale(s, m.asOf).row(m.milesPerYear, m.asOf)
		n++
		for k := range m.grades.effect {
			row.Numerics[gradeColumn] = float64(k + 1)
			if p, err := m.model.Predict(row); err == nil {
				m.grades.effect[k] += (math.Log(p.Value) - m.grades.effect[k]) / n
			}
		}
	}
}

// LearnCondition finds how many faults the vans of the yard usually show.
func (m *Market) LearnCondition(seen []Condition) {
	expected, faults := 2.0*bookPoints, faultShare*bookPoints
	for _, c := range seen {
		expected += c.expected()
		faults += c.Faults
	}
	m.grades.share = faults / expected
}

// graded is what is known of a van's grade, and what that does to its value.
type graded struct {
	likely   int                 // grade
	chance   [worstGrade]float64 // of each
	off      [worstGrade]float64 // log of its value over that of the likely grade
	mean     float64             // of off
	variance float64             // of off
}

// of says what is known of the grade of a van, given what was seen of it: Bayes' rule
// over the five grades, where faults come by a negative binomial law. It is false where
// past sales have no grades.
func (g *grades) of(c Condition) (graded, bool) {
	if len(g.spans) == 0 {
		return graded{}, false
	}
	chance := g.spans[min(spanOf(c.AgeYears), len(g.spans)-1)]
	usual := 0.0 // faults of the mean over the grades, in those of grade 3
	for k, p := range chance {
		usual += p * math.Pow(faultsPerGrade, float64(k-2))
	}
	var logs [worstGrade]float64
	for k := range chance {
		logs[k] = logFaults(c.Faults, g.share*c.expected()*math.Pow(faultsPerGrade, float64(k-2))/usual)
	}
	largest, total := slices.Max(logs[:]), 0.0
	for k := range chance {
		chance[k] *= math.Exp(logs[k] - largest)
		total += chance[k]
	}
	d := graded{chance: chance}
	likely := 0
	for k, p := range chance {
		d.chance[k] = p / total
		if p > chance[likely] {
			likely = k
		}
	}
	d.likely = likely + 1
	squares := 0.0
	for k, p := range d.chance {
		d.off[k] = g.effect[k] - g.effect[likely]
		d.mean += p * d.off[k]
		squares += p * d.off[k] * d.off[k]
	}
	d.variance = max(0, squares-d.mean*d.mean)
	return d, true
}

// move brings a prediction for the likely grade to what is known of it: the ends of the
// interval are those of the mixture over the grades.
func (g *graded) move(p hedonic.Prediction) hedonic.Prediction {
	if g.variance == 0 {
		return p
	}
	low, high := g.end(math.Log(p.Value/p.Low), -1), g.end(math.Log(p.High/p.Value), 1)
	p.Low, p.High = p.Value*math.Exp(low), p.Value*math.Exp(high)
	p.Value *= math.Exp(g.mean)
	p.LogSD = math.Sqrt(p.LogSD*p.LogSD + g.variance)
	return p
}

// end is the log, over the value of the likely grade, that one van in twenty lies beyond on
// a side, where the interval of a known grade reaches half that way.
func (g *graded) end(half, side float64) float64 {
	sd := half / z90
	from, to := slices.Min(g.off[:])-half, slices.Max(g.off[:])+half
	for range 40 {
		at, beyond := (from+to)/2, 0.0
		for k, p := range g.chance {
			beyond += p * math.Erfc(side*(at-g.off[k])/sd/math.Sqrt2) / 2
		}
		if (beyond > 0.05) == (side > 0) {
			from = at
		} else {
			to = at
		}
	}
	return (from + to) / 2
}

// logFaults is the log of the chance of so many faults where a number is expected, but
// for what does not hang on that: a negative binomial of size 1 / faultSpread.
func logFaults(faults, expected float64) float64 {
	if expected <= 0 {
		return 0
	}
	const size = 1 / faultSpread
	return faults*math.Log(expected/(size+expected)) - size*math.Log1p(expected/size)
}
