package hedonic

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func nearly(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// Of scores with weights, the one below which they sum to so much, in a straight line
// between two; one of no weight is passed over.
func TestWeightedQuantiles(t *testing.T) {
	scores := []scored{{score: 1, say: 1}, {score: 1.5, say: 0}, {score: 2, say: 1}, {score: 4, say: 2}}
	for want, score := range map[float64]float64{0.5: 0.5, 1: 1, 1.5: 1.5, 2: 2, 3: 3, 4: 4, 9: 4} {
		nearly(t, "score", weightedQuantile(scores, want), score, 1e-12)
	}
}

func TestFoldsOfATable(t *testing.T) {
	for rows, want := range map[int]int{15: 15, 20: 20, 100: 20, 101: 10, 400: 10, 401: 5, 5000: 5} {
		if got := foldsFor(rows); got != want {
			t.Errorf("%d rows: %d folds, want %d", rows, got, want)
		}
	}
}

// The multiple stands on a line between those of neighbouring prices, and beyond the last as
// there.
func TestTheMultipleBetweenGroups(t *testing.T) {
	v := intervals{middles: []float64{1, 2, 4}, factors: []float64{2, 3, 1}}
	for middle, want := range map[float64]float64{0: 2, 1: 2, 1.25: 2.25, 2: 3, 3: 2, 3.5: 1.5, 4: 1, 9: 1} {
		nearly(t, "multiple", v.factor(middle), want, 1e-12)
	}
}

// alike are scores that are all the same.
func alike(n int, score float64) []scored {
	out := make([]scored, n)
	for i := range out {
		out[i] = scored{score: score, say: 1, middle: float64(i)}
	}
	return out
}

// The score that nine in ten stay within, with one more to come, and a Student law of the
// same spread that counts as forty rows.
func TestTheMultipleThatHoldsNineInTen(t *testing.T) {
	// A Student law of 997 degrees of freedom holds nine in ten within 1.6464.
	nearly(t, "a thousand scores of 1", factorOf(alike(1000, 1), 0.9), (1000*1+40*1.6464)/1040, 1e-4)
	nearly(t, "a thousand scores of 2", factorOf(alike(1000, 2), 0.9), (1000*2+40*2*1.6464)/1040, 1e-4)
	// Beyond 4 a score widens no more by its square; the quantile has it whole.
	wild := append(alike(999, 1), scored{score: 1000, say: 1})
	nearly(t, "one wild score", factorOf(wild, 0.9), (1000*1+40*1.6464*math.Sqrt((999+16)/1000.0))/1040, 1e-4)
	// Of three degrees of freedom, the fewest: 2.3534.
	nearly(t, "hardly a row", factorOf([]scored{{score: 1, say: 0.5}}, 0.9), 2.3534, 1e-4)
	nearly(t, "one row", factorOf([]scored{{score: 1, say: 1}}, 0.9), (1+40*2.3534)/41, 1e-4)
	nearly(t, "prices that are met", factorOf(alike(50, 0), 0.9), 1e-3, 1e-12)
	rng := rand.New(rand.NewPCG(1, 6))
	var normal []scored
	for range 20_000 {
		normal = append(normal, scored{score: math.Abs(rng.NormFloat64()), say: 1})
	}
	nearly(t, "a normal law", factorOf(normal, 0.9), 1.645, 0.03)
	// With nineteen rows the one to come makes it the eighteenth of them, of a level of 0.9.
	var up []scored
	for i := range 19 {
		up = append(up, scored{score: float64(i+1) / 10, say: 1})
	}
	squares := 0.0
	for _, s := range up {
		squares += s.score * s.score
	}
	nearly(t, "nineteen rows", factorOf(up, 0.9), (19*1.8+40*1.7459*math.Sqrt(squares/19))/59, 1e-3) // 16 degrees of freedom: 1.7459
}

// Cheap things that scatter more have a wider interval: groups of neighbouring prices, fifteen
// rows in each and eight at most, each leaning on all as ten rows.
func TestGroupsOfNeighbouringPrices(t *testing.T) {
	for rows, want := range map[int]int{5: 1, 29: 1, 30: 2, 44: 2, 45: 3, 119: 7, 120: 8, 900: 8} {
		if got := len(intervalsOf(alike(rows, 1), 0.9).factors); got != want {
			t.Errorf("%d rows in %d groups, want %d", rows, got, want)
		}
	}
	var scores []scored
	for i := range 60 { // the first half of the prices scatters three times as widely
		score := 1 + float64(i%10)/10
		if i < 30 {
			score *= 3
		}
		scores = append(scores, scored{score: score, say: 1, middle: 2 * float64(i)})
	}
	shuffled := slices.Clone(scores)
	slices.Reverse(shuffled)
	v := intervalsOf(shuffled, 0.9)
	whole := factorOf(slices.Clone(scores), 0.9)
	for g := range 4 {
		own := factorOf(slices.Clone(scores[15*g:15*(g+1)]), 0.9)
		nearly(t, "multiple of a group", v.factors[g], (15*own+10*whole)/25, 1e-9)
		nearly(t, "its middle", v.middles[g], 2*(15*float64(g)+7), 1e-9)
	}
	if v.factors[0] < 1.5*v.factors[3] {
		t.Errorf("multiples %v", v.factors)
	}
	// Rows of which a group has few by their weight lean on all the more.
	for i := range scores[:15] {
		scores[i].say = 0.2
	}
	v = intervalsOf(slices.Clone(scores), 0.9)
	whole = factorOf(slices.Clone(scores), 0.9)
	nearly(t, "a group of little weight", v.factors[0], (3*factorOf(slices.Clone(scores[:15]), 0.9)+10*whole)/13, 1e-9)
}
