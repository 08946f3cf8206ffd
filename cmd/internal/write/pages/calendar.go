package pages

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// Days of the calendar on the workshop's page; each person's own page has them all.
const (
	daysOpen  = 2
	daysShown = 5
)

// calendarDay is one working day: what each person does, and what stands in each
// bay.
type calendarDay struct {
	Title  string
	People []workLane
	Bays   []workLane
}

// workLane is the blocks of one person or bay on one day.
type workLane struct {
	Name   link
	Hours  string
	Blocks []chip
}

// chip is a block that can be read and tapped: it opens the job card.
type chip struct{ Href, Kind, From, To, Van, Title, With string }

// workKinds are the kinds of work that have a pattern, in the order of the key.
var workKinds = []string{"mechanical", "tyres", "habitation", "gas", "electrical", "bodywork", "damp", "valet", "photography"}

// calendar lays the first working days of the plan out.
func (s *report) calendar() []calendarDay {
	byDay := map[data.Date][]prep.Block{}
	var days []data.Date
	for _, b := range s.Plan.Blocks {
		d := data.DateOf(b.Start)
		if _, ok := byDay[d]; !ok {
			days = append(days, d)
		}
		byDay[d] = append(byDay[d], b)
	}
	slices.Sort(days)
	var out []calendarDay
	for _, d := range days[:min(daysShown, len(days))] {
		day := calendarDay{Title: longDay(d)}
		for _, t := range s.Workshop.Team {
			of := func(b prep.Block) bool { return b.Technician == t.Name }
			if l := s.workLane(byDay[d], of, func(b prep.Block) string { return b.Bay }); len(l.Blocks) > 0 {
				l.Blocks = s.withDrives(l.Blocks, t.Name, d)
				l.Name = link{t.Name, "../" + s.technicianFile[t.Name]}
				day.People = append(day.People, l)
			}
		}
		for _, bay := range baysOf(byDay[d]) {
			of := func(b prep.Block) bool { return b.Bay == bay }
			l := s.workLane(byDay[d], of, func(b prep.Block) string { return b.Technician })
			l.Name = link{Text: bay}
			day.Bays = append(day.Bays, l)
		}
		out = append(out, day)
	}
	return out
}

// drivesOf lists a person's ways between sites on a day.
func (s *report) drivesOf(technician string, on data.Date) []prep.Drive {
	var out []prep.Drive
	for _, d := range s.Plan.Drives {
		if d.Technician == technician && data.DateOf(d.Start) == on {
			out = append(out, d)
		}
	}
	return out
}

// driveTitle is what a way between sites is called where people are told of it.
func driveTitle(d prep.Drive) string { return "Drive to " + d.To }

// withDrives puts a person's ways between sites in among the blocks of a day.
func (s *report) withDrives(blocks []chip, technician string, on data.Date) []chip {
	for _, d := range s.drivesOf(technician, on) {
		blocks = append(blocks, chip{Kind: "drive", From: clock(d.Start), To: clock(d.Finish), Title: driveTitle(d)})
	}
	slices.SortStableFunc(blocks, func(a, b chip) int { return cmp.Compare(a.From, b.From) })
	return blocks
}

func baysOf(blocks []prep.Block) []string {
	var bays []string
	for _, b := range blocks {
		if b.Bay != "" {
			bays = appendNew(bays, b.Bay)
		}
	}
	slices.Sort(bays)
	return bays
}

// workLane picks the blocks of a day that are of one person or bay.
func (s *report) workLane(blocks []prep.Block, of func(prep.Block) bool, with func(prep.Block) string) workLane {
	var l workLane
	var sum data.Money
	for _, b := range blocks {
		if !of(b) {
			continue
		}
		sum = sum.Add(b.Hours)
		c := chip{
			Kind: s.jobSkill[b.Job], From: clock(b.Start), To: clock(b.Finish), Van: b.StockID, Title: b.Title, With: with(b),
		}
		if s.hasPage(b.StockID) {
			c.Href = "../" + s.vanFile(b.StockID, jobCardEnd) + "#job-" + b.Job
		}
		l.Blocks = append(l.Blocks, c)
	}
	l.Hours = hours(sum)
	return l
}

// clock writes a time of day to five minutes, as people are told one; schedule.csv
// has the minute.
func clock(t time.Time) string { return t.Round(5 * time.Minute).Format("15:04") }

type technicianPage struct {
	layout
	Name, Skills string
	Day          string // the page on which one says how it went
	Days         []workDay
	Away         []string
}

// workDay is one person's list for one day, a sheet of its own in print.
type workDay struct {
	Title string
	Hours string
	Items []workItem
}

type workItem struct {
	From, To, Hours, Title, Places, Bay, Caution string
	Van, Card                                    link
	Name, Reg                                    string
	Parts                                        string // at its first start only
	GoesOn                                       string // the day of that start
	Drive                                        string // to another site: the item is that and nothing else
}

func (s *report) technician(t data.Technician) technicianPage {
	p := technicianPage{layout: s.layout("Day sheet "+t.Name, "../", ""), Name: t.Name, Skills: data.Titles(t.Skills), Day: path.Base(s.dayFile(t.Name))}
	p.Kind = "person"
	for _, a := range s.Workshop.Absences {
		if (a.Technician == "" || a.Technician == t.Name) && !a.Works && a.To >= s.AsOf {
			away := day(a.From)
			if a.To != a.From {
				away += " to " + day(a.To)
			}
			p.Away = append(p.Away, away)
		}
	}
	var on data.Date
	var sum data.Money
	begun := map[jobKey]data.Date{}
	var drives []prep.Drive // of the day that are still to come
	for _, b := range s.Plan.Blocks {
		if b.Technician != t.Name {
			continue
		}
		if d := data.DateOf(b.Start); d != on {
			on, sum = d, data.Money{}
			p.Days = append(p.Days, workDay{Title: longDay(d)})
			drives = s.drivesOf(t.Name, d)
		}
		today := &p.Days[len(p.Days)-1]
		for len(drives) > 0 && !drives[0].Finish.After(b.Start) {
			d := drives[0]
			today.Items = append(today.Items, workItem{From: clock(d.Start), To: clock(d.Finish), Drive: driveTitle(d)})
			drives = drives[1:]
		}
		sum = sum.Add(b.Hours)
		today.Hours = hours(sum)
		item := s.workItem(b)
		if first, ok := begun[jobKey{b.StockID, b.Job}]; !ok {
			begun[jobKey{b.StockID, b.Job}] = on
		} else if item.Parts != "" {
			item.GoesOn, item.Parts = dayAs(first, "Monday 2 January"), ""
		}
		today.Items = append(today.Items, item)
	}
	return p
}

func (s *report) workItem(b prep.Block) workItem {
	item := workItem{
		From: clock(b.Start), To: clock(b.Finish), Hours: hours(b.Hours), Title: b.Title, Bay: b.Bay,
		Van: s.vanLink("../", b.StockID),
	}
	v, ok := s.Find(b.StockID)
	if !ok {
		return item
	}
	item.Name, item.Reg = nameOf(v.Van), v.Reg
	if s.hasPage(v.StockID) {
		item.Card = link{"job card", "../" + s.vanFile(v.StockID, jobCardEnd) + "#job-" + b.Job}
	}
	if i := slices.IndexFunc(v.Jobs, func(j prep.Job) bool { return j.Code == b.Job }); i >= 0 {
		j := v.Jobs[i]
		item.Places, item.Caution, item.Parts = data.Titles(j.Places), j.Caution, strings.Join(s.partsOf(j), ", ")
	}
	return item
}

// boardPage is for a screen on the workshop's wall.
type boardPage struct {
	layout
	Rows []boardRow
	More string
	In   string
}

type boardRow struct{ Van, Reg, Name, Ready, Today, Blocked string }

// boardRows is how many vans can be read from across a workshop.
const boardRows = 24

func (s *report) board() boardPage {
	p := boardPage{layout: s.layout("Wall board", "../", "board")}
	p.Kind = "board"
	p.In, _ = s.whoIsIn(s.AsOf)
	today := map[string][]string{}
	for _, b := range s.Plan.Blocks {
		if data.DateOf(b.Start) == s.AsOf {
			today[b.StockID] = appendNew(today[b.StockID], fmt.Sprintf("%s (%s)", b.Title, b.Technician))
		}
	}
	queue := slices.Clone(s.Plan.Queue)
	slices.SortStableFunc(queue, func(a, b prep.QueueRow) int {
		return cmp.Or(data.FalseFirst(len(today[a.Van.StockID]) == 0, len(today[b.Van.StockID]) == 0), cmp.Compare(a.Rank, b.Rank))
	})
	if more := len(queue) - boardRows; more > 0 {
		p.More, queue = count(more, "more van"), queue[:boardRows]
	}
	for _, q := range queue {
		row := boardRow{Van: q.Van.StockID, Reg: q.Van.Reg, Name: nameOf(q.Van), Ready: dayAs(q.ReadyOn, "Mon 2 Jan"), Today: strings.Join(today[q.Van.StockID], "; ")}
		row.Blocked = data.Capital(data.FirstFew(q.Waiting))
		if !q.Van.PromisedOn.IsZero() {
			row.Ready += ", promised " + dayAs(q.Van.PromisedOn, "Mon 2 Jan")
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}
