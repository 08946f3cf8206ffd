package main

import "github.com/apache/beam/sdks/v2/go/pkg/beam"

// newPipeline lays out the work:
//
//	yards → cost each → blocks by file ────────────────┐
//	                  → what vans leave, by status → sum → write each file → close
//
// Yards are shuffled first, so that a runner may spread them over its workers.
func newPipeline(o options, yards []Yard) *beam.Pipeline {
	p, s := beam.NewPipelineWithRoot()
	each := beam.Reshuffle(s, beam.CreateList(s, yards))
	blocks, vans := beam.ParDo2(s.Scope("cost yards"), &costFn{
		AsOf: o.AsOf, Shards: o.Shards, Workers: o.Workers, Config: o.Config, Settings: o.settings,
	}, each)
	sums := beam.CombinePerKey(s.Scope("add up the group"), &sumFn{}, vans)
	totals := beam.ParDo(s, &totalFn{}, sums)
	files := beam.GroupByKey(s, beam.Flatten(s, blocks, totals))
	written := beam.ParDo(s.Scope("write files"), &writeFn{Out: o.Out}, files)
	all := beam.GroupByKey(s, beam.AddFixedKey(s, written))
	beam.ParDo0(s.Scope("close the set"), &closeFn{Out: o.Out, AsOf: o.AsOf, Yards: len(yards)}, all)
	return p
}
