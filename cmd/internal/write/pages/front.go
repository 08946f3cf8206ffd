package pages

import (
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/cmd/internal/write/tables"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

const (
	rejectsShown = 100   // rejects.csv has them all
	vansListed   = 2_000 // a longer list would not open on a phone
	readyDays    = 7     // ahead, for the vans that will be ready
)

type frontPage struct {
	layout
	ToDo         []kindOfThing
	In, Away     string // people
	Ready        []readyLine
	Changed      []changedVan
	MoreChanged  string
	Moved        string // how many jobs moved, by cause
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
	Settings     []policyfile.Setting
	MarketNotes  []string
	Files        []tables.File
	Gain         string
	BestRule     string
}

// readyLine is a van that the plan makes ready this week.
type readyLine struct {
	Van             link
	Name, On, Until string
}

type statusCount struct{ Status, Vans, Money string }

type rejectLine struct{ At, Column, Value, Expected, Also string }

type inputLine struct{ Name, Read, Accepted, Rejected string }

type fact struct{ What, Value string }

// vanGroup is the vans of one status.
type vanGroup struct {
	Status string
	Count  string
	Price  string // what its prices are
	Rows   []vanRow
}

type vanRow struct {
	Van                                 link
	Name, Reg, Site, Days, Price, Ready string
}

func (s *report) front() frontPage {
	p := frontPage{
		layout: s.layout("This morning", "", "front").withScript(listJS), ToDo: s.toDo(),
		WorkshopNote: s.Plan.WorkshopNote, Warnings: s.Yard.Warnings,
		Files: reportFiles, Settings: policyfile.InForce(s.Policy), Ready: s.readyThisWeek(),
	}
	p.In, p.Away = s.whoIsIn(s.AsOf)
	if n := len(s.changes); n > 0 {
		more := 0
		p.Changed, more = s.changed()
		p.Changes = count(n, "change")
		if more > 0 {
			p.MoreChanged = count(more, "further van")
		}
		p.Moved = s.moved()
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
		p.Gain, p.BestRule = pounds(s.Plan.Gain), s.Plan.BestRule
	}
	return p
}

// moved says how many jobs that people were told of moved, and why.
func (s *report) moved() string {
	var causes []string
	for _, m := range s.Plan.Moved {
		causes = append(causes, m.Cause)
	}
	return prep.ByCause(causes)
}

// whoIsIn names the people who work on a day and those who are away.
func (s *report) whoIsIn(on data.Date) (in, away string) {
	var here, not []string
	for _, t := range s.Workshop.Team {
		switch h := s.Workshop.HoursOn(t, on); {
		case h > 0:
			here = append(here, fmt.Sprintf("%s (%g h)", t.Name, h))
		default:
			not = append(not, t.Name)
		}
	}
	return strings.Join(here, ", "), strings.Join(not, ", ")
}

// readyThisWeek lists the vans that the plan makes ready soon, the first first.
func (s *report) readyThisWeek() []readyLine {
	var out []readyLine
	for _, q := range s.Plan.Queue {
		if q.ReadyOn.IsZero() || q.ReadyOn > s.AsOf.AddDays(readyDays) {
			continue
		}
		out = append(out, readyLine{
			Van: s.vanLink("", q.Van.StockID), Name: nameOf(q.Van), On: dayAs(q.ReadyOn, "Mon 2 Jan"), Until: dayAs(q.ReadyP80, "Mon 2 Jan"),
		})
	}
	return out
}

func (p *frontPage) counts(s *report) {
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
		row := statusCount{Status: data.Heading(status), Vans: number(n), Money: "none"}
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
func (p *frontPage) vans(s *report) {
	left := vansListed
	for _, status := range data.Statuses {
		g := vanGroup{Status: data.Heading(status), Price: "Price"}
		if status == data.Offered {
			g.Price = "Maximum bid"
		}
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
			row := vanRow{Van: s.vanLink("", v.StockID), Name: nameOf(v.Van), Reg: v.Reg, Site: v.Site, Price: notKnown}
			switch {
			case v.Bid != nil && v.Bid.Known:
				row.Price = pounds(v.Bid.MaxBid)
			case v.Margin != nil:
				row.Days = number(v.Margin.DaysHeld)
				row.Price = optPounds(v.Margin.Price)
			}
			if !v.ReadyOn.IsZero() && v.Status != data.Ready {
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

// reportFiles are the files beside the pages.
var reportFiles = append(tables.Files(),
	tables.File{Name: "margin/margin.xlsx", Holds: "Margins as a workbook, with its formulas"},
	tables.File{Name: "run.json", Holds: "What was read and written, and the settings in force"},
)
