package pages

import (
	"fmt"
	"strings"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// timeline is a van's papers from its first day to today, in lanes; gaps are
// hatched.
type timeline struct {
	Label  string
	Height int
	Lanes  []lane
	Years  []yearTick
	AxisY  int
}

type lane struct {
	Title     string
	TitleY, Y int // Y is the lane's line
	Gaps      []span
	Marks     []papermark
}

type span struct {
	X, W, Y int
	Title   string
}

type papermark struct {
	X, Y  int
	Title string
}

type yearTick struct {
	X    int
	Text string
}

const (
	laneStep   = 46
	lanesInset = 8 // keeps marks and years inside the picture
)

// laneNames are the lanes from the top; laneOf picks one for a paper.
var laneNames = []string{"Engine and running gear", "Habitation area, gas and electrics", "MOT", "Other papers"}

func laneOf(what string) int {
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(what, w) {
				return true
			}
		}
		return false
	}
	switch {
	case strings.HasPrefix(what, "MOT"):
		return 2
	case has("engine", "timing belt", "brake fluid", "coolant", "gearbox", "tyres"):
		return 0
	case has("habitation", "damp", "gas", "electric", "water", "living"):
		return 1
	}
	return 3
}

// timelineOf draws events between the van's first registration, or its first
// paper, and the day of the report; nil where there are none.
func timelineOf(v data.Van, events []appraise.Event, asOf data.Date) *timeline {
	if len(events) == 0 {
		return nil
	}
	from := v.FirstRegistered
	for _, e := range events {
		if from.IsZero() || e.From < from {
			from = e.From
		}
	}
	days := float64(max(asOf.DaysSince(from), 1))
	x := func(d data.Date) int {
		share := min(max(float64(d.DaysSince(from))/days, 0), 1)
		return lanesInset + round(share*(pictureWidth-2*lanesInset))
	}
	t := &timeline{}
	var gaps []string
	papers := 0
	for i, name := range laneNames {
		y := i*laneStep + 32
		l := lane{Title: name, TitleY: y - 16, Y: y}
		for _, e := range events {
			if laneOf(e.What) != i {
				continue
			}
			if e.Gap {
				l.Gaps = append(l.Gaps, span{X: x(e.From), W: max(x(e.To)-x(e.From), 2), Y: y - 8, Title: e.What})
				gaps = append(gaps, e.What)
				continue
			}
			papers++
			l.Marks = append(l.Marks, papermark{X: x(e.From), Y: y, Title: day(e.From) + ": " + e.What})
		}
		t.Lanes = append(t.Lanes, l)
	}
	t.AxisY = len(laneNames)*laneStep + 4
	t.Height = t.AxisY + 22
	first, last := from.Year()+1, asOf.Year()
	step := (last-first)/6 + 1
	for year := first; year <= last; year += step {
		t.Years = append(t.Years, yearTick{X: x(data.NewDate(year, 1, 1)), Text: fmt.Sprint(year)})
	}
	t.Label = fmt.Sprintf("Documents from %s to %s: %s held; ", day(from), day(asOf), count(papers, "dated document"))
	if len(gaps) == 0 {
		t.Label += "no gap in the services"
	} else {
		t.Label += strings.Join(gaps, "; ")
	}
	return t
}
