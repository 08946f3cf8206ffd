package pages

import (
	"cmp"
	"strings"

	"github.com/vanwright/vanwright/cmd/internal/night"
	"github.com/vanwright/vanwright/data"
	"github.com/vanwright/vanwright/prep"
)

// workView is the jobs of a van with what they come to.
type workView struct {
	Jobs                 []jobLine
	Hours, Labour, Parts string
	Total, P80, Risk     string
	Rate                 string
	Ready                string
}

type jobLine struct {
	Code, Title, Places  string
	Because              string
	State, Hours, P80    string
	Labour, Parts, Total string
	PartsList            []string
	Gate, Skill, Caution string
}

func (s *report) work(v *night.Van) workView {
	w := workView{
		P80: pounds(v.Prep.P80), Risk: pounds(v.Prep.Risk), Total: pounds(prep.Total(v.Jobs)), Rate: pence(s.Policy.LabourCostPerHour),
		Ready: s.readiness(v),
	}
	for _, j := range v.Jobs {
		w.Jobs = append(w.Jobs, s.jobLine(j))
	}
	sums := prep.SumsOf(v.Jobs)
	w.Labour, w.Parts, w.Hours = pounds(sums.Labour), pounds(sums.Parts), hours(sums.Hours)
	return w
}

func (s *report) jobLine(j prep.Job) jobLine {
	line := jobLine{
		Code: j.Code, Title: j.Title, Places: data.Titles(j.Places), Because: strings.Join(j.Because, "; "),
		State: data.Title(j.State), Hours: hours(j.HoursP50), P80: hours(j.HoursP80),
		Labour: pounds(j.LabourCost), Parts: pounds(j.PartsCost), Total: pounds(j.Cost()),
		Gate: j.Gate, Skill: j.Skill, Caution: j.Caution, PartsList: s.partsOf(j),
	}
	if j.State == data.JobDone && !j.DoneOn.IsZero() {
		line.State = "done on " + day(j.DoneOn)
	}
	if j.Technician != "" {
		line.State += " (" + j.Technician + ")"
	}
	return line
}

// partsOf writes 2 × Wheel speed sensor (abs-sensor).
func (s *report) partsOf(j prep.Job) []string {
	var out []string
	for _, use := range j.Parts {
		title := use.Part
		if p, ok := s.Yard.Books.Part(use.Part); ok {
			title = p.Title
			if p.Bin != "" {
				title += ", bin " + p.Bin
			}
		}
		out = append(out, number(use.Qty)+" × "+title)
	}
	return out
}

// readiness says when the van is ready and what it waits for.
func (s *report) readiness(v *night.Van) string {
	q, ok := s.queue[v.StockID]
	switch {
	case !ok && v.Status.InHand():
		return "No work is left to plan."
	case !ok:
		return ""
	case q.ReadyOn.IsZero():
		return "Some of its work can't be planned: " + strings.Join(q.Waiting, "; ") + "."
	}
	text := "Ready on "
	if v.Status == data.Ready {
		text = "Open work done on "
	}
	text += day(q.ReadyOn) + " as planned; 80% likely by " + day(q.ReadyP80) + "."
	if len(q.Waiting) > 0 {
		text += " Waiting for " + data.FirstFew(q.Waiting) + "."
	}
	return text
}

// partTitles writes the titles of parts in place of their codes in the reason for
// a delay.
func (s *report) partTitles(reason string) string {
	codes, ok := strings.CutPrefix(reason, "waiting for part ")
	if !ok {
		return reason
	}
	var titles []string
	for _, code := range strings.Split(strings.ReplaceAll(codes, " and ", ", "), ", ") {
		part, _ := s.Yard.Books.Part(code)
		titles = append(titles, data.Within(cmp.Or(part.Title, code)))
	}
	return "waiting for " + strings.Join(titles, ", ")
}
