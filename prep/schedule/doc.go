// Package schedule plans tasks on people and places so that the whole is
// done soonest, or costs least in delay.
//
// In comes a [Problem]: tasks with durations, skills, precedence with
// lags, release and due times; workers with skills and working hours; places
// of limited number. Out comes a [Plan]: who does what when, what it costs,
// and a lower bound that no plan can beat.
//
//	plan, err := schedule.Solve(ctx, problem, schedule.Options{Objective: schedule.WeightedCompletion})
//	err = schedule.Verify(problem, plan)
//
// Time is a whole number of minutes after an origin that the caller chooses,
// and every stretch of time is half-open: [From, To). The package knows
// neither dates nor what the tasks are. It reads no clock: the search
// ends after a count of generated schedules, so the same problem, seed and
// count give the same plan on every machine.
//
// Problems without calendars that are to end soonest, where a schedule takes
// microseconds, are searched by the package project below this one.
package schedule
