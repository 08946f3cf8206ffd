package pages

import (
	"fmt"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// papersView is what a van's papers prove, with their time line.
type papersView struct {
	Score     string
	Lines     []scoreLine // of the score
	Facts     factList
	Missing   string
	Promised  string
	Expiring  []string
	Events    []eventLine
	Timeline  *timeline
	HasPapers bool
}

type scoreLine struct{ What, Points, Of string }

type eventLine struct {
	When, What, Evidence, Miles string
	Gap                         bool
}

func (s *report) papers(v data.Van, a appraise.Assessment) papersView {
	p := a.Papers
	events := appraise.Timeline(v, s.Yard.Documents[v.StockID], s.AsOf)
	view := papersView{
		Score: fmt.Sprintf("%d of 100", p.HistoryScore),
		Facts: []fact{
			{"Engine services proven", fmt.Sprintf("%.0f%%", p.EngineHistoryPct)},
			{"Habitation services proven", fmt.Sprintf("%.0f%%", p.HabitationHistoryPct)},
			{motLabel(p), day(p.MOTExpires)},
			{"Timing belt due", day(p.BeltDue)},
			{"Recorded mileages", mileageWords[p.Mileage]},
		},
		Missing: data.Titles(p.Missing), Promised: data.Titles(p.Promised),
		Timeline: timelineOf(v, events, s.AsOf), HasPapers: len(events) > 0,
	}
	for _, l := range p.Score {
		view.Lines = append(view.Lines, scoreLine{data.Capital(l.What), fmt.Sprintf("%g", l.Points), fmt.Sprintf("%g", l.Of)})
	}
	for _, e := range p.Expiring {
		view.Expiring = append(view.Expiring, data.Title(e.What)+" "+e.Day())
	}
	for _, e := range events {
		line := eventLine{When: day(e.From), What: data.Capital(e.What), Evidence: e.Evidence, Gap: e.Gap}
		if e.Gap {
			line.When += " to " + day(e.To)
		}
		if e.Mileage.Known {
			line.Miles = number(e.Mileage.Value)
		}
		view.Events = append(view.Events, line)
	}
	return view
}

// motLabel says what the day beside it is.
func motLabel(p appraise.Papers) string {
	if p.FirstMOT {
		return "First MOT due"
	}
	return "MOT until"
}

var mileageWords = map[appraise.MileageCheck]string{
	appraise.MileageConsistent: "agree",
	appraise.MileageFalls:      "fall: one is wrong",
	appraise.MileageJumps:      "jump: one may be wrong",
	appraise.MileageUnknown:    "too few to tell",
}
