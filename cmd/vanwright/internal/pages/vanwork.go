package pages

import (
	"strings"

	"github.com/vanwright/vanwright/cmd/vanwright/internal/batch"
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
	Because              []string
	State, Hours, P80    string
	Labour, Parts, Total string
	PartsList            []string
	Gate, Skill, Caution string
	From                 string
}

func (s *site) work(v *batch.Van) workView {
	w := workView{
		P80: pence(v.Prep.P80), Risk: pence(v.Prep.Risk), Total: pence(prep.Total(v.Jobs)), Rate: pence(s.Policy.LabourCostPerHour),
		Ready: s.readiness(v),
	}
	var labour, parts data.Money
	var h data.Money
	for _, j := range v.Jobs {
		labour, parts, h = labour.Add(j.LabourCost), parts.Add(j.PartsCost), h.Add(j.HoursP50)
		w.Jobs = append(w.Jobs, s.jobLine(j))
	}
	w.Labour, w.Parts, w.Hours = pence(labour), pence(parts), hours(h)
	return w
}

func (s *site) jobLine(j prep.Job) jobLine {
	line := jobLine{
		Code: j.Code, Title: j.Title, Places: spacedAll(j.Places), Because: j.Because,
		State: spaced(string(j.State)), Hours: hours(j.HoursP50), P80: hours(j.HoursP80),
		Labour: pence(j.LabourCost), Parts: pence(j.PartsCost), Total: pence(j.Cost()),
		Gate: j.Gate, Skill: j.Skill, Caution: j.Caution, PartsList: s.partsOf(j),
	}
	if book, ok := s.Yard.Books.Job(j.Code); ok {
		line.From = book.Source.String()
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
func (s *site) partsOf(j prep.Job) []string {
	var out []string
	for _, use := range j.Parts {
		title := use.Part
		if p, ok := s.Yard.Books.Part(use.Part); ok {
			title = p.Title + " (" + p.Code + ")"
		}
		out = append(out, number(use.Qty)+" × "+title)
	}
	return out
}

// readiness says when the van is ready and what it waits for.
func (s *site) readiness(v *batch.Van) string {
	q, ok := s.queue[v.StockID]
	switch {
	case !ok && v.Status.InHand():
		return "No work is left to plan."
	case !ok:
		return ""
	case q.ReadyOn.IsZero():
		return "Some of its work can't be planned: " + strings.Join(q.WaitingFor, "; ") + "."
	}
	text := "Ready on " + day(q.ReadyOn) + " as planned; four times in five by " + day(q.ReadyP80) + "."
	if len(q.WaitingFor) > 0 {
		text += " It waits for " + strings.Join(q.WaitingFor, "; ") + "."
	}
	return text
}
