package pricing

import (
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// A consumer's short-term right to reject lasts 30 days from the day after
// delivery. It stands still while the van is back for a repair, and leaves at
// least 7 days after its return (Consumer Rights Act 2015 section 22,
// legislation.gov.uk).
const (
	rejectDays    = 30
	leftAfterWork = 7
)

// RejectUntil returns the last day of the buyer's short-term right to reject a
// sold van; unknown where it was not delivered. paused says that a repair begun
// since has stopped the clock. Of a repair that is done only the day of its end
// is known, so the day may be later where it took long.
func RejectUntil(v data.Van, jobs []prep.Job) (until data.Date, paused bool) {
	if v.Status != data.Sold || v.DeliveredOn.IsZero() {
		return 0, false
	}
	until = v.DeliveredOn.AddDays(rejectDays)
	for _, j := range jobs {
		switch {
		case j.State == data.JobStarted || j.State == data.JobAwaitingParts:
			paused = true
		case j.State == data.JobDone && j.DoneOn > v.DeliveredOn && j.DoneOn <= until:
			until = max(until, j.DoneOn.AddDays(leftAfterWork))
		}
	}
	return until, paused
}
