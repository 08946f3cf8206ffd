package appraise

import (
	"cmp"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// Kinds and cover words of documents.csv that mean something here.
const (
	kindRegistration = "registration"
	kindHandbook     = "handbook"
	kindMOT          = "mot"
	kindRecall       = "recall"
	coverRecall      = "recall"
)

// held reports whether the paper is in hand. A blank cell counts as in hand: the
// row exists because somebody had the paper before them.
func held(d *data.Document) bool { return d.Held == "yes" || d.Held == "" }

// weights of evidence, 0 to 1: an original over a stamp or an entry in an
// online record, over a copy, over a word. A paper whose evidence is not said
// stands between copy and word. Common practice, no source.
func evidenceWeight(d *data.Document) float64 {
	switch d.Evidence {
	case "original":
		return 1
	case "stamp", "online":
		return 0.8
	case "copy":
		return 0.6
	case "verbal":
		return 0.2
	}
	return 0.4
}

// proves reports whether a paper is evidence at all: it is in hand, on paper or
// online, and not dated after the day of the report. No proof of a change is
// treated as no change (common practice, no source).
func proves(d *data.Document, asOf data.Date) bool {
	return held(d) && d.Evidence != "verbal" && d.Dated <= asOf
}

// covers reports whether a paper is about a cover word: by what is written of
// it, or by its kind.
func covers(d *data.Document, word string) bool {
	switch d.Kind {
	case "habitation-service":
		if word == "habitation" || word == "damp" {
			return true
		}
	case "damp-report":
		if word == "damp" {
			return true
		}
	case "gas-certificate":
		if word == "gas" {
			return true
		}
	case "electrical-certificate":
		if word == "electrics" {
			return true
		}
	}
	return slices.Contains(d.Covers, word)
}

// sortedDocs orders papers by day, then by everything that tells them apart, so
// that the order of the input never shows. docs are not changed.
func sortedDocs(docs []data.Document) []data.Document { return new(scratch).sorted(docs) }

// sorted is sortedDocs in the scratch.
func (r *scratch) sorted(docs []data.Document) []data.Document {
	if slices.IsSortedFunc(docs, compareDocs) {
		return docs
	}
	r.docs = append(r.docs[:0], docs...)
	slices.SortFunc(r.docs, compareDocs)
	return r.docs
}

func compareDocs(a, b data.Document) int {
	if c := cmp.Compare(a.Dated, b.Dated); c != 0 {
		return c
	}
	return cmp.Or(
		cmp.Compare(a.Kind, b.Kind),
		cmp.Compare(a.Mileage.Value, b.Mileage.Value),
		cmp.Compare(a.Evidence, b.Evidence),
		cmp.Compare(a.Held, b.Held),
		cmp.Compare(a.Expires, b.Expires),
		slices.Compare(a.Covers, b.Covers),
		cmp.Compare(a.Note, b.Note),
		cmp.Compare(a.Source.File, b.Source.File),
		cmp.Compare(a.Source.Line, b.Source.Line),
	)
}
