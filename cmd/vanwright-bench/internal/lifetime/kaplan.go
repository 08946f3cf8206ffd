package lifetime

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Curve is a Kaplan-Meier estimate of the chance of lasting beyond each time. It
// is a step function: 1 before Times[0], Survival[i] from Times[i] on.
type Curve struct {
	Times    []float64 // distinct times with an event, ascending
	AtRisk   []float64 // rows still going just before
	Events   []float64 // events at that time
	Survival []float64 // from 1 down
	StdErr   []float64 // Greenwood's, of Survival; 0 where Survival is 0
	Last     float64   // the longest time watched, event or not
	Rows     int

	cumulative []float64 // Greenwood's sum Σ d/(n(n−d)), +Inf where Survival is 0
}

// KaplanMeier estimates a survival curve without covariates (Kaplan and Meier
// 1958). A sample without events gives a flat curve at 1. Times are above zero.
func KaplanMeier(times []float64, events []bool) (*Curve, error) {
	if err := checkTimes(times, events); err != nil {
		return nil, fmt.Errorf("kaplan-meier: %w", err)
	}
	c := &Curve{Rows: len(times)}
	survival, greenwood := 1.0, 0.0
	for _, g := range byTime(times, events) {
		c.Last = g.time
		if g.died == 0 {
			continue
		}
		atRisk := g.stay + g.died
		survival *= g.stay / atRisk
		greenwood += g.died / atRisk / g.stay
		c.Times = append(c.Times, g.time)
		c.AtRisk = append(c.AtRisk, atRisk)
		c.Events = append(c.Events, g.died)
		c.Survival = append(c.Survival, survival)
		c.cumulative = append(c.cumulative, greenwood)
		stdErr := 0.0
		if survival > 0 {
			stdErr = survival * math.Sqrt(greenwood)
		}
		c.StdErr = append(c.StdErr, stdErr)
	}
	return c, nil
}

// moment is what happens at one time: how many have the event and how many
// outlive it, those censored at that time included.
type moment struct{ time, died, stay float64 }

// byTime gathers a sample by ascending time.
func byTime(times []float64, events []bool) []moment {
	order := make([]int, len(times))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(times[b], times[a]), cmp.Compare(a, b))
	})
	var moments []moment
	later := 0.0
	for from := 0; from < len(order); {
		m := moment{time: times[order[from]], stay: later}
		for ; from < len(order) && times[order[from]] == m.time; from++ {
			if events[order[from]] {
				m.died++
			} else {
				m.stay++
			}
		}
		later = m.stay + m.died
		moments = append(moments, m)
	}
	slices.Reverse(moments)
	return moments
}

// At is the chance of lasting beyond t.
func (c *Curve) At(t float64) float64 {
	i, found := slices.BinarySearch(c.Times, t)
	if found {
		i++
	}
	if i == 0 {
		return 1
	}
	return c.Survival[i-1]
}

// Median is the time by which half have ended; ok is false when it is never
// reached.
func (c *Curve) Median() (t float64, ok bool) { return c.Quantile(0.5) }

// Quantile is the first time by which a share p in (0, 1) has ended; ok is false
// when the curve never falls so far. Where the curve runs level at exactly 1 − p
// it is the middle of the level stretch, as the median of an even number of
// values is.
func (c *Curve) Quantile(p float64) (t float64, ok bool) {
	return c.crossing(c.Survival, p)
}

// QuantileLimits are the confidence limits of a quantile, at a level such as
// 0.95: where the limits of the curve, taken on the log scale and kept at or
// below 1, cross 1 − p. A limit that is never reached is +Inf.
func (c *Curve) QuantileLimits(p, level float64) (low, high float64) {
	z := math.Sqrt2 * math.Erfinv(level)
	under, over := make([]float64, len(c.Survival)), make([]float64, len(c.Survival))
	for i, s := range c.Survival {
		if s == 0 {
			// Greenwood has nothing to say here: the lower limit is 0 with the
			// curve, the upper stays where it was.
			over[i] = 1
			if i > 0 {
				over[i] = over[i-1]
			}
			continue
		}
		spread := z * math.Sqrt(c.cumulative[i])
		under[i] = s * math.Exp(-spread)
		over[i] = min(1, s*math.Exp(spread))
	}
	low, high = math.Inf(1), math.Inf(1)
	if t, ok := c.crossing(under, p); ok {
		low = t
	}
	if t, ok := c.crossing(over, p); ok {
		high = t
	}
	return low, high
}

func (c *Curve) crossing(heights []float64, p float64) (float64, bool) {
	const near = 1.5e-8 // the square root of the precision of a double
	for i, h := range heights {
		if h > 1-p+near {
			continue
		}
		if h < 1-p-near {
			return c.Times[i], true
		}
		end := c.Last
		for k := i + 1; k < len(heights); k++ {
			if heights[k] < 1-p-near {
				end = c.Times[k]
				break
			}
		}
		return (c.Times[i] + end) / 2, true
	}
	return 0, false
}
