package pages

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// jobsOnBid is how many jobs a bid sheet names, the costliest; it is one page.
const jobsOnBid = 4

// bidPage is the buyer's own: it shows what the dealer would leave.
type bidPage struct {
	layout
	ID, Name, Reg string
	Back, Other   link
	Known         bool
	Max, Opening  string
	StandIn       string
	Confidence    string
	P50, P80      string
	Risk          string
	PrepDays      string
	DaysToSell    string
	Market        string
	Owed          string
	Reasons       []string
	Serious       []string
	Money         *moneyView
	Jobs          []jobLine
	JobCount      string
	Promised      string
	Untested      string
	Looks         []lookLine
	LookMinutes   string
	Ask           []string
}

// lookLine is an untested point to look at next.
type lookLine struct{ Title, Minutes, Worth string }

func (s *report) bid(v *night.Van) bidPage {
	b, a := v.Bid, &v.Assessment
	p := bidPage{
		layout: s.layout("Bid sheet "+v.StockID+" "+v.Reg, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg,
		Back: s.vanLink("../", v.StockID), Other: link{"the customer's sheet", "../" + s.vanFile(v.StockID, offerEnd)},
		Known: b.Known, P50: pounds(b.Prep.P50), P80: pounds(b.Prep.P80), Risk: pounds(b.Prep.Risk),
		PrepDays: count(b.PrepDays, "day"), DaysToSell: count(b.DaysToSell, "day"), Market: optPounds(b.Quote.Market),
		Reasons: b.Reasons, Money: s.money(v), Promised: data.Titles(a.Papers.Promised),
		Untested: untestedSystems(a), Ask: a.Ask, JobCount: count(len(v.Jobs), "job"),
	}
	p.Kind = "sheet"
	p.showPhotos(v, ofFaults(v))
	if b.Known {
		p.Max, p.Opening, p.StandIn = pounds(b.MaxBid), pounds(b.OpeningBid), pounds(b.StandIn)
		p.Confidence = notKnown
		if b.Confidence.Known {
			p.Confidence = wholePercent(b.Confidence.Value)
		}
	}
	if v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive() {
		p.Owed = pence(v.FinanceOwed.Value)
	}
	p.Serious = v.Serious()
	minutes := 0.0
	for _, l := range s.LookNext(v) {
		minutes += l.Minutes
		p.Looks = append(p.Looks, lookLine{l.Title, fmt.Sprintf("%.0f min", math.Ceil(l.Minutes)), pounds(l.Worth)})
	}
	p.LookMinutes = count(int(math.Ceil(minutes)), "minute")
	dearest := slices.Clone(v.Jobs)
	slices.SortStableFunc(dearest, func(a, b prep.Job) int { return b.Cost().Cmp(a.Cost()) })
	for _, j := range dearest[:min(jobsOnBid, len(dearest))] {
		p.Jobs = append(p.Jobs, s.jobLine(j))
	}
	return p
}

// untestedSystems says how many points of each system were not tested, the system
// in which most faults are to be expected first.
func untestedSystems(a *appraise.Assessment) string {
	var out []string
	for _, u := range appraise.UntestedBySystem(a.Untested) {
		out = append(out, fmt.Sprintf("%s (%s)", data.Title(u.System), count(len(u.Points), "point")))
	}
	return strings.Join(out, ", ")
}
