package pricing

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"github.com/vanwright/vanwright/pricing/forecast"
)

// asPaid makes up what was paid of asking prices by buyers of whom a share pays what the van
// is worth to them and the others haggle 1 to 6 % off; a dealer's error moves the days, and
// what he saw in the van does not.
func asPaid(n int, share, askError float64) (asked, paid, days []float64) {
	rng := rand.New(rand.NewPCG(5, 8))
	for range n {
		err := askError * rng.NormFloat64()
		p := -0.01 - 0.05*rng.Float64()
		if rng.Float64() < share {
			p = min(0, -0.04-err+0.03*rng.NormFloat64())
		}
		asked = append(asked, 0.04+err+0.045*rng.NormFloat64())
		paid = append(paid, p)
		days = append(days, 4*err+rng.NormFloat64())
	}
	return asked, paid, days
}

// taught is what such sales teach.
func taught(asked, paid, days []float64) buyers {
	b := buyers{paid: append([]float64(nil), paid...), spread: stat.StdDev(paid, nil)}
	b.typical = math.Exp(-0.035)
	b.learnGivenBack(asked, paid, days)
	return b
}

// The share that buyers give back is found again, and how far asking prices err, whatever
// the share; neither is told apart by the scatter of what is paid alone.
func TestTheShareGivenBackIsFoundAgain(t *testing.T) {
	for _, tt := range []struct{ share, askError float64 }{{0, 0.04}, {0.25, 0.035}, {0.5, 0.045}, {1, 0.035}} {
		b := taught(asPaid(4000, tt.share, tt.askError))
		if math.Abs(b.givenBack-tt.share) > 0.12 {
			t.Errorf("of buyers of whom %v give back all, %.3f are found", tt.share, b.givenBack)
		}
		if tt.share > 0 && math.Abs(b.askError/tt.askError-1) > 0.25 {
			t.Errorf("share %v: asking prices err by %.4f, want about %v", tt.share, b.askError, tt.askError)
		}
	}
}

// Days on sale that say nothing of what is paid tell against giving back.
func TestDaysTellHabitFromGivingBack(t *testing.T) {
	asked, paid, days := asPaid(2000, 0.5, 0.045)
	told := taught(asked, paid, days)
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range days {
		days[i] = 4*(asked[i]-0.04) + rng.NormFloat64() // all that was asked moves them, as what is paid does not
	}
	if untold := taught(asked, paid, days); untold.givenBack >= told.givenBack {
		t.Errorf("%.3f are given back where all of the asking price moves the days, %.3f where the error does", untold.givenBack, told.givenBack)
	}
}

// What buyers haggle by habit and what they give back of errors come together to the mean
// and, where the asking price does not cap it, the scatter that was paid.
func TestHabitAndErrorsAddUpToWhatWasPaid(t *testing.T) {
	for _, share := range []float64{0, 0.5, 1} {
		asked, paid, days := asPaid(3000, share, 0.04)
		b := taught(asked, paid, days)
		rng := rand.New(rand.NewPCG(3, 3))
		var again []float64
		sorts := forecast.Buyers(b.givenBack)
		for range 40_000 {
			s := sorts[0]
			if rng.Float64() < b.givenBack {
				s = sorts[1]
			}
			h := b.habit[rng.IntN(len(b.habit))]
			again = append(again, min(h-s.Share*b.askError*rng.NormFloat64(), max(h, 0)))
		}
		closeToMean, sd := math.Abs(stat.Mean(again, nil)-stat.Mean(paid, nil)), stat.StdDev(again, nil)/stat.StdDev(paid, nil)
		if closeToMean > 0.001 {
			t.Errorf("share %v: %.4f is paid on average, %.4f was", share, stat.Mean(again, nil), stat.Mean(paid, nil))
		}
		if sd < 0.75 || sd > 1.1 { // the cap takes some off, once more
			t.Errorf("share %v: what is paid scatters %.2f times as widely as it did", share, sd)
		}
		if share == 0 && b.habitSD < 0.94*b.spread {
			t.Errorf("of a habit alone %.3f of the scatter is left", b.habitSD/b.spread)
		}
	}
}

// Of fewer sales than are asked by themselves the scatter of what was paid alone tells.
func TestFewSalesLeaveTheirMomentsOut(t *testing.T) {
	for n, differs := range map[int]bool{fewSales - 1: false, fewSales: true} {
		asked, paid, days := asPaid(n, 1, 0.04)
		b := taught(asked, paid, days)
		scatter := b
		scatter.learnGivenBack(nil, nil, nil)
		if (b.givenBack != scatter.givenBack) != differs {
			t.Errorf("%d sales: %.4f is given back, %.4f by the scatter", n, b.givenBack, scatter.givenBack)
		}
	}
}

// Two sorts of buyers, half way between all alike and some who give back all.
func TestSortsOfBuyers(t *testing.T) {
	for _, back := range []float64{0, 0.3, 0.5, 1} {
		weight, mean := 0.0, 0.0
		for _, s := range forecast.Buyers(back) {
			if s.Share < 0 || s.Share > 1 {
				t.Errorf("a sort of %v gives back %v", back, s.Share)
			}
			weight += s.Weight
			mean += s.Weight * s.Share
		}
		closeTo(t, "weight of the sorts", weight, 1)
		closeTo(t, "share of all", mean, back)
		closeTo(t, "mean square", squareGiven(back), back*back+back*(1-back)/4)
	}
}
