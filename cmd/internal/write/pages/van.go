package pages

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

type vanPage struct {
	layout
	ID, Name, Reg, Status string
	Intro                 []string // what it is, what stands in its way, what it earns, what comes next
	Links                 []link
	Sold                  bool
	Says                  []string // what there is to do
	Serious               []string
	Identity, Weights     factList
	WeightsKnown          bool
	Remarks               []string
	Equipment             string
	Verdicts              string // how many of each
	Inspected             string // when, and by whom
	Zones                 []zone // with points that are not sound
	Sound                 []soundZone
	Damp                  *dampMap
	DampRead              string
	DampReadings          []string
	DampAreas             []dampArea
	Tyres                 *tyrePlan
	Papers                papersView
	Work                  workView
	Price                 *priceView
	Money                 *moneyView
	Untested              []untestedLine
	Orders                []orderedLine
	Costs                 []costLine
	CostSum, ClaimSum     string
	Ask                   []string
}

// zone is the findings of one part of the van that ask for something.
type zone struct {
	Code, Name string
	Wanting    []findingLine
	Cautions   []string
}

// soundZone is what was found sound in one part of the van, and what was read
// there, in one text.
type soundZone struct{ Name, Count, Points string }

// findingLine is the row of a finding.
type findingLine struct {
	Point  string // and its place
	Value  string
	Mark   verdictMark
	Reason string
	Job    link
	Shots  []shot
}

type dampArea struct {
	Place, Worst, Points, Reason string
	Job                          link
}

// untestedLine is the points of one system that were not tested.
type untestedLine struct{ System, Count, Points, Expected string }

func (s *report) van(v *night.Van) vanPage {
	a := &v.Assessment
	p := vanPage{
		layout: s.layout(v.StockID+" "+v.Reg+" "+nameOf(v.Van), "../", ""),
		ID:     v.StockID, Name: nameOf(v.Van), Reg: v.Reg, Status: string(v.Status),
		Intro: s.introduce(v), Links: s.vanLinks(v), Sold: v.Status == data.Sold, Says: s.thingsOf(v.StockID),
		Identity: identity(v.Van), Equipment: data.Titles(v.Equipment),
		Verdicts: verdictCounts(v.Assessment), Inspected: inspectedOn(a),
		Damp: s.dampMap(v.Assessment), Tyres: s.tyres(v.Assessment),
		Papers: s.papers(v.Van, v.Assessment), Work: s.work(v), Price: s.price(v), Money: s.money(v), Ask: a.Ask,
	}
	p.showPhotos(v, everyPhoto)
	p.Serious = v.Serious()
	for _, n := range a.Remarks() {
		p.Remarks = append(p.Remarks, n.Text)
	}
	p.Zones, p.Sound = s.zones(v)
	p.weights(v.Van, a.Weights)
	for i := range a.Findings {
		if f := &a.Findings[i]; f.Code == appraise.DampCheckpoint {
			p.DampReadings = append(p.DampReadings, data.Title(f.Position)+" "+data.WithUnit(f.Value, f.Unit))
		}
	}
	p.DampRead = fmt.Sprintf("%d of %s read", a.DampRead, count(a.DampPoints, "point"))
	for _, d := range a.Damp {
		p.DampAreas = append(p.DampAreas, dampArea{
			Place: data.Heading(d.Place), Worst: fmt.Sprintf("%g%%", d.WorstPercent), Points: data.Titles(d.Points),
			Reason: data.Capital(d.Reason), Job: s.jobLink(v, d.Remedy),
		})
	}
	p.Orders = s.orderedFor(v.StockID)
	p.Costs, p.CostSum, p.ClaimSum = s.costsOf(v.StockID)
	for _, u := range appraise.UntestedBySystem(a.Untested) {
		var points []string
		for _, p := range u.Points {
			points = append(points, p.Title)
		}
		p.Untested = append(p.Untested, untestedLine{
			System: data.Heading(u.System), Count: number(len(u.Points)), Points: strings.Join(points, "; "), Expected: fmt.Sprintf("%.1f", u.Chance),
		})
	}
	return p
}

// inspectedOn says on which day, or between which days, points were read.
func inspectedOn(a *appraise.Assessment) string {
	var from, to data.Date
	for i := range a.Findings {
		on := a.Findings[i].TakenOn
		if from.IsZero() || on < from {
			from = on
		}
		to = max(to, on)
	}
	switch {
	case to.IsZero():
		return ""
	case from == to:
		return "Inspected on " + day(to) + "."
	}
	return "Inspected between " + day(from) + " and " + day(to) + "."
}

// vanLinks lists the further pages of a van.
func (s *report) vanLinks(v *night.Van) []link {
	var out []link
	file := func(end string) string { return "../" + s.vanFile(v.StockID, end) }
	if v.Status.InHand() {
		out = append(out, link{"Job card", file(jobCardEnd)}, link{"Handover pack", file(handoverEnd)}, link{"Booklet for the new owner", "../" + s.bookletFile[v.StockID]})
	}
	if v.Status == data.Ready {
		out = append(out, link{"Forecourt card and advert", file(cardEnd)})
	}
	if v.Status == data.Offered && v.Bid != nil {
		out = append(out, link{"Bid sheet, for the buyer", file(bidEnd)}, link{"Offer sheet, for the customer", file(offerEnd)})
	}
	return out
}

func identity(v data.Van) factList {
	facts := []fact{
		{"Registration", v.Reg}, {"VIN", v.VIN}, {"Maker and model", nameOf(v)}, {"Body", data.Title(v.Body)},
		{"Chassis", v.Chassis}, {"Fuel", v.Fuel}, {"Gearbox", v.Gearbox},
		{"First registered", day(v.FirstRegistered)}, {"Mileage", number(v.Mileage) + " miles"},
		{"Berths", withUnit(v.Berths, "")}, {"Belts", withUnit(v.Belts, "")},
		{"Length", withUnit(v.LengthMM, "mm")}, {"Height", withUnit(v.HeightMM, "mm")},
		{"Front tyre pressure", withUnit(v.FrontTyrePsi, "psi")}, {"Rear tyre pressure", withUnit(v.RearTyrePsi, "psi")},
		{"Keepers, including present", withUnit(v.Keepers, "")}, {"Keys", withUnit(v.Keys, "")},
		{"Site", v.Site}, {"Source", data.Heading(v.PurchaseSource)}, {"VAT scheme", vatWords(v)},
		{"Purchase price or PX allowance", optPence(v.Cost)}, {"Acquired", day(v.Acquired)}, {"Listed", day(v.Listed)},
		{"Asking", optPence(v.Asking)}, {"Guide", optPence(v.Guide)}, {"Finance owed", optPence(v.FinanceOwed)},
		{"Promised for", day(v.PromisedOn)}, {"Sold on", day(v.SoldOn)}, {"Sold for", optPence(v.SoldPrice)},
		{"Salvage category", v.Salvage},
	}
	if v.Imported {
		facts = append(facts, fact{"Imported", "by the dealer"})
	}
	// A blank that only some vans have is left out; one that every van should
	// have is said.
	always := []string{"Registration", "VIN", "Berths", "Belts", "Keepers, including present", "Keys"}
	return slices.DeleteFunc(facts, func(f fact) bool {
		return (f.Value == "" || f.Value == notKnown) && !slices.Contains(always, f.What)
	})
}

func vatWords(v data.Van) string {
	if v.VATAssumed {
		return "margin scheme (not recorded, assumed)"
	}
	return string(v.VAT)
}

func (p *vanPage) weights(v data.Van, w appraise.Weights) {
	p.Weights = []fact{
		{"Maximum mass", withUnit(v.MaxMassKg, "kg")}, {"In running order", withUnit(v.RunningMassKg, "kg")},
		{"Front axle", withUnit(v.FrontAxleKg, "kg")}, {"Rear axle", withUnit(v.RearAxleKg, "kg")},
	}
	if w.Known {
		counted := number(w.MassKg) + " kg, " + w.Basis
		if !w.Measured {
			counted += ", not weighed: may be out by " + number(w.ToleranceKg) + " kg"
		}
		p.Weights = append(p.Weights, fact{"Mass counted", counted})
		for _, axle := range []struct {
			name string
			left data.Opt[int]
		}{{"Front axle, left below its plate", w.FrontLeftKg}, {"Rear axle, left below its plate", w.RearLeftKg}} {
			if axle.left.Known {
				p.Weights = append(p.Weights, fact{axle.name, number(axle.left.Value) + " kg"})
			}
		}
		p.Weights = append(p.Weights,
			fact{"Payload", number(w.PayloadKg) + " kg"},
			fact{"Payload with all seats occupied", number(w.AllBeltsKg) + " kg"},
			fact{"Minimum payload", number(w.MinimumKg) + " kg"},
			fact{"Licence", w.Licence})
		p.WeightsKnown = true
	}
}

// verdictCounts says how many points were found what.
func verdictCounts(a appraise.Assessment) string {
	n := map[data.Verdict]int{}
	for _, f := range a.Findings {
		n[f.Verdict]++
	}
	var parts []string
	for _, v := range []data.Verdict{data.Unsafe, data.Defect, data.Worn, data.Sound} {
		switch {
		case n[v] == 0:
		case v == data.Defect:
			parts = append(parts, count(n[v], "defect"))
		default:
			parts = append(parts, fmt.Sprintf("%d %s", n[v], v))
		}
	}
	if len(a.Untested) > 0 {
		parts = append(parts, fmt.Sprintf("%d not tested", len(a.Untested)))
	}
	if len(parts) == 0 {
		return "No condition report."
	}
	return data.Capital(strings.Join(parts, ", ")) + "."
}

// zones groups the findings by part of the van, in the order of the book: those
// that ask for something as rows, the worst first, and the others as a text.
func (s *report) zones(v *night.Van) (wanting []zone, sound []soundZone) {
	byZone := map[string][]*appraise.Finding{}
	for i := range v.Assessment.Findings {
		f := &v.Assessment.Findings[i]
		if f.Code != appraise.DampCheckpoint { // has a part of the page to itself
			byZone[f.Zone] = append(byZone[f.Zone], f)
		}
	}
	rank := func(name string) int {
		if r, ok := s.zoneRank[name]; ok {
			return r
		}
		return len(s.zoneRank)
	}
	names := slices.SortedFunc(maps.Keys(byZone), func(a, b string) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a, b))
	})
	for _, name := range names {
		found := byZone[name]
		slices.SortStableFunc(found, func(a, b *appraise.Finding) int { return cmp.Compare(b.Verdict, a.Verdict) })
		z := zone{Code: name, Name: zoneTitle(name)}
		var points []string
		for _, f := range found {
			if f.Verdict <= data.Sound {
				text := pointAt(f)
				if value := valueOf(f); value != "" {
					text += ", " + value
				}
				if f.Verdict < data.Sound {
					text += " (" + f.Reason + ")"
				}
				points = append(points, text)
				continue
			}
			z.Wanting = append(z.Wanting, s.findingLine(v, f))
			if f.Caution != "" {
				z.Cautions = appendNew(z.Cautions, f.Caution)
			}
		}
		if len(z.Wanting) > 0 {
			wanting = append(wanting, z)
		}
		if len(points) > 0 {
			sound = append(sound, soundZone{z.Name, number(len(points)), strings.Join(points, "; ") + "."})
		}
	}
	return wanting, sound
}

// pointAt writes a finding's title and where it was read.
func pointAt(f *appraise.Finding) string {
	if f.Position == "" {
		return f.Title
	}
	return f.Title + ", " + data.Title(f.Position)
}

// valueOf writes what was read.
func valueOf(f *appraise.Finding) string {
	if on, err := data.ParseDate(f.Value); f.Unit == "date" && err == nil {
		return day(on)
	}
	return data.WithUnit(f.Value, f.Unit)
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

func zoneTitle(zone string) string { return cmp.Or(data.Heading(zone), "Elsewhere") }

func (s *report) findingLine(v *night.Van, f *appraise.Finding) findingLine {
	return findingLine{
		Point: pointAt(f), Value: valueOf(f), Mark: markOf(f.Verdict), Reason: data.Capital(f.Reason), Job: s.jobLink(v, f.Job),
		Shots: shotsAt(v, f.Code, f.Position),
	}
}

// jobLink names a job and links to it where the van has it; another job may
// have taken it in.
func (s *report) jobLink(v *night.Van, code string) link {
	if code == "" {
		return link{}
	}
	l := link{Text: cmp.Or(s.jobTitle[code], code)}
	for i := range v.Jobs {
		if v.Jobs[i].Code == code {
			l.Href = "#job-" + code
		}
	}
	return l
}
