package appraise

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// What a condition form asks of the checkpoints beyond their rows in the book.

// IsDampSurvey reports whether a checkpoint's readings are those of a moisture
// meter, which have a place on the body's map.
func IsDampSurvey(checkpoint string) bool { return checkpoint == damp }

// LimitsBarredBy lists the equipment on account of which a checkpoint's limits in
// the book are not those that count: its rest volts are of lead acid.
func LimitsBarredBy(checkpoint string) []string {
	if checkpoint != batteryRestVolts {
		return nil
	}
	var words []string
	for _, c := range chemistries[1:] {
		words = append(words, c.word)
	}
	return words
}

// AnsweredBy names the column of vans.csv whose figure answers a checkpoint;
// blank where none does.
func AnsweredBy(checkpoint string) string {
	if checkpoint == keysCount {
		return "keys"
	}
	return ""
}

// oldVanYears is the age at which the short walk weighs what may be hidden.
const oldVanYears = 15

// UsualMinutes is how long a point takes of which the book says nothing. Common
// practice, no source.
const UsualMinutes = 2

// ShortWalk lists the most checkpoints that are worth looking at first: those
// with a limit beyond which a van is unsafe, and damp, then those where a look moves most
// pounds for each minute, by the chance of a defect on a van of 15 years and the
// labour and parts of its job: prep.LookNext does the same for one van. Of points
// that are alike in this the book's order counts.
func ShortWalk(books *data.Books, policy data.Policy, most int) []string {
	cost := map[string]float64{}
	points := slices.Clone(books.Checkpoints)
	for i := range points {
		c := &points[i]
		if job, ok := books.Job(cmp.Or(c.RiskJob, c.Job)); ok {
			q := chanceAt(c, oldVanYears)
			cost[c.Code] = 2 * q * (1 - q) * usualCost(job, books, policy) / max(c.Minutes.Or(UsualMinutes), 0.1)
		}
	}
	unsafe := func(c data.Checkpoint) int {
		if c.UnsafeAt.Known || c.Code == damp { // the first that every buyer looks for
			return 0
		}
		return 1
	}
	slices.SortStableFunc(points, func(a, b data.Checkpoint) int {
		return cmp.Or(cmp.Compare(unsafe(a), unsafe(b)), cmp.Compare(cost[b.Code], cost[a.Code]))
	})
	var codes []string
	for _, c := range points[:min(most, len(points))] {
		codes = append(codes, c.Code)
	}
	return codes
}

// usualCost is a unit of a job at its likely hours with its parts, in pounds ex
// VAT.
func usualCost(job *data.LabourJob, books *data.Books, policy data.Policy) float64 {
	pounds := job.HoursLikely * policy.LabourCostPerHour.InexactFloat64()
	for _, use := range job.Parts {
		if part, ok := books.Part(use.Part); ok {
			pounds += float64(use.Qty) * part.UnitCost.InexactFloat64()
		}
	}
	return pounds
}
