package rcpsp

import (
	"context"
	"math"
)

// pollEvery is how many schedules are made between looks at the context.
const pollEvery = 256

// progress is how far a search has come, and when it ends.
type progress struct {
	limit     int
	bound     int32
	made      int // schedules so far
	best      int32
	bestStart []int32
}

func newProgress(net *network, limit int) progress {
	return progress{
		limit:     limit,
		bound:     lowerBound(net),
		best:      math.MaxInt32,
		bestStart: make([]int32, len(net.duration)),
	}
}

func (p *progress) done(ctx context.Context) bool {
	return p.made >= p.limit || p.best <= p.bound ||
		p.made > 0 && p.made%pollEvery < 2 && ctx.Err() != nil
}
