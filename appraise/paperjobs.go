package appraise

import (
	"cmp"
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
		s := in.stands(d, docs)
		if !s.overdue {
			continue
		}
		e := lastEnded(p.Ended, d.cover)
		switch {
		case e != nil && e.Dated > s.last: // work that was done is tested, whatever the dealer does about old papers
			want(fmt.Sprintf("the %s of %s proves it no longer: %s", data.Title(e.Kind), e.Dated.Words(), e.Why), data.Source{}, d.jobs...)
		case in.withoutProof(d) == data.DoWithoutProof:
			want(d.says(s), data.Source{}, d.jobs...)
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

// withoutProof says what the dealer does about a duty of which nothing proves
// that it was done: as the labour book says of its job, else as the policy does.
func (in *inspection) withoutProof(d *duty) string {
	job, _ := in.books.Job(in.have(d.jobs...))
	return cmp.Or(job.WithoutProof, in.policy.WithoutProof, data.DoWithoutProof)
}

// unproven lists the duties that are overdue without evidence and that the
// dealer deals with in one way. Where work made the evidence history, the test is
// done in any case.
func (in *inspection) unproven(docs []data.Document, p Papers, way string) []*duty {
	var out []*duty
	for _, d := range duties {
		if !d.applies(&in.van, docs) || d.cover == "damp" && in.surveyed() || in.withoutProof(d) != way {
			continue
		}
		s := in.stands(d, docs)
		if e := lastEnded(p.Ended, d.cover); s.overdue && (e == nil || e.Dated <= s.last) {
			out = append(out, d)
		}
	}
	return out
}

// told lists what the buyer hears in place of work.
func (in *inspection) told(docs []data.Document, p Papers) []string {
	var out []string
	for _, d := range in.unproven(docs, p, data.TellWithoutProof) {
		out = append(out, d.says(in.stands(d, docs)))
	}
	return out
}

// proofChance is the chance that no proof comes of what the owner is asked for.
// Common practice, no source.
const proofChance = 0.5

// askedFor prices what the owner is asked to prove as a risk: the work falls to
// the dealer where no proof comes.
func (in *inspection) askedFor(docs []data.Document, p Papers) []Untested {
	var out []Untested
	for _, d := range in.unproven(docs, p, data.AskWithoutProof) {
		if job := in.have(d.jobs...); job != "" {
			out = append(out, Untested{Title: "Proof of " + d.what + ", asked of the owner", System: "papers", Chance: proofChance, Job: job})
		}
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
