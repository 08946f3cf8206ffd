package appraise

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// wants gathers the labour jobs that the findings and damp areas ask for. Damp
// points speak through their areas; tyres are joined by axle.
func (in *inspection) wants(findings []Finding, areas []DampArea) []Want {
	var out []Want
	for _, f := range findings {
		if f.Job == "" || f.Code == damp {
			continue
		}
		out = append(out, Want{
			Job: f.Job, Place: f.Position, Units: 1,
			Because: because(f), AskedOn: f.TakenOn, Source: f.Source,
		})
	}
	out = in.inPairs(in.tyreWants(out))
	return append(out, in.dampWants(findings, areas)...)
}

// pairedJobs are counted by the wheel and done to both wheels of an axle, so that
// the van brakes straight. Common practice, no source.
var pairedJobs = []string{"brake-pads", "brake-discs"}

// inPairs adds the other wheel of the axle to every brake job on one wheel.
func (in *inspection) inPairs(wants []Want) []Want {
	asked := map[[2]string]bool{}
	for _, w := range wants {
		asked[[2]string{w.Job, w.Place}] = true
	}
	for _, w := range wants {
		axle, _, _, ok := wheel(w.Place)
		if !ok || !slices.Contains(pairedJobs, w.Job) {
			continue
		}
		for _, other := range wheelsOf(axle, false) {
			if key := [2]string{w.Job, other}; !asked[key] && !in.hasTwins(axle) {
				asked[key] = true
				w.Because, w.Place = "done in pairs, as "+w.Place+" asks for it", other
				wants = append(wants, w)
			}
		}
	}
	return wants
}

// because writes a finding as the ground for a job.
func because(f Finding) string {
	s := f.Title
	if f.Position != "" {
		s += " at " + f.Position
	}
	return s + ": " + f.Reason
}

func compareWants(a, b Want) int {
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

// inOrder sorts wants by job and place, then by what they say, so that the order
// of the input shows only in wants that are alike, and drops what stands there
// twice.
func inOrder(wants []Want) []Want {
	slices.SortFunc(wants, compareWants)
	return slices.Compact(wants)
}

// asks reports whether a verdict is bad enough for the checkpoint's job.
func asks(v data.Verdict) bool { return v >= data.Defect }
