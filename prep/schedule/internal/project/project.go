// Package project is the part of the engine for problems without calendars:
// tasks that share resources of constant capacity and people who are
// always there, so that the last task finishes as soon as possible (the
// resource-constrained project scheduling problem, with several skills or
// without).
//
// In comes a [Project], out comes a [Schedule] with a lower bound. Time is
// counted in whole periods from 0. [Solve] searches with a genetic algorithm
// on task lists or, where every resource and person serves one task at
// a time, as in a job shop, with a tabu search on their orders. It ends after
// a count of schedules, so the same project, seed and count give the same
// schedule on every machine.
package project

import (
	"errors"
	"fmt"
)

// Project is what is to be scheduled. Tasks, resources and people are
// numbered from 0.
type Project struct {
	Durations  []int   // periods, 0 or more
	Successors [][]int // tasks that start no sooner than this one's finish
	Demands    [][]int // of each task, for each resource, while it runs
	Capacities []int   // of each resource
	People     int     // each does one task at a time
	Able       [][]int // people of whom one does the task; no person is needed where empty; nil: no task needs one
}

// Schedule is a start for each task.
type Schedule struct {
	Starts     []int
	People     []int // who does each task; -1 where no person is needed
	Makespan   int   // finish of the last task
	LowerBound int   // no schedule has a smaller makespan
	Schedules  int   // complete schedules that the search built
}

// Errors of Check, to be told apart with errors.Is.
var (
	ErrShape      = errors.New("lists of the project differ in length")
	ErrRange      = errors.New("number out of range")
	ErrInfeasible = errors.New("task needs more than there is")
	ErrCycle      = errors.New("tasks wait for one another")
	ErrPeople     = errors.New("people together with a resource that serves several tasks at once")
)

// MaxHorizon is the largest sum of durations that Solve takes: a profile of
// free capacity is kept period by period.
const MaxHorizon = 1 << 22

// Check reports the first thing that makes no sense in a project.
func (p Project) Check() error {
	n := len(p.Durations)
	if len(p.Successors) != n || len(p.Demands) != n || p.Able != nil && len(p.Able) != n {
		return fmt.Errorf("%w: %d durations, %d successor lists, %d demands",
			ErrShape, n, len(p.Successors), len(p.Demands))
	}
	horizon := 0
	for i, d := range p.Durations {
		if d < 0 || d > MaxHorizon {
			return fmt.Errorf("%w: task %d: duration %d", ErrRange, i, d)
		}
		if horizon += d; horizon > MaxHorizon {
			return fmt.Errorf("%w: durations sum to more than %d", ErrRange, MaxHorizon)
		}
		if len(p.Demands[i]) != len(p.Capacities) {
			return fmt.Errorf("%w: task %d: %d demands for %d resources",
				ErrShape, i, len(p.Demands[i]), len(p.Capacities))
		}
		for r, need := range p.Demands[i] {
			if need < 0 {
				return fmt.Errorf("%w: task %d: demand %d for resource %d", ErrRange, i, need, r)
			}
			if need > p.Capacities[r] {
				return fmt.Errorf("%w: task %d: %d of resource %d, which has %d",
					ErrInfeasible, i, need, r, p.Capacities[r])
			}
		}
		for _, w := range p.able(i) {
			if w < 0 || w >= p.People {
				return fmt.Errorf("%w: task %d: person %d of %d", ErrRange, i, w, p.People)
			}
		}
		for _, s := range p.Successors[i] {
			if s < 0 || s >= n {
				return fmt.Errorf("%w: task %d: successor %d of %d", ErrRange, i, s, n)
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

// able lists the people of whom one does the task.
func (p Project) able(i int) []int {
	if p.Able == nil || p.Durations[i] == 0 {
		return nil
	}
	return p.Able[i]
}

// topological lists the tasks so that each comes after those it waits
// for; tasks of cycles and behind them are left out.
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
