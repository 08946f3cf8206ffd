package appraise

import (
	"slices"

	"github.com/vanwright/vanwright/data"
)

// Serious lists what stops a purchase or a sale until somebody has answered it:
// the points found unsafe, then the serious notes on papers, marks, weights and
// condition. Each stands once.
func (a *Assessment) Serious() []Note {
	var out []Note
	say := func(n Note) {
		if !slices.ContainsFunc(out, func(o Note) bool { return o.Text == n.Text }) {
			out = append(out, n)
		}
	}
	for i := range a.Findings {
		if f := &a.Findings[i]; f.Verdict == data.Unsafe {
			say(Note{Text: f.Point() + ", unsafe: " + f.Reason, Serious: true, Source: f.Source})
		}
	}
	for _, n := range a.notes() {
		if n.Serious {
			say(n)
		}
	}
	return out
}

// Remarks lists the notes that stop nothing, each once.
func (a *Assessment) Remarks() []Note {
	var out []Note
	for _, n := range a.notes() {
		if !n.Serious && !slices.ContainsFunc(out, func(o Note) bool { return o.Text == n.Text }) {
			out = append(out, n)
		}
	}
	return out
}

// notes are those of all parts of the assessment. Papers tells what Identity
// does.
func (a *Assessment) notes() []Note {
	return slices.Concat(a.Papers.Provenance, a.Weights.Remarks, a.Notes)
}

// Point writes a finding's title and place.
func (f *Finding) Point() string {
	if f.Position == "" {
		return f.Title
	}
	return f.Title + " at " + data.Title(f.Position)
}
