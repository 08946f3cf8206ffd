package loss

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/data"
)

// From these on, what is missing is no correction. Common practice, no source.
const (
	mostRowsGone   = 0.1 // of a table
	mostReadings   = 12  // changed without a new day
	vansNamed      = 5
	fewestRowsGone = 2 // of a small table one row is a correction
)

// Losses says what the yard has lost since it held what it held before, which is
// nil where there is nothing to hold it against. today is that of the clock.
func Losses(before *Held, now Held, today data.Date) []string {
	var losses []string
	if now.AsOf > today {
		losses = append(losses, fmt.Sprintf("the run is as of %s, and today is %s", now.AsOf, today))
	}
	if before == nil {
		return losses
	}
	if now.AsOf < before.AsOf {
		losses = append(losses, fmt.Sprintf("the run is as of %s, before the %s of the last reports", now.AsOf, before.AsOf))
	}
	if gone := vansGone(before, now); len(gone) > 0 {
		losses = append(losses, sayGone(gone))
	}
	for _, table := range slices.Sorted(maps.Keys(before.Rows)) {
		was := before.Rows[table]
		has, present := now.Rows[table]
		switch gone := was - has; {
		case !present && was > 0:
			losses = append(losses, fmt.Sprintf("%s, which had %s, is gone", table, count(was, "row")))
		case gone >= fewestRowsGone && float64(gone) > mostRowsGone*float64(was):
			losses = append(losses, fmt.Sprintf("%s has %s where it had %d", table, count(has, "row"), was))
		}
	}
	if n := readingsChanged(before, now); n > mostReadings {
		losses = append(losses, fmt.Sprintf("%d readings have another value or verdict on the same day", n))
	}
	return losses
}

// vansGone lists the vans that were not sold and are in no row now.
func vansGone(before *Held, now Held) []string {
	var gone []string
	for _, id := range slices.Sorted(maps.Keys(before.Vans)) {
		if _, ok := now.Vans[id]; !ok && !now.present[id] {
			gone = append(gone, id)
		}
	}
	return gone
}

func sayGone(gone []string) string {
	named := strings.Join(gone[:min(len(gone), vansNamed)], ", ")
	if more := len(gone) - vansNamed; more > 0 {
		named += fmt.Sprintf(" and %d more", more)
	}
	if len(gone) == 1 {
		return "1 van that was not sold is gone: " + named
	}
	return fmt.Sprintf("%d vans that were not sold are gone: %s", len(gone), named)
}

// readingsChanged counts the readings that stand in both with another value or
// verdict: a point that was looked at again has another day.
func readingsChanged(before *Held, now Held) int {
	n := 0
	for id, readings := range before.Vans {
		has := now.Vans[id] // of a van that is sold by now: none
		for key, was := range readings {
			if is, ok := has[key]; ok && is != was {
				n++
			}
		}
	}
	return n
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
