package pages

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"time"

	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// weeksShown is how far the calendar's picture reaches.
const weeksShown = 2

// week is one week of the workshop as a picture: a lane for each person, a
// column for each day on which somebody works.
type week struct {
	Title         string
	Label         string
	Width, Height int
	Days          []dayColumn
	Lanes         []personLane
	last          data.Date
}

type dayColumn struct {
	X     int
	TextX int
	Text  string
}

type personLane struct {
	Name   string
	TextY  int
	LineY  int
	Blocks []workBlock
}

type workBlock struct {
	X, Y, W, H int
	Text       string // blank where it does not fit
	TextX      int
	TextY      int
	Title      string
	Class      string
}

const (
	laneNameW = 96
	dayW      = 164
	dayGap    = 10
	personH   = 38
	dayHeadH  = 22
	charW     = 8 // of the picture's text, on the wide side
)

// weeks draws the first weeks from the Monday of the report's week on; a week
// without work is left out.
func (s *site) weeks() []week {
	var out []week
	monday := s.AsOf.AddDays(-(int(s.AsOf.Weekday()) + 6) % 7)
	for i := range weeksShown {
		from := monday.AddDays(7 * i)
		var blocks []prep.Block
		for _, b := range s.Plan.Blocks {
			if d := data.DateOf(b.Start); d >= from && d < from.AddDays(7) {
				blocks = append(blocks, b)
			}
		}
		if len(blocks) > 0 {
			out = append(out, s.week(from, blocks))
		}
	}
	return out
}

func (s *site) week(monday data.Date, blocks []prep.Block) week {
	w := week{Title: "Week of " + longDay(monday)}
	open, shut := 24.0, 0.0
	column := map[data.Date]int{}
	for _, b := range blocks {
		open, shut = min(open, clock(b.Start)), max(shut, clockEnd(b))
		column[data.DateOf(b.Start)] = 0
	}
	for i := range 7 {
		d := monday.AddDays(i)
		if _, works := column[d]; !works {
			continue
		}
		x := laneNameW + len(w.Days)*(dayW+dayGap)
		column[d] = x
		w.Days = append(w.Days, dayColumn{X: x, TextX: x, Text: dayAs(d, "Mon 2 Jan")})
		w.last = d
	}
	scale := dayW / max(shut-open, 1)
	for _, t := range s.Workshop.Team {
		y := dayHeadH + len(w.Lanes)*personH
		lane := personLane{Name: t.Name, TextY: y + 24, LineY: y + personH}
		for _, b := range blocks {
			if b.Technician != t.Name {
				continue
			}
			x := column[data.DateOf(b.Start)] + round((clock(b.Start)-open)*scale)
			end := column[data.DateOf(b.Start)] + round((clockEnd(b)-open)*scale)
			block := workBlock{
				X: x, Y: y + 5, W: max(end-x-1, 2), H: personH - 10, TextX: x + 4, TextY: y + 24, Class: "work",
				Title: fmt.Sprintf("%s %s to %s: %s %s, %s, %s", dayAs(data.DateOf(b.Start), "Mon 2 Jan"),
					b.Start.Format("15:04"), b.Finish.Format("15:04"), b.StockID, b.Title, b.Technician, b.Bay),
			}
			if len(b.StockID)*charW+6 <= block.W {
				block.Text = b.StockID
			}
			lane.Blocks = append(lane.Blocks, block)
		}
		if len(lane.Blocks) > 0 {
			w.Lanes = append(w.Lanes, lane)
		}
	}
	w.Width = laneNameW + len(w.Days)*(dayW+dayGap)
	w.Height = dayHeadH + len(w.Lanes)*personH + 4
	w.Label = fmt.Sprintf("%s: %s of work by %s; the pages of each person say the same in words",
		w.Title, count(len(blocks), "job"), count(len(w.Lanes), "technician"))
	return w
}

// clock is the hour of the day; a stretch that ends at midnight ends at 24.
func clock(t time.Time) float64 { return float64(t.Hour()) + float64(t.Minute())/60 }

func clockEnd(b prep.Block) float64 {
	return clock(b.Start) + b.Finish.Sub(b.Start).Hours()
}

type technicianPage struct {
	Frame
	Name, Skills string
	Day          string // the page on which one says how it went
	Days         []workDay
	Away         []string
}

// workDay is one person's list for one day.
type workDay struct {
	Title string
	Hours string
	Items []workItem
}

type workItem struct {
	From, To, Title, Places, Bay, Caution string
	Van, Card                             link
	Name                                  string
	Parts                                 []string // at its first start only
	GoesOn                                string   // the day of that start
}

func (s *site) technician(t data.Technician) technicianPage {
	p := technicianPage{Frame: s.frame(t.Name, "../", ""), Name: t.Name, Skills: data.Titles(t.Skills), Day: path.Base(s.dayFile(t.Name))}
	p.Kind = "person"
	absences := slices.Clone(s.Workshop.Absences)
	slices.SortStableFunc(absences, func(a, b data.Absence) int { return cmp.Compare(a.From, b.From) })
	for _, a := range absences {
		if (a.Technician == "" || a.Technician == t.Name) && a.To >= s.AsOf {
			away := day(a.From)
			if a.To > a.From {
				away += " to " + day(a.To)
			}
			p.Away = append(p.Away, away)
		}
	}
	var on data.Date
	var sum data.Money
	begun := map[jobKey]data.Date{}
	for _, b := range s.Plan.Blocks {
		if b.Technician != t.Name {
			continue
		}
		if d := data.DateOf(b.Start); d != on {
			on, sum = d, data.Money{}
			p.Days = append(p.Days, workDay{Title: longDay(d)})
		}
		today := &p.Days[len(p.Days)-1]
		sum = sum.Add(b.Hours)
		today.Hours = hours(sum)
		item := s.workItem(b)
		if first, ok := begun[jobKey{b.StockID, b.Job}]; !ok {
			begun[jobKey{b.StockID, b.Job}] = on
		} else if len(item.Parts) > 0 {
			item.GoesOn, item.Parts = dayAs(first, "Monday 2 January"), nil
		}
		today.Items = append(today.Items, item)
	}
	return p
}

func (s *site) workItem(b prep.Block) workItem {
	item := workItem{
		From: b.Start.Format("15:04"), To: b.Finish.Format("15:04"), Title: b.Title, Bay: b.Bay,
		Van: s.vanLink("../", b.StockID),
	}
	v, ok := s.Find(b.StockID)
	if !ok {
		return item
	}
	item.Name = nameOf(v.Van)
	if s.hasPage(v.StockID) {
		item.Card = link{"job card", "../" + s.vanFile(v.StockID, jobCardEnd)}
	}
	if i := slices.IndexFunc(v.Jobs, func(j prep.Job) bool { return j.Code == b.Job }); i >= 0 {
		j := v.Jobs[i]
		item.Places, item.Caution, item.Parts = data.Titles(j.Places), j.Caution, s.partsOf(j)
	}
	return item
}
