package main

import (
	"syscall"
	"testing"
)

// TestOnSpark costs groups on a real Spark and holds every report against run, yard by
// yard, byte for byte.
func TestOnSpark(t *testing.T) {
	s := startSpark(t)
	t.Run("thirty yards with slips and a large one on two workers", func(t *testing.T) { thirtyYards(t, s.cluster, s.executors) })
	t.Run("a worker killed in the middle", func(t *testing.T) {
		killedOnSpark(t, s, func(worker, _ int) int { return worker })
	})
	t.Run("an executor killed in the middle", func(t *testing.T) {
		killedOnSpark(t, s, func(_, executor int) int { return executor })
	})
}

// killedOnSpark kills a process while a worker is in a yard. Spark gives the work to
// the other executor, or to one that it starts in the place of the dead.
func killedOnSpark(t *testing.T, s *spark, which func(worker, executor int) int) {
	g, p, job, worker := pausedGroup(t, s.cluster)
	if err := syscall.Kill(which(worker, s.workers(t)[worker]), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	p.over(t)
	job.ends(t)
	g.asRun(t)
	waitUntil(t, "the workers have ended, orphans too", func() bool { return len(s.workers(t)) == 0 })
}
