package prep

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// Small vans, with every combination of defects worked out: what a look moves
// the expected cost by, and the order for each minute.
func TestLooksAreRankedAsBruteForceDoes(t *testing.T) {
	book := builtIn(t)
	policy := data.DefaultPolicy()
	rate := policy.LabourCostPerHour.InexactFloat64()
	codes := []string{"pump-relay", "taps", "tyre-tread", "mirrors", "hob-lid", "damp", "oven", "horn"}
	rapid.Check(t, func(t *rapid.T) {
		var points []appraise.Untested
		for i, code := range codes[:rapid.IntRange(1, len(codes)).Draw(t, "points")] {
			job := rapid.SampledFrom([]string{"water-pump", "tyre-replace", "damp-reseal", "horn", ""}).Draw(t, fmt.Sprint("job ", i))
			points = append(points, appraise.Untested{Checkpoint: code, Job: job, Chance: rapid.Float64Range(0.01, 0.9).Draw(t, fmt.Sprint("chance ", i))})
		}
		var jobs []Job
		if rapid.Bool().Draw(t, "a pump is needed anyway") {
			jobs = []Job{{Code: "water-pump", State: data.JobOpen}}
		}
		cost := func(found int) (pounds float64) {
			done := map[string]bool{}
			for _, j := range jobs {
				done[j.Code] = true // its cost is in every case
			}
			for i, u := range points {
				if found&(1<<i) != 0 && !done[u.Job] {
					done[u.Job] = true
					pounds += hiddenCost(u.Job, data.PanelVan, book, rate)
				}
			}
			return pounds
		}
		// expected returns the mean cost given what is known of one point.
		expected := func(of int, state int) float64 {
			sum, weight := 0.0, 0.0
			for found := range 1 << len(points) {
				if of >= 0 && found>>of&1 != state {
					continue
				}
				p := 1.0
				for i, u := range points {
					if found>>i&1 == 1 {
						p *= u.Chance
					} else {
						p *= 1 - u.Chance
					}
				}
				sum, weight = sum+p*cost(found), weight+p
			}
			return sum / weight
		}
		worth := map[string]float64{}
		var order []string
		for i, u := range points {
			now := expected(-1, 0)
			moves := u.Chance*math.Abs(expected(i, 1)-now) + (1-u.Chance)*math.Abs(expected(i, 0)-now)
			if moves > 1e-9 {
				worth[u.Checkpoint] = moves
				order = append(order, u.Checkpoint)
			}
		}
		perMinute := func(code string) float64 {
			c, _ := book.Checkpoint(code)
			return worth[code] / c.Minutes.Value
		}
		got := LookNext(jobs, points, data.PanelVan, book, policy)
		if len(got) != len(order) {
			t.Fatalf("%d points ranked, want %d", len(got), len(order))
		}
		for i, l := range got {
			if math.Abs(l.Worth.InexactFloat64()-worth[l.Checkpoint]) > 0.01 {
				t.Fatalf("%s is worth %s, by brute force %.2f", l.Checkpoint, l.Worth, worth[l.Checkpoint])
			}
			if i > 0 && perMinute(got[i-1].Checkpoint) < perMinute(l.Checkpoint)-1e-9 {
				t.Fatalf("%s stands before %s", got[i-1].Checkpoint, l.Checkpoint)
			}
		}
	})
}
