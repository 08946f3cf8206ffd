package appraise

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// wants gathers the labour jobs that the findings and damp areas ask for. Damp
// points speak through their areas; tyres are joined by axle.
func (in inspection) wants(findings []Finding, areas []DampArea) []Want {
	var out []Want
	for _, f := range findings {
		if f.Job == "" || f.Checkpoint == damp {
			continue
		}
		out = append(out, Want{
			Job: f.Job, Place: f.Position, Units: 1,
			Because: because(f), AskedOn: f.TakenOn, Source: f.Source,
		})
	}
	out = in.tyreWants(out)
	return append(out, in.dampWants(findings, areas)...)
}

// because writes a finding as the ground for a job.
func because(f Finding) string {
	s := f.Title
	if f.Position != "" {
		s = f.Position + ": " + s
	}
	return s + ": " + f.Reason
}

func compareWants(a, b Want) int {
	return cmp.Or(
		cmp.Compare(a.Job, b.Job),
		cmp.Compare(a.Place, b.Place),
		cmp.Compare(a.Source.File, b.Source.File),
		cmp.Compare(a.Source.Line, b.Source.Line),
		cmp.Compare(a.Because, b.Because),
		cmp.Compare(a.Units, b.Units),
		cmp.Compare(a.AskedOn, b.AskedOn),
	)
}

// sortWants orders wants by job and place, then by where they came from.
func sortWants(wants []Want) { slices.SortFunc(wants, compareWants) }

// asks reports whether a verdict is bad enough for the checkpoint's job.
func asks(v data.Verdict) bool { return v >= data.Defect }
