package project

import (
	"context"
	"testing"
)

// The job shops FT06 and FT10 of H. Fisher and G. L. Thompson, in J. F. Muth
// and G. L. Thompson (eds), Industrial Scheduling, Prentice-Hall, 1963: a row
// for each job, its operations in order as pairs of machine and time. The
// optima 55 and 930 are those given in instances.json of the JSPLIB collection
// (github.com/tamy0612/JSPLIB).
var (
	ft06 = [][]int{
		{2, 1, 0, 3, 1, 6, 3, 7, 5, 3, 4, 6},
		{1, 8, 2, 5, 4, 10, 5, 10, 0, 10, 3, 4},
		{2, 5, 3, 4, 5, 8, 0, 9, 1, 1, 4, 7},
		{1, 5, 0, 5, 2, 5, 3, 3, 4, 8, 5, 9},
		{2, 9, 1, 3, 4, 5, 5, 4, 0, 3, 3, 1},
		{1, 3, 3, 3, 5, 9, 0, 10, 4, 4, 2, 1},
	}
	ft10 = [][]int{
		{0, 29, 1, 78, 2, 9, 3, 36, 4, 49, 5, 11, 6, 62, 7, 56, 8, 44, 9, 21},
		{0, 43, 2, 90, 4, 75, 9, 11, 3, 69, 1, 28, 6, 46, 5, 46, 7, 72, 8, 30},
		{1, 91, 0, 85, 3, 39, 2, 74, 8, 90, 5, 10, 7, 12, 6, 89, 9, 45, 4, 33},
		{1, 81, 2, 95, 0, 71, 4, 99, 6, 9, 8, 52, 7, 85, 3, 98, 9, 22, 5, 43},
		{2, 14, 0, 6, 1, 22, 5, 61, 3, 26, 4, 69, 8, 21, 7, 49, 9, 72, 6, 53},
		{2, 84, 1, 2, 5, 52, 3, 95, 8, 48, 9, 72, 0, 47, 6, 65, 4, 6, 7, 25},
		{1, 46, 0, 37, 3, 61, 2, 13, 6, 32, 5, 21, 9, 32, 8, 89, 7, 30, 4, 55},
		{2, 31, 0, 86, 1, 46, 5, 74, 4, 32, 6, 88, 8, 19, 9, 48, 7, 36, 3, 79},
		{0, 76, 1, 69, 3, 76, 5, 51, 2, 85, 9, 11, 6, 40, 7, 89, 4, 26, 8, 74},
		{1, 85, 0, 13, 2, 61, 6, 7, 8, 64, 9, 76, 5, 47, 3, 52, 4, 90, 7, 45},
	}
)

// jobShop turns the rows into a project: a task for each operation and a
// resource of one for each machine.
func jobShop(rows [][]int) Project {
	machines := len(rows[0]) / 2
	var p Project
	for range machines {
		p.Capacities = append(p.Capacities, 1)
	}
	for _, row := range rows {
		for k := range machines {
			demand := make([]int, machines)
			demand[row[2*k]] = 1
			p.Demands = append(p.Demands, demand)
			p.Durations = append(p.Durations, row[2*k+1])
			var next []int
			if k+1 < machines {
				next = []int{len(p.Durations)}
			}
			p.Successors = append(p.Successors, next)
		}
	}
	return p
}

// FT10 is not reached from every seed within the count; RESULTS.md says from how
// many. The seed here is one that reaches it, so that a change for the worse
// shows.
func TestJobShopsReachTheirOptima(t *testing.T) {
	for _, c := range []struct {
		name      string
		rows      [][]int
		schedules int
		optimum   int
	}{
		{"FT06", ft06, 2_000, 55},
		{"FT10", ft10, 200_000, 930},
	} {
		t.Run(c.name, func(t *testing.T) {
			if testing.Short() && c.schedules > 10_000 {
				t.Skip("many schedules")
			}
			p := jobShop(c.rows)
			got, err := Solve(context.Background(), p, Options{Schedules: c.schedules, Seed: 1})
			if err != nil {
				t.Fatal(err)
			}
			if err := Verify(p, got); err != nil {
				t.Fatal(err)
			}
			t.Logf("makespan %d, lower bound %d, %d schedules", got.Makespan, got.LowerBound, got.Schedules)
			if got.Makespan != c.optimum || got.LowerBound > c.optimum || got.Schedules > c.schedules {
				t.Errorf("makespan %d, lower bound %d, %d schedules; the optimum is %d",
					got.Makespan, got.LowerBound, got.Schedules, c.optimum)
			}
		})
	}
}

// BenchmarkFT10Seeds tells from how many seeds the optimum of FT10 is reached
// within 200,000 schedules: the first ten, and forty that the search was not
// tuned with.
func BenchmarkFT10Seeds(b *testing.B) {
	for _, c := range []struct {
		name        string
		first, last uint64
	}{
		{"seeds 1 to 10", 1, 10},
		{"seeds 1001 to 1040", 1001, 1040},
	} {
		b.Run(c.name, func(b *testing.B) {
			p := jobShop(ft10)
			runs, reached, sum := 0, 0, 0
			for b.Loop() {
				for seed := c.first; seed <= c.last; seed++ {
					got, err := Solve(context.Background(), p, Options{Schedules: 200_000, Seed: seed})
					if err != nil {
						b.Fatal(err)
					}
					if err := Verify(p, got); err != nil {
						b.Fatal(err)
					}
					runs++
					sum += got.Makespan
					if got.Makespan == 930 {
						reached++
					}
				}
			}
			b.ReportMetric(float64(reached)/float64(runs), "reached")
			b.ReportMetric(float64(sum)/float64(runs), "makespan")
		})
	}
}
