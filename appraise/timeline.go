package appraise

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// Timeline lays a van's papers in hand out by day, with the gaps in the engine's
// and the habitation area's services up to asOf. It is no part of an Assessment: a
// yard keeps those of all vans, and shows the time line of a few.
func Timeline(van data.Van, docs []data.Document, asOf data.Date) []Event {
	docs = sortedDocs(docs)
	var out []Event
	for i := range docs {
		d := &docs[i]
		if d.Dated.IsZero() || !held(d) {
			continue
		}
		what := data.Title(d.Kind)
		if len(d.Covers) > 0 {
			what += ": " + data.Titles(d.Covers)
		}
		out = append(out, Event{From: d.Dated, To: d.Dated, What: what, Evidence: d.Evidence, Mileage: d.Mileage, Source: d.Source})
	}
	for _, d := range duties {
		if (d.cover == "engine-oil" || d.cover == "habitation") && d.applies(&van, docs) {
			out = append(out, d.gaps(&van, docs, asOf)...)
		}
	}
	slices.SortStableFunc(out, func(a, b Event) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.To, b.To), cmp.Compare(a.What, b.What))
	})
	return out
}

// gaps returns the times without proof of a duty that are longer than its
// months and the grace.
func (d *duty) gaps(van *data.Van, docs []data.Document, asOf data.Date) []Event {
	if van.FirstRegistered.IsZero() {
		return nil
	}
	var out []Event
	from := van.FirstRegistered
	gap := func(to data.Date) {
		if to > from.AddMonths(d.months+graceMonths) {
			months := int(12 * ageYears(from, to))
			out = append(out, Event{From: from, To: to, Gap: true, What: fmt.Sprintf("%d months without evidence of %s", months, d.what)})
		}
		from = max(from, to)
	}
	for i := range docs {
		p := &docs[i]
		if covers(p, d.cover) && proves(p, asOf) && !p.Dated.IsZero() {
			gap(p.Dated)
		}
	}
	gap(asOf)
	return out
}
