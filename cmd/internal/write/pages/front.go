package pages

import (
	"fmt"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
)

const (
	mattersShown = 12    // vans on the first screen; the others are folded
	mattersAtAll = 200   // beyond that margin.csv reads better
	rejectsShown = 100   // rejects.csv has them all
	vansListed   = 2_000 // a longer list would not open on a phone
)

type frontPage struct {
	Frame
	First, Rest  []matter
	RestCount    string
	Unlisted     int
	Changed      []changedVan
	MoreChanged  string
	Changes      string // how many in all; blank for none
	Counts       []statusCount
	WorkshopNote string
	Rejects      []rejectLine
	RejectCount  string
	MoreRejects  int
	Warnings     []string
	Groups       []vanGroup
	ListCut      bool
	Inputs       []inputLine
	Settings     []fact
	MarketNotes  []string
	Files        []tables.File
	Gain         string
}

type statusCount struct{ Status, Vans, Money string }

type rejectLine struct{ At, Column, Value, Expected, Also string }

type inputLine struct{ Name, Read, Accepted, Rejected string }

type fact struct{ What, Value string }

// vanGroup is the vans of one status.
type vanGroup struct {
	Status string
	Count  string
	Rows   []vanRow
}

type vanRow struct {
	Van                                 link
	Name, Reg, Site, Days, Price, Ready string
}

func (s *site) front() frontPage {
	p := frontPage{
		Frame:        s.frame("This morning in the yard", "", "front"),
		WorkshopNote: s.Plan.WorkshopNote, Warnings: s.Yard.Warnings,
		Files: reportFiles, Settings: s.settings(),
	}
	all := s.matters()
	p.Unlisted = max(0, len(all)-mattersAtAll)
	all = all[:len(all)-p.Unlisted]
	p.First = all[:min(mattersShown, len(all))]
	p.Rest = all[len(p.First):]
	p.RestCount = count(len(p.Rest), "more van")
	if n := len(s.changes); n > 0 {
		more := 0
		p.Changed, more = s.changed()
		p.Changes = count(n, "change")
		if more > 0 {
			p.MoreChanged = count(more, "further van")
		}
	}
	p.counts(s)
	p.rejects(s.Yard.Rejects)
	p.vans(s)
	for _, in := range s.Yard.Inputs {
		p.Inputs = append(p.Inputs, inputLine{in.Name, number(in.Read), number(in.Accepted), number(in.Rejected)})
	}
	if s.Market != nil {
		p.MarketNotes = s.Market.Notes
	}
	if s.Plan.Gain.IsPositive() {
		p.Gain = pounds(s.Plan.Gain)
	}
	return p
}

func (p *frontPage) counts(s *site) {
	for _, status := range data.Statuses {
		n, tied, known := 0, data.Money{}, 0
		for i := range s.Vans {
			v := &s.Vans[i]
			if v.Status != status {
				continue
			}
			n++
			if v.Cost.Known {
				tied, known = tied.Add(v.Cost.Value), known+1
			}
		}
		row := statusCount{Status: data.Capital(string(status)), Vans: number(n), Money: "none"}
		if known > 0 {
			row.Money = pounds(tied)
		}
		if status.InHand() && known < n {
			row.Money += fmt.Sprintf(", and %d of unknown cost", n-known)
		}
		p.Counts = append(p.Counts, row)
	}
}

func (p *frontPage) rejects(rejects []data.Reject) {
	p.RejectCount = count(len(rejects), "row")
	p.MoreRejects = max(0, len(rejects)-rejectsShown)
	for _, r := range rejects[:min(rejectsShown, len(rejects))] {
		p.Rejects = append(p.Rejects, rejectLine{
			At: fmt.Sprintf("%s:%d", r.File, r.Line), Column: r.Column, Value: r.Value, Expected: r.Expected, Also: r.Also,
		})
	}
}

// vans lists the vans by status: in hand and offered first, sold ones last.
func (p *frontPage) vans(s *site) {
	left := vansListed
	for _, status := range data.Statuses {
		g := vanGroup{Status: data.Capital(string(status))}
		for i := range s.Vans {
			v := &s.Vans[i]
			if v.Status != status || !s.hasPage(v.StockID) {
				continue
			}
			if left == 0 {
				p.ListCut = true
				break
			}
			left--
			row := vanRow{Van: s.vanLink("", v.StockID), Name: nameOf(v.Van), Reg: v.Reg, Site: v.Site}
			switch {
			case v.Status == data.Offered:
				row.Price = "bid " + notKnown
				if v.Bid != nil && v.Bid.Known {
					row.Price = "maximum bid " + pounds(v.Bid.MaxBid)
				}
			case v.Margin != nil:
				row.Days = number(v.Margin.DaysHeld)
				row.Price = notKnown
				if v.Margin.Price.Known {
					row.Price = fmt.Sprintf("%s %s", v.Margin.Basis, pounds(v.Margin.Price.Value))
				}
			}
			if !v.ReadyOn.IsZero() {
				row.Ready = day(v.ReadyOn)
			}
			g.Rows = append(g.Rows, row)
		}
		if len(g.Rows) > 0 {
			g.Count = count(len(g.Rows), "van")
			p.Groups = append(p.Groups, g)
		}
	}
}

// settings lists the policy in force, as its keys are spelt.
func (s *site) settings() []fact {
	var all []fact
	for _, k := range policyfile.InForce(s.Policy) {
		all = append(all, fact{k.Name, k.Value})
	}
	return all
}

// reportFiles are the files beside the pages.
var reportFiles = append(tables.Files(),
	tables.File{Name: "margin/margin.xlsx", Holds: "margins as a workbook, with its formulas"},
	tables.File{Name: "run.json", Holds: "what was read and written, and the settings in force"},
)
