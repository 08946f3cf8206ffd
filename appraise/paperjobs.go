package appraise

import (
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// dampReadingsEnough is how many of the dealer's own damp readings within a year
// stand in for a survey when none is on paper. Common practice, no source.
const dampReadingsEnough = 4

// requestsOfPapers asks for work that the papers do not prove to be done, and for
// the papers themselves.
func (in *inspection) requestsOfPapers(docs []data.Document, p Papers) []JobRequest {
	var out []JobRequest
	want := func(because string, source data.Source, codes ...string) {
		if job := in.have(codes...); job != "" {
			out = append(out, JobRequest{Job: job, Units: 1, Because: because, Source: source})
		}
	}
	for _, d := range duties {
		if !d.applies(&in.van, docs) || d.cover == "damp" && in.surveyed() {
			continue
		}
		if s := in.stands(d, docs); s.overdue {
			because := d.says(s)
			if e := lastEnded(p.Ended, d.cover); e != nil && e.Dated > s.last {
				because = fmt.Sprintf("the %s of %s proves it no longer: %s", data.Title(e.Kind), e.Dated, e.Why)
			}
			want(because, data.Source{}, d.jobs...)
		}
	}
	if in.needsMOT() && p.MOTExpires < in.asOf {
		because := "no evidence of a current MOT"
		if !p.MOTExpires.IsZero() {
			because += fmt.Sprintf(" since %s", p.MOTExpires.Words())
		}
		want(because, data.Source{}, "mot-test")
	}
	for i := range docs {
		d := &docs[i]
		switch {
		case d.Kind == kindRecall && !in.recallDone(d, docs):
			want(fmt.Sprintf("recall notice%s, no evidence that the work was done", dated(d.Dated)), d.Source, "safety-recall-work", "recall-check")
		case d.Held == "promised":
			want("promised, not yet received: "+data.Titles(wordsOf(d)), d.Source, "chase-papers")
		}
	}
	lacks := func(kind string) bool {
		return slices.Contains(p.Missing, kind) && !slices.Contains(p.Promised, kind)
	}
	if lacks(kindRegistration) {
		want("V5C missing", data.Source{}, "chase-papers")
	}
	if lacks(kindHandbook) {
		want("handbook missing", data.Source{}, "obtain-handbooks")
	}
	if in.van.Keys.Known && in.van.Keys.Value < 2 {
		want(fmt.Sprintf("it came with %d %s", in.van.Keys.Value, plural(in.van.Keys.Value, "key", "keys")), in.van.Source, "obtain-key")
	}
	if p.Mileage == MileageFalls || p.Mileage == MileageJumps {
		want(fmt.Sprintf("recorded mileage %s", p.Mileage), data.Source{}, "recheck-mileage")
	}
	if in.van.FinanceOwed.Known && in.van.FinanceOwed.Value.IsPositive() {
		want("finance is owed", in.van.Source, "settle-finance")
	}
	return out
}

// lastEnded returns the newest paper that no longer proves a cover; nil where
// there is none.
func lastEnded(ended []EndedPaper, cover string) *EndedPaper {
	for i := range slices.Backward(ended) {
		if ended[i].Cover == cover {
			return &ended[i]
		}
	}
	return nil
}

// surveyed reports whether the dealer's own damp readings of the last year, taken
// since the last work on damp, cover the body well enough.
func (in *inspection) surveyed() bool {
	n := 0
	for _, p := range in.damp {
		if p.takenOn > in.asOf.AddMonths(-12) && !in.workedOn(systemDamp, p.takenOn) {
			n++
		}
	}
	return n >= dampReadingsEnough
}
