package pages

import (
	"fmt"
	"slices"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

// bidPage is the buyer's own: it shows what the dealer would leave.
type bidPage struct {
	Frame
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
	Serious       []cited
	Money         *moneyView
	Jobs          []jobLine
	Missing       string
	Promised      string
	Untested      []string
	Ask           []string
}

// offerPage is for the customer: what was found and what is missing, and a
// blank for the offer. Nothing in it, shown or hidden, tells of the dealer's
// margin, price or largest bid.
type offerPage struct {
	Frame
	ID, Name, Reg string
	Identity      []fact
	Found         []findingLine
	Missing       string
	Promised      string
	Untested      []string
	Owed          bool
}

func (s *site) bid(v *night.Van) bidPage {
	b, a := v.Bid, v.Assessment
	p := bidPage{
		Frame: s.frame("Bid sheet "+v.StockID, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg,
		Back: s.vanLink("../", v.StockID), Other: link{"the customer's sheet", "../" + s.vanFile(v.StockID, offerEnd)},
		Known: b.Known, P50: pence(b.Prep.P50), P80: pence(b.Prep.P80), Risk: pence(b.Prep.Risk),
		PrepDays: count(b.PrepDays, "day"), DaysToSell: count(b.DaysToSell, "day"), Market: optPounds(b.Quote.Market),
		Reasons: b.Reasons, Money: s.money(v), Missing: data.Titles(a.Papers.Missing), Promised: data.Titles(a.Papers.Promised),
		Untested: untestedSystems(v), Ask: a.Ask,
	}
	p.Kind = "sheet"
	if b.Known {
		p.Max, p.Opening, p.StandIn = pounds(b.MaxBid), pounds(b.OpeningBid), pounds(b.StandIn)
		p.Confidence = notKnown
		if b.Confidence.Known {
			p.Confidence = data.FormatDecimal(b.Confidence.Value, 0) + "%"
		}
	}
	if v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive() {
		p.Owed = pence(v.FinanceOwed.Value)
	}
	for _, n := range a.Serious() {
		p.Serious = append(p.Serious, cited{n.Text, n.Source.String()})
	}
	for _, j := range v.Jobs {
		p.Jobs = append(p.Jobs, s.jobLine(j))
	}
	return p
}

func (s *site) offer(v *night.Van) offerPage {
	a := v.Assessment
	p := offerPage{
		Frame: s.frame("Offer for "+v.StockID, "../", ""), ID: v.StockID, Name: nameOf(v.Van), Reg: v.Reg,
		Identity: ownersFacts(v.Van, s.AsOf), Missing: data.Titles(a.Papers.Missing), Promised: data.Titles(a.Papers.Promised),
		Untested: untestedSystems(v), Owed: v.FinanceOwed.Known && v.FinanceOwed.Value.IsPositive(),
	}
	p.Kind, p.Bare = "sheet", true
	for _, want := range []data.Verdict{data.Unsafe, data.Defect, data.Worn} {
		for i := range a.Findings {
			if f := &a.Findings[i]; f.Verdict == want {
				p.Found = append(p.Found, s.findingLine(v, f))
			}
		}
	}
	return p
}

// ownersFacts are the facts of identity that are the owner's own.
func ownersFacts(v data.Van, asOf data.Date) []fact {
	theirs := []string{
		"Registration", "VIN", "Maker and model", "Body", "Chassis", "Fuel", "Gearbox", "First registered",
		"Mileage", "Berths", "Belts", "Length", "Keepers, including present", "Keys",
	}
	return slices.DeleteFunc(identity(v, asOf), func(f fact) bool { return !slices.Contains(theirs, f.What) })
}

// untestedSystems says how many points of each system were not tested.
func untestedSystems(v *night.Van) []string {
	var out []string
	for _, u := range appraise.UntestedBySystem(v.Assessment.Untested) {
		out = append(out, fmt.Sprintf("%s (%s)", data.Title(u.System), count(len(u.Points), "point")))
	}
	return out
}
