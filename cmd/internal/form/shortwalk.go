package form

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// shortPoints is how many points the short appraisal has, those of equipment
// that a van lacks counted too.
const shortPoints = 40

// shortWalk are the points that are worth looking at first: those most likely to
// be wrong on an old van.
func shortWalk(books *data.Books) map[string]bool {
	points := slices.Clone(books.Checkpoints)
	slices.SortStableFunc(points, func(a, b data.Checkpoint) int { return cmp.Compare(b.RiskOldPct, a.RiskOldPct) })
	short := map[string]bool{}
	for _, c := range points[:min(shortPoints, len(points))] {
		short[c.Code] = true
	}
	return short
}
