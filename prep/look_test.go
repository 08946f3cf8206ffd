package prep

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// fewPoints is a van of few untested points, each in a system of its own, and one named
// job of known hours.
type fewPoints struct {
	named  Job
	points []appraise.Untested
	costs  map[string]float64 // of the jobs
	rate   float64
}

// percentile is the 80th percentile of preparation by brute force: every
// combination of defects, each with the gamma law of the named job's hours on top,
// searched by halving. known is what a look found, 1 or 0 by point.
func (s fewPoints) percentile(known map[int]int) float64 {
	mean, variance, _ := s.named.left().Moments()
	lowest := s.named.left().Low
	m, sd := (mean-lowest)*s.rate, math.Sqrt(variance)*s.rate
	hours := distuv.Gamma{Alpha: m * m / sd / sd, Beta: m / sd / sd}
	within := func(pounds float64) (p float64) {
		for found := range 1 << len(s.points) {
			chance, cost, done := 1.0, lowest*s.rate, map[string]bool{}
			for i, u := range s.points {
				has := found >> i & 1
				if state, looked := known[i]; looked && state != has {
					chance = 0
				} else if !looked {
					chance *= float64(has)*u.Chance + float64(1-has)*(1-u.Chance)
				}
				if has == 1 && !done[u.Job] {
					done[u.Job] = true
					cost += s.costs[u.Job]
				}
			}
			if chance > 0 && pounds > cost {
				p += chance * hours.CDF(pounds-cost)
			}
		}
		return p
	}
	low, high := 0.0, 20_000.0
	for high-low > 0.01 {
		if middle := (low + high) / 2; within(middle) < 0.8 {
			low = middle
		} else {
			high = middle
		}
	}
	return high
}

// Small vans, with every combination of defects worked out: what a look moves the
// bid by is that of the ranking to within what the cost's cells of £20 can tell, and
// so is the order for each minute.
func TestLooksAreRankedAsBruteForceDoes(t *testing.T) {
	book := builtIn(t)
	policy := data.DefaultPolicy()
	const perPound = 1.2
	codes := []string{"pump-relay", "taps", "tyre-tread", "mirrors", "hob-lid", "damp"}
	rapid.Check(t, func(t *rapid.T) {
		s := fewPoints{rate: policy.LabourCostPerHour.InexactFloat64(), costs: map[string]float64{}}
		s.named = Job{Code: "damp-strip", Skill: "damp", State: data.JobOpen, Book: Estimate{4, 10, 22}}
		for i, code := range codes[:rapid.IntRange(1, len(codes)).Draw(t, "points")] {
			job := rapid.SampledFrom([]string{"water-pump", "tyre-replace", "window-reseal", "horn", "fridge-replace"}).Draw(t, fmt.Sprint("job ", i))
			s.costs[job] = hiddenCost(job, data.PanelVan, book, s.rate)
			s.points = append(s.points, appraise.Untested{Checkpoint: code, System: job, Job: job, Chance: rapid.Float64Range(0.01, 0.9).Draw(t, fmt.Sprint("chance ", i))})
		}
		jobs := []Job{s.named}
		got := LookNext(CostOf(jobs, s.points, data.PanelVan, book, policy), jobs, s.points, data.PanelVan, book, policy, perPound)
		now, worth := s.percentile(nil), map[string]float64{}
		for i, u := range s.points {
			worth[u.Checkpoint] = perPound * (u.Chance*math.Abs(s.percentile(map[int]int{i: 1})-now) + (1-u.Chance)*math.Abs(s.percentile(map[int]int{i: 0})-now))
		}
		if len(got) < len(s.points) {
			t.Fatalf("%d of %d points ranked", len(got), len(s.points))
		}
		perMinute := func(code string) float64 {
			c, _ := book.Checkpoint(code)
			return worth[code] / c.Minutes.Value
		}
		for i, l := range got {
			if off := math.Abs(l.Worth.InexactFloat64() - worth[l.Checkpoint]); off > 8+0.03*worth[l.Checkpoint] {
				t.Fatalf("%s is worth %s, by brute force %.2f", l.Checkpoint, l.Worth, worth[l.Checkpoint])
			}
			if i > 0 && perMinute(got[i-1].Checkpoint) < 0.94*perMinute(l.Checkpoint)-16 {
				t.Fatalf("%s stands before %s", got[i-1].Checkpoint, l.Checkpoint)
			}
		}
	})
}

// A job that the van needs anyway, one that the book does not know and a chance of
// nothing move no bid; of points alike the one that is quicker to look at comes
// first, and twice what a pound of preparation moves is twice the worth.
func TestWhatALookIsWorth(t *testing.T) {
	book, policy := builtIn(t), data.DefaultPolicy()
	points := []appraise.Untested{
		{Checkpoint: "fridge-gas", System: "appliances", Job: "fridge-replace", Chance: 0.3},
		{Checkpoint: "horn", System: "running-gear", Job: "horn", Chance: 0.3},
		{Checkpoint: "mirrors", System: "body", Job: "no-such-job", Chance: 0.3},
		{Checkpoint: "taps", System: "water", Job: "tap-replace", Chance: 0},
		{Checkpoint: "tyre-tread", System: "running-gear", Job: "tyre-replace", Chance: 0.3},
		{Checkpoint: "tyre-code", System: "running-gear", Job: "tyre-replace", Chance: 0.3},
	}
	jobs := []Job{{Code: "horn", State: data.JobOpen, Book: Estimate{1, 2, 4}}}
	look := func(perPound float64) []Look {
		return LookNext(CostOf(jobs, points, data.PanelVan, book, policy), jobs, points, data.PanelVan, book, policy, perPound)
	}
	var order []string
	once, twice := look(1), look(2)
	for i, l := range once {
		order = append(order, l.Checkpoint)
		if diff := twice[i].Worth.InexactFloat64() - 2*l.Worth.InexactFloat64(); math.Abs(diff) > 0.011 {
			t.Errorf("%s: %s at £1 a pound, %s at £2", l.Checkpoint, l.Worth, twice[i].Worth)
		}
	}
	if at := slices.Index(order, "tyre-code"); at < 0 || order[at+1] != "tyre-tread" {
		t.Errorf("of two points alike the first by code does not come first: %v", order)
	}
	slices.Sort(order)
	if want := []string{"fridge-gas", "tyre-code", "tyre-tread"}; !slices.Equal(order, want) {
		t.Fatalf("ranked %v, want %v", order, want)
	}
	for i, l := range once {
		if i > 0 && l.Worth.InexactFloat64()/l.Minutes > once[i-1].Worth.InexactFloat64()/once[i-1].Minutes {
			t.Errorf("%s stands after %s", l.Checkpoint, once[i-1].Checkpoint)
		}
	}
}
