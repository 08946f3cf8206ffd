package project

import (
	"context"
	"math"
)

// pollEvery is how many schedules are made between looks at the context.
const pollEvery = 256

// progress is how far a search has come, and when it ends.
type progress struct {
	limit      int
	bound      int32
	made       int // schedules so far
	best       int32
	bestStart  []int32
	bestPerson []int32 // who does each task; -1 for no person
}

// newProgress takes a makespan that no schedule is known to go below; 0 where
// the caller knows none.
func newProgress(net *network, limit, bound int) progress {
	p := progress{
		limit:      limit,
		bound:      max(lowerBound(net), int32(bound)),
		best:       math.MaxInt32,
		bestStart:  make([]int32, len(net.duration)),
		bestPerson: make([]int32, len(net.duration)),
	}
	for i := range p.bestPerson {
		p.bestPerson[i] = -1
	}
	return p
}

func (p *progress) done(ctx context.Context) bool {
	return p.made >= p.limit || p.best <= p.bound ||
		p.made > 0 && p.made%pollEvery < 2 && ctx.Err() != nil
}
