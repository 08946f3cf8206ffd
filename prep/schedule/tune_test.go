package schedule

import (
	"context"
	"os"
	"strconv"
	"testing"
	"time"
)

func TestTune(t *testing.T) {
	if os.Getenv("TUNE") == "" {
		t.Skip()
	}
	n, _ := strconv.Atoi(os.Getenv("TUNE"))
	for _, sz := range [][2]int{{60, 8}, {60, 4}} {
		for seed := range uint64(3) {
			p := fleet(sz[0], sz[1], seed+1)
			lim := n * 500 / len(p.Activities)
			d := newDecoder(compile(p), WeightedCompletion)
			s := newSearch(d, lim, 1)
			t0 := time.Now()
			var first []int
			for _, key := range s.rules() {
				d.decode(s.topological(key), nil)
				first = append(first, d.value)
			}
			s.run(context.Background())
			un := 0
			d.decode(s.best.order, s.best.force)
			for _, a := range d.place {
				if !a.Placed() {
					un++
				}
			}
			t.Logf("%v n=%d lim=%d rules %v best %d  lower %d  ratio %.4f unplaced %d  %.1fs", sz, len(p.Activities), lim, first, s.best.value, s.lower, float64(s.best.value)/float64(first[0]), un, time.Since(t0).Seconds())
		}
	}
}
