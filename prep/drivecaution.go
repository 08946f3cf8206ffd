package prep

import (
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
)

// WithDriveCaution returns a van's jobs with a caution on the drive to another site
// where the van has unsafe points: what bears on the road keeps it off its own wheels
// (Road Traffic Act 1988 section 75 of selling, and common practice, no source, of
// driving), and with any other nothing is used on the way. A point whose job the van
// lacks may bear on the road.
func WithDriveCaution(jobs []Job, stops []appraise.Finding) []Job {
	k := slices.IndexFunc(jobs, func(j Job) bool { return j.Code == transferJob && j.Open() })
	if k < 0 || len(stops) == 0 {
		return jobs
	}
	var road, other []string
	for i := range stops {
		points := &other
		if gate := jobOf(jobs, stops[i].Job).Gate; gate == "" || gate == "roadworthy" {
			points = &road
		}
		if !slices.Contains(*points, stops[i].Title) {
			*points = append(*points, stops[i].Title)
		}
	}
	caution := "Gas bottles shut, mains unplugged and nothing used on the way, unsafe as it is: " + strings.Join(other, ", ") + "."
	if len(road) > 0 {
		caution = "On a transporter, not on its own wheels, unsafe as it is: " + strings.Join(road, ", ") + "."
	}
	jobs = slices.Clone(jobs)
	jobs[k].Caution = strings.TrimSpace(jobs[k].Caution + " " + caution)
	return jobs
}
