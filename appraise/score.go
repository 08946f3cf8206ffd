package appraise

import (
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// The history score is 100 points, shared out as a buyer looks at papers. Common
// practice, no source. What does not apply to a van is not held against it.
const (
	engineLine       = 30
	habitationLine   = 20
	beltLine         = 10
	dampLine         = 8
	gasLine          = 6
	electricsLine    = 5
	brakeFluidLine   = 4
	coolantLine      = 2
	motLine          = 6
	registrationLine = 6
	handbookLine     = 3
)

// score reckons the history line by line. Lines are whole points, so that they
// add up on paper. Better evidence, or one more paper, never takes a point away.
func (in *inspection) score(docs []data.Document, mot data.Date) []ScoreLine {
	line := func(what string, share float64, of float64) ScoreLine {
		return ScoreLine{what, math.Round(share * of), of}
	}
	var out []ScoreLine
	for _, l := range []struct {
		cover, what, none string
		of                float64
		every             bool // each turn in the van's life counts, not only the last
	}{
		{"engine-oil", "engine services proven", "no engine service needed", engineLine, true},
		{"habitation", "habitation services proven", "", habitationLine, true},
		{"timing-belt", "timing belt in date", "no timing belt to change", beltLine, false},
		{"damp", "damp check in date", "", dampLine, false},
		{"gas", "gas check in date", "no gas on board", gasLine, false},
		{"electrics", "230 V inspection in date", "no 230 V on board", electricsLine, false},
		{"brake-fluid", "brake fluid in date", "", brakeFluidLine, false},
		{"coolant", "coolant in date", "no coolant to change", coolantLine, false},
	} {
		d := duties[slices.IndexFunc(duties, func(d duty) bool { return d.cover == l.cover })]
		switch {
		case !d.applies(in.van, docs):
			out = append(out, line(l.none, 1, l.of))
		case l.every:
			out = append(out, line(l.what, d.weighted(in.van, docs, in.asOf), l.of))
		default:
			out = append(out, line(l.what, d.inDate(in.van, docs, in.asOf), l.of))
		}
	}
	motShare := 0.0
	if !in.needsMOT() || mot >= in.asOf {
		motShare = 1
	}
	return append(out,
		line("MOT in force, or none due yet", motShare, motLine),
		line("registration document in hand", bestPaper(docs, kindRegistration), registrationLine),
		line("handbook in hand", bestPaper(docs, kindHandbook), handbookLine),
	)
}

// bestPaper returns the weight of the best paper of a kind in hand.
func bestPaper(docs []data.Document, kind string) (best float64) {
	for _, d := range docs {
		if d.Kind == kind && held(d) {
			best = max(best, evidenceWeight(d))
		}
	}
	return best
}

// inDate returns the weight of the best evidence that keeps a duty in date: 1
// where nothing is due yet in so young a van.
func (d duty) inDate(van data.Van, docs []data.Document, asOf data.Date) float64 {
	best := 0.0
	if !d.stands(van, nil, asOf).overdue {
		best = 1
	}
	for i, p := range docs {
		if covers(p, d.cover) && proves(p, asOf) && !d.stands(van, docs[i:i+1], asOf).overdue {
			best = max(best, evidenceWeight(p))
		}
	}
	return best
}
