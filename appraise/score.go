package appraise

import (
	"math"
	"slices"

	"github.com/vanwright/vanwright/data"
)

// The history score is 100 points, shared out as a buyer looks at papers. Common
// practice, no source. Lines that do not apply to a van fall away, and the others
// share their points.
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

// dutyLines are the lines that follow from the duties.
var dutyLines = []struct {
	cover, what string
	weight      float64
	every       bool // each turn in the van's life counts, not only the last
}{
	{"engine-oil", "engine services proven", engineLine, true},
	{"habitation", "habitation services proven", habitationLine, true},
	{"timing-belt", "timing belt in date", beltLine, false},
	{"damp", "damp check in date", dampLine, false},
	{"gas", "gas check in date", gasLine, false},
	{"electrics", "230 V inspection in date", electricsLine, false},
	{"brake-fluid", "brake fluid in date", brakeFluidLine, false},
	{"coolant", "coolant in date", coolantLine, false},
}

// score reckons the history line by line. Better evidence, or one more paper,
// never takes a point away.
func (in *inspection) score(docs []data.Document, mot data.Date) []ScoreLine {
	const others = 3 // lines, of papers that are not duties
	lines := make([]ScoreLine, 0, len(dutyLines)+others)
	shares := make([]float64, 0, len(dutyLines)+others)
	add := func(what string, weight, share float64) {
		lines = append(lines, ScoreLine{What: what, Of: weight})
		shares = append(shares, share)
	}
	for _, l := range dutyLines {
		d := duties[slices.IndexFunc(duties, func(d *duty) bool { return d.cover == l.cover })]
		switch {
		case l.cover == "timing-belt" && chainDriven(docs):
			// Full points, for a paper that spares the buyer a belt is as good
			// as one that proves it.
			add("a chain, no belt to change", l.weight, 1)
		case !d.applies(&in.van, docs):
		case l.every:
			add(l.what, l.weight, d.weighted(&in.van, in.evidence(d, docs), in.asOf))
		default:
			add(l.what, l.weight, d.inDate(&in.van, in.evidence(d, docs), in.asOf))
		}
	}
	motShare := 0.0
	if !in.needsMOT() || mot >= in.asOf {
		motShare = 1
	}
	add("current MOT, or none due yet", motLine, motShare)
	add("V5C held", registrationLine, bestPaper(docs, kindRegistration))
	add("handbook held", handbookLine, bestPaper(docs, kindHandbook))
	shareOut(lines, 100)
	for i := range lines {
		lines[i].Points = math.Round(shares[i] * lines[i].Of)
	}
	return lines
}

// shareOut stretches the lines' weights to whole points that add up to total:
// each line ends where its running sum does, rounded.
func shareOut(lines []ScoreLine, total float64) {
	sum := 0.0
	for _, l := range lines {
		sum += l.Of
	}
	run, before := 0.0, 0.0
	for i := range lines {
		run += lines[i].Of
		end := math.Round(run / sum * total)
		lines[i].Of, before = end-before, end
	}
}

// bestPaper returns the weight of the best paper of a kind in hand; 0 where there
// is none.
func bestPaper(docs []data.Document, kind string) (best float64) {
	for i := range docs {
		d := &docs[i]
		if d.Kind == kind && held(d) {
			best = max(best, evidenceWeight(d))
		}
	}
	return best
}

// inDate returns the weight of the best evidence that keeps a duty in date: 1
// where nothing is due yet in so young a van.
func (d *duty) inDate(van *data.Van, docs []data.Document, asOf data.Date) float64 {
	best := 0.0
	if !d.stands(van, nil, asOf).overdue {
		best = 1
	}
	for i := range docs {
		p := &docs[i]
		if covers(p, d.cover) && proves(p, asOf) && !d.stands(van, docs[i:i+1], asOf).overdue {
			best = max(best, evidenceWeight(p))
		}
	}
	return best
}
