package pages

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
)

type vanPage struct {
	Frame
	ID, Name, Reg, Status string
	From                  string // vans.csv:12
	Links                 []link
	Sold                  bool
	Says                  []string // what needs somebody
	Serious               []cited
	Identity, Weights     []fact
	WeightsFrom           string
	Remarks               []cited
	Equipment             string
	Verdicts              string   // how many of each
	Zones                 []zone   // with points that are not sound
	SoundZones            []zone   // without
	SoundNames            string   // of those zones
	Limits                []string // where the limits come from
	Damp                  *dampMap
	DampReadings          []findingLine
	DampLimit             string
	DampAreas             []dampArea
	Tyres                 *tyrePlan
	Papers                papersView
	Work                  workView
	Price                 *priceView
	Money                 *moneyView
	Untested              []untestedPoint
	Ask                   []string
}

// cited is a statement with the line it stands on.
type cited struct{ Text, From string }

// zone is the findings of one part of the van, those that ask for something
// apart from the sound ones.
type zone struct {
	Name       string
	Wanting    []findingLine
	Sound      []findingLine
	SoundCount string
	Cautions   []string
}

// findingLine is the row of a finding.
type findingLine struct {
	Title        string
	Place, Value string
	Mark         verdictMark
	Reason       string
	Seen         string // where and when: readings.csv:12, read 9 Mar 2026
	Job          link
}

type dampArea struct {
	Place, Worst, Points, Reason string
	Job                          link
}

// untestedPoint is a point that was not tested.
type untestedPoint struct{ Title, Places, Job, Chance string }

func (s *site) van(v *night.Van) vanPage {
	a := v.Assessment
	p := vanPage{
		Frame: s.frame(v.StockID+" "+nameOf(v.Van), "../", ""),
		ID:    v.StockID, Name: nameOf(v.Van), Reg: v.Reg, Status: string(v.Status), From: v.Source.String(),
		Links: s.vanLinks(v), Sold: v.Status == data.Sold, Identity: identity(v.Van, s.AsOf), Equipment: data.Titles(v.Equipment),
		Damp: s.dampMap(a), Tyres: s.tyres(a),
		Papers: s.papers(v.Van, a), Work: s.work(v), Ask: a.Ask,
	}
	for _, c := range s.concerns(v) {
		p.Says = append(p.Says, c.text)
	}
	for _, z := range s.zones(v) {
		if len(z.Wanting) > 0 {
			p.Zones = append(p.Zones, z)
			continue
		}
		p.SoundZones = append(p.SoundZones, z)
		p.SoundNames = joined(p.SoundNames, fmt.Sprintf("%s (%s)", z.Name, z.SoundCount))
	}
	for _, f := range a.Findings {
		if f.Reference != "" {
			p.Limits = appendNew(p.Limits, f.Title+": "+f.Reference)
		}
	}
	p.notes(a)
	p.weights(v.Van, a.Weights)
	p.Verdicts = verdictCounts(a)
	for i := range a.Findings {
		if f := &a.Findings[i]; f.Code == dampPoint {
			p.DampReadings, p.DampLimit = append(p.DampReadings, s.findingLine(v, f)), f.Reference
		}
	}
	for _, d := range a.Damp {
		p.DampAreas = append(p.DampAreas, dampArea{
			Place: data.Heading(d.Place), Worst: fmt.Sprintf("%g%%", d.WorstPercent), Points: data.Titles(d.Points),
			Reason: data.Capital(d.Reason), Job: s.jobLink(v, d.Remedy),
		})
	}
	for _, u := range a.Untested {
		p.Untested = append(p.Untested, untestedPoint{u.Title, data.Titles(u.Places), s.jobTitle[u.Job], percent(data.PercentOf(u.Chance, 1))})
	}
	p.Price = s.price(v)
	p.Money = s.money(v)
	return p
}

// vanLinks lists the further pages of a van.
func (s *site) vanLinks(v *night.Van) []link {
	var out []link
	file := func(end string) string { return "../" + s.vanFile(v.StockID, end) }
	if v.Status.InHand() {
		out = append(out, link{"Job card", file(jobCardEnd)}, link{"Handover pack", file(handoverEnd)})
	}
	if v.Status == data.Offered && v.Bid != nil {
		out = append(out, link{"Bid sheet, for the buyer", file(bidEnd)}, link{"Offer sheet, for the customer", file(offerEnd)})
	}
	return out
}

// notes puts serious remarks first on the page and the others with identity.
func (p *vanPage) notes(a appraise.Assessment) {
	for _, n := range a.Serious() {
		p.Serious = append(p.Serious, cited{n.Text, n.Source.String()})
	}
	for _, n := range a.Remarks() {
		p.Remarks = append(p.Remarks, cited{n.Text, n.Source.String()})
	}
}

func identity(v data.Van, asOf data.Date) []fact {
	facts := []fact{
		{"Registration", v.Reg}, {"VIN", v.VIN}, {"Maker and model", nameOf(v)}, {"Body", data.Title(v.Body)},
		{"Chassis", v.Chassis}, {"Fuel", v.Fuel}, {"Gearbox", v.Gearbox},
		{"First registered", day(v.FirstRegistered)}, {"Mileage", number(v.Mileage) + " miles"},
		{"Berths", withUnit(v.Berths, "")}, {"Belts", withUnit(v.Belts, "")},
		{"Length", withUnit(v.LengthMM, "mm")}, {"Keepers, including present", withUnit(v.Keepers, "")}, {"Keys", withUnit(v.Keys, "")},
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
		p.WeightsFrom = "The rule: " + w.MinimumSource
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

// zones groups the findings by part of the van, in the order of the book.
func (s *site) zones(v *night.Van) []zone {
	byZone := map[string][]*appraise.Finding{}
	for i := range v.Assessment.Findings {
		f := &v.Assessment.Findings[i]
		if f.Code != dampPoint { // has a part of the page to itself
			byZone[f.Zone] = append(byZone[f.Zone], f)
		}
	}
	var names []string
	for name := range byZone {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		rank := func(name string) int {
			if r, ok := s.zoneRank[name]; ok {
				return r
			}
			return len(s.zoneRank)
		}
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a, b))
	})
	var out []zone
	for _, name := range names {
		z := zone{Name: zoneTitle(name)}
		found := byZone[name]
		slices.SortStableFunc(found, func(a, b *appraise.Finding) int { return cmp.Compare(b.Verdict, a.Verdict) })
		for _, f := range found {
			line := s.findingLine(v, f)
			if f.Verdict > data.Sound {
				z.Wanting = append(z.Wanting, line)
				if f.Caution != "" {
					z.Cautions = appendNew(z.Cautions, f.Caution)
				}
			} else {
				z.Sound = append(z.Sound, line)
			}
		}
		z.SoundCount = count(len(z.Sound), "point")
		out = append(out, z)
	}
	return out
}

// joined puts a comma between two texts.
func joined(list, s string) string {
	if list == "" {
		return s
	}
	return list + ", " + s
}

func appendNew(list []string, s string) []string {
	if slices.Contains(list, s) {
		return list
	}
	return append(list, s)
}

func zoneTitle(zone string) string { return cmp.Or(data.Heading(zone), "Elsewhere") }

func (s *site) findingLine(v *night.Van, f *appraise.Finding) findingLine {
	value := data.WithUnit(f.Value, f.Unit)
	if f.Unit == "date" {
		if on, err := data.ParseDate(f.Value); err == nil {
			value = day(on)
		}
	}
	return findingLine{
		Title: f.Title, Place: data.Title(f.Position), Value: value, Mark: markOf(f.Verdict), Reason: data.Capital(f.Reason),
		Seen: f.Source.String() + ", read " + day(f.TakenOn),
		Job:  s.jobLink(v, f.Job),
	}
}

// jobLink names a job and links to it where the van has it; another job may
// have taken it in.
func (s *site) jobLink(v *night.Van, code string) link {
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
