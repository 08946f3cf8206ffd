// Package rcpsp schedules activities that share renewable resources of constant
// capacity, so that the last one finishes as soon as possible: the
// resource-constrained project scheduling problem.
//
// In comes a [Project], out comes a [Schedule] with a lower bound. Time is
// counted in whole periods from 0. [Solve] searches with a genetic algorithm
// on activity lists or, where every resource is a machine that its users take
// in turn, as in a job shop, with a tabu search on their orders. It ends after
// a count of schedules, so the same project, seed and count give the same
// schedule on every machine. [Verify] checks any schedule from first
// principles.
package rcpsp

import (
	"errors"
	"fmt"
)

// Project is what is to be scheduled. Activities and resources are numbered
// from 0.
type Project struct {
	Durations  []int   // periods, 0 or more
	Successors [][]int // activities that start no sooner than this one's finish
	Demands    [][]int // of each activity, for each resource, while it runs
	Capacities []int   // of each resource
}

// Schedule is a start for each activity.
type Schedule struct {
	Starts     []int
	Makespan   int // finish of the last activity
	LowerBound int // no schedule has a smaller makespan
	Schedules  int // complete schedules that the search built
}

// Errors of Check, to be told apart with errors.Is.
var (
	ErrShape      = errors.New("lists of the project differ in length")
	ErrRange      = errors.New("number out of range")
	ErrInfeasible = errors.New("activity needs more than there is")
	ErrCycle      = errors.New("activities wait for one another")
)

// MaxHorizon is the largest sum of durations that Solve takes: a profile of
// free capacity is kept period by period.
const MaxHorizon = 1 << 22

// Check reports the first thing that makes no sense in a project.
func (p Project) Check() error {
	n := len(p.Durations)
	if len(p.Successors) != n || len(p.Demands) != n {
		return fmt.Errorf("%w: %d durations, %d successor lists, %d demands",
			ErrShape, n, len(p.Successors), len(p.Demands))
	}
	horizon := 0
	for i, d := range p.Durations {
		if d < 0 || d > MaxHorizon {
			return fmt.Errorf("%w: activity %d: duration %d", ErrRange, i, d)
		}
		if horizon += d; horizon > MaxHorizon {
			return fmt.Errorf("%w: durations sum to more than %d", ErrRange, MaxHorizon)
		}
		if len(p.Demands[i]) != len(p.Capacities) {
			return fmt.Errorf("%w: activity %d: %d demands for %d resources",
				ErrShape, i, len(p.Demands[i]), len(p.Capacities))
		}
		for r, need := range p.Demands[i] {
			if need < 0 {
				return fmt.Errorf("%w: activity %d: demand %d for resource %d", ErrRange, i, need, r)
			}
			if need > p.Capacities[r] {
				return fmt.Errorf("%w: activity %d: %d of resource %d, which has %d",
					ErrInfeasible, i, need, r, p.Capacities[r])
			}
		}
		for _, s := range p.Successors[i] {
			if s < 0 || s >= n {
				return fmt.Errorf("%w: activity %d: successor %d of %d", ErrRange, i, s, n)
			}
		}
	}
	for r, c := range p.Capacities {
		if c < 0 || c > maxCapacity {
			return fmt.Errorf("%w: resource %d: capacity %d", ErrRange, r, c)
		}
	}
	if order := p.topological(); len(order) < n {
		return fmt.Errorf("%w: %d of %d", ErrCycle, n-len(order), n)
	}
	return nil
}

// topological lists the activities so that each comes after those it waits
// for; activities of cycles and behind them are left out.
func (p Project) topological() []int {
	waits := make([]int, len(p.Durations))
	for _, successors := range p.Successors {
		for _, s := range successors {
			waits[s]++
		}
	}
	var order []int
	for i, w := range waits {
		if w == 0 {
			order = append(order, i)
		}
	}
	for k := 0; k < len(order); k++ {
		for _, s := range p.Successors[order[k]] {
			if waits[s]--; waits[s] == 0 {
				order = append(order, s)
			}
		}
	}
	return order
}
