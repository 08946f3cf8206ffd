package pages

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

type workshopPage struct {
	layout
	Note      string
	Plan      string // how good the plan is
	People    []link
	Days      []calendarDay
	LaterDays []calendarDay
	Kinds     []workKind // the key of the patterns
	Later     string
	Lacks     []string // what the workshop has not, with the vans that this stops
	Queue     []queueLine
	QueueCut  int
	Delays    []delayLine
	Suppliers []supplier
	OrderSum  string
	Skills    []factorLine
}

// queueShown is how many vans the queue lists; queue.csv has them all.
const queueShown = 150

// workKind is one entry of the key.
type workKind struct{ Kind, Title string }

// delayLine is a job that holds the queue up.
type delayLine struct {
	Job, Van      link
	Saves, Reason string
}

// factorLine is what finished jobs of a skill, or of one job of it, taught.
type factorLine struct{ Skill, Job, Jobs, Factor, Spread string }

type queueLine struct {
	Rank                                       string
	Van                                        link
	Name, Ready, P80, Promised, Hours, Waiting string
	Gates, PerDay                              string
	Parts                                      []string // folded, where they are many
	PartCount                                  string
	By                                         struct{ Ready, P80, Promised data.Date } // to sort by
}

// supplier is the parts to order from one supplier.
type supplier struct {
	Name  string
	Parts []orderLine
	Total string
}

type orderLine struct {
	Title, Order, Needed, Stock, Unit, Total, OrderBy string
	Vans                                              []link
	VanCount                                          string // where they are folded
}

func (s *report) workshop() workshopPage {
	p := workshopPage{layout: s.layout("Workshop", "../", "workshop").withScript(listJS), Note: s.Plan.WorkshopNote}
	for _, lacks := range s.Plan.Shortfalls {
		p.Lacks = append(p.Lacks, "Not in the plan: "+lacks.String()+".")
	}
	p.Plan = "Best of " + count(s.Plan.Schedules, "schedule") + " tried"
	if s.Plan.NearBest() {
		p.Plan += fmt.Sprintf("; no schedule can be more than %.0f%% better", 100*s.Plan.Gap)
	}
	p.Plan += "."
	if s.Plan.Gain.IsPositive() {
		p.Plan += " It should save " + pounds(s.Plan.Gain) + " against the best rule of thumb (" + s.Plan.BestRule + "), on average over what may happen to hours, parts, people and hidden work."
	}
	if s.Plan.Told > 0 {
		p.Plan += fmt.Sprintf(" Of %s that people were told to do in the next three working days, %d keep day and person.", count(s.Plan.Told, "job"), s.Plan.Kept)
	}
	for _, t := range s.Workshop.Team {
		p.People = append(p.People, link{t.Name, "../" + s.technicianFile[t.Name]})
	}
	days := s.calendar()
	p.Days, p.LaterDays = days[:min(daysOpen, len(days))], days[min(daysOpen, len(days)):]
	for _, kind := range workKinds {
		p.Kinds = append(p.Kinds, workKind{kind, data.Heading(kind)})
	}
	if n := len(s.Plan.Blocks); n > 0 && len(days) == daysShown {
		p.Later = "Work goes on to " + longDay(data.DateOf(s.Plan.Blocks[n-1].Start)) + "; the day sheets have it all."
	}
	p.QueueCut = max(0, len(s.Plan.Queue)-queueShown)
	for _, q := range s.Plan.Queue[:len(s.Plan.Queue)-p.QueueCut] {
		p.Queue = append(p.Queue, s.queueLine(q))
	}
	for _, d := range s.Plan.Delays {
		line := delayLine{Job: link{Text: d.Title}, Van: s.vanLink("../", d.StockID), Saves: pounds(d.Pounds), Reason: s.partTitles(d.Reason)}
		if line.Van.Href != "" {
			line.Job.Href = line.Van.Href + "#job-" + d.Job
		}
		p.Delays = append(p.Delays, line)
	}
	p.Suppliers, p.OrderSum = s.suppliers()
	for _, f := range s.Learnt.Factors() {
		p.Skills = append(p.Skills, s.factorLine(f))
	}
	return p
}

func (s *report) factorLine(f prep.Factor) factorLine {
	line := factorLine{Skill: data.Title(f.Skill), // blank: all skills
		Jobs: number(f.Jobs), Factor: fmt.Sprintf("%.2f", f.Factor), Spread: "too few to tell"}
	if f.Job != "" {
		line.Job = cmp.Or(s.jobTitle[f.Job], f.Job)
	}
	if f.Spread > 0 {
		line.Spread = fmt.Sprintf("%.2f to %.2f", f.Factor/f.Spread, f.Factor*f.Spread)
	}
	return line
}

// listedPlainly is how many parts or vans stand in a cell; more are folded, so
// that a row stays low.
const listedPlainly = 2

func (s *report) queueLine(q prep.QueueRow) queueLine {
	line := queueLine{
		Rank: number(q.Rank), Van: s.vanLink("../", q.Van.StockID), Name: nameOf(q.Van),
		Ready: day(q.ReadyOn), P80: day(q.ReadyP80), Hours: hours(q.HoursLeft),
		Gates: data.Titles(q.GatesOpen), PerDay: pounds(q.ValuePerDay),
	}
	line.By.Ready, line.By.P80, line.By.Promised = q.ReadyOn, q.ReadyP80, q.Van.PromisedOn
	if len(q.Waiting) > listedPlainly {
		line.Parts, line.PartCount = q.Waiting, count(len(q.Waiting), "thing")
	} else {
		line.Waiting = data.Capital(strings.Join(q.Waiting, "; "))
	}
	if q.ReadyOn.IsZero() {
		line.Ready, line.P80 = "can't be planned", ""
	}
	if !q.Van.PromisedOn.IsZero() {
		line.Promised = day(q.Van.PromisedOn)
		switch {
		case q.ReadyOn.IsZero() || q.ReadyOn > q.Van.PromisedOn:
			line.Promised += ", late"
		case q.ReadyP80 > q.Van.PromisedOn:
			line.Promised += ", tight"
		}
	}
	return line
}

// suppliers lists the parts to order, by supplier.
func (s *report) suppliers() (out []supplier, sum string) {
	orders, all := prep.BySupplier(s.Plan.Parts)
	for _, o := range orders {
		to := supplier{Name: cmp.Or(o.Supplier, "No supplier named"), Total: pence(o.Total)}
		for _, n := range o.Parts {
			line := orderLine{
				Title: n.Part.Title, Order: number(n.ToOrder), Needed: number(n.Needed), Stock: number(n.InStock),
				Unit: pence(n.Part.UnitCost), Total: pence(n.Total), OrderBy: day(n.OrderBy),
			}
			if n.OrderBy <= s.AsOf {
				line.OrderBy = "today"
			}
			for _, id := range n.StockIDs {
				line.Vans = append(line.Vans, s.vanLink("../", id))
			}
			if len(line.Vans) > listedPlainly {
				line.VanCount = count(len(line.Vans), "van")
			}
			to.Parts = append(to.Parts, line)
		}
		out = append(out, to)
	}
	return out, pence(all)
}
