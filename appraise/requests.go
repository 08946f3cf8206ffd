package appraise

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// requests gathers the labour jobs that the findings and damp areas ask for. Damp
// points speak through their areas; tyres are joined by axle.
func (in *inspection) requests(findings []Finding, areas []DampArea) []JobRequest {
	var out []JobRequest
	for _, f := range findings {
		if f.Job == "" || f.Code == damp {
			continue
		}
		out = append(out, JobRequest{
			Job: f.Job, Place: f.Position, Units: 1,
			Because: because(f), AskedOn: f.TakenOn, Source: f.Source,
		})
	}
	out = in.inPairs(in.tyreRequests(out))
	return append(out, in.dampRequests(findings, areas)...)
}

// pairedJobs are counted by the wheel and done to both wheels of an axle, so that
// the van brakes straight. Common practice, no source.
var pairedJobs = []string{"brake-pads", "brake-discs"}

// inPairs adds the other wheel of the axle to every brake job on one wheel.
func (in *inspection) inPairs(requests []JobRequest) []JobRequest {
	asked := map[[2]string]bool{}
	for _, w := range requests {
		asked[[2]string{w.Job, w.Place}] = true
	}
	for _, w := range requests {
		axle, _, _, ok := wheel(w.Place)
		if !ok || !slices.Contains(pairedJobs, w.Job) {
			continue
		}
		for _, other := range wheelsOf(axle, false) {
			if key := [2]string{w.Job, other}; !asked[key] && !in.hasTwins(axle) {
				asked[key] = true
				w.Because, w.Place = "done in pairs, with the "+data.Title(w.Place), other
				requests = append(requests, w)
			}
		}
	}
	return requests
}

// because writes a finding as the ground for a job.
func because(f Finding) string { return f.Point() + ": " + f.Reason }

func compareRequests(a, b JobRequest) int {
	if c := cmp.Compare(a.Job, b.Job); c != 0 {
		return c
	}
	return cmp.Or(
		cmp.Compare(a.Place, b.Place),
		cmp.Compare(a.Because, b.Because),
		cmp.Compare(a.Units, b.Units),
		cmp.Compare(a.AskedOn, b.AskedOn),
		cmp.Compare(a.Source.File, b.Source.File),
		cmp.Compare(a.Source.Line, b.Source.Line),
	)
}

// sortUnique sorts requests by job and place, then by what they say, so that the order
// of the input shows only in requests that are alike, and drops what stands there
// twice.
func sortUnique(requests []JobRequest) []JobRequest {
	slices.SortFunc(requests, compareRequests)
	return slices.Compact(requests)
}

// asks reports whether a verdict is bad enough for the checkpoint's job.
func asks(v data.Verdict) bool { return v >= data.Defect }
