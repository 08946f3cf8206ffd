package pages

import (
	"fmt"
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
	Because              []string
	Read                 string // the lines of the readings that ask for it
	State, Hours, P80    string
	Labour, Parts, Total string
	PartsList            []string
	Gate, Skill, Caution string
	From                 string
}

func (s *site) work(v *night.Van) workView {
	w := workView{
		P80: pence(v.Prep.P80), Risk: pence(v.Prep.Risk), Total: pence(prep.Total(v.Jobs)), Rate: pence(s.Policy.LabourCostPerHour),
		Ready: s.readiness(v),
	}
	var labour, parts data.Money
	var h data.Money
	for _, j := range v.Jobs {
		labour, parts, h = labour.Add(j.LabourCost), parts.Add(j.PartsCost), h.Add(j.HoursP50)
		line := s.jobLine(j)
		line.Read = askedAt(v, j.Code)
		w.Jobs = append(w.Jobs, line)
	}
	w.Labour, w.Parts, w.Hours = pence(labour), pence(parts), hours(h)
	return w
}

func (s *site) jobLine(j prep.Job) jobLine {
	line := jobLine{
		Code: j.Code, Title: j.Title, Places: data.Titles(j.Places), Because: j.Because,
		State: data.Title(j.State), Hours: hours(j.HoursP50), P80: hours(j.HoursP80),
		Labour: pence(j.LabourCost), Parts: pence(j.PartsCost), Total: pence(j.Cost()),
		Gate: j.Gate, Skill: j.Skill, Caution: j.Caution, PartsList: s.partsOf(j),
	}
	if book, ok := s.Yard.Books.Job(j.Code); ok {
		line.From = book.Source.String()
	}
	if j.Open() && j.Factor != 1 {
		line.From += fmt.Sprintf(", × %.2f as learnt", j.Factor)
	}
	for _, p := range s.Yard.Progress[j.StockID] {
		if p.Job == j.Code {
			line.From += ", " + p.Source.String()
		}
	}
	if j.State == data.JobDone && !j.DoneOn.IsZero() {
		line.State = "done on " + day(j.DoneOn)
	}
	if j.Technician != "" {
		line.State += " (" + j.Technician + ")"
	}
	return line
}

// linesCited is how many lines a job names; the findings above have them all.
const linesCited = 4

// askedAt names the lines of the readings that ask for a job.
func askedAt(v *night.Van, job string) string {
	var lines []string
	for _, f := range v.Assessment.Findings {
		if f.Job == job && f.Verdict > data.Sound {
			lines = appendNew(lines, f.Source.String())
		}
	}
	if more := len(lines) - linesCited; more > 1 {
		lines = append(lines[:linesCited], count(more, "more line"))
	}
	return strings.Join(lines, ", ")
}

// partsOf writes 2 × Wheel speed sensor (abs-sensor).
func (s *site) partsOf(j prep.Job) []string {
	var out []string
	for _, use := range j.Parts {
		title := use.Part
		if p, ok := s.Yard.Books.Part(use.Part); ok {
			title = p.Title + " (" + p.Code + ")"
			if p.Bin != "" {
				title += ", bin " + p.Bin
			}
		}
		out = append(out, number(use.Qty)+" × "+title)
	}
	return out
}

// readiness says when the van is ready and what it waits for.
func (s *site) readiness(v *night.Van) string {
	q, ok := s.queue[v.StockID]
	switch {
	case !ok && v.Status.InHand():
		return "No work is left to plan."
	case !ok:
		return ""
	case q.ReadyOn.IsZero():
		return "Some of its work can't be planned: " + strings.Join(q.WaitingFor, "; ") + "."
	}
	text := "Ready on " + day(q.ReadyOn) + " as planned; 80% likely by " + day(q.ReadyP80) + "."
	parts, other := s.waits(q.WaitingFor)
	if len(parts) > 0 {
		other = append([]string{count(len(parts), "part") + " (" + strings.Join(parts, "; ") + ")"}, other...)
	}
	if len(other) > 0 {
		text += " Waiting for " + strings.Join(other, "; ") + "."
	}
	return text
}

// waits parts what a van waits for into the titles of parts and the rest.
func (s *site) waits(list []string) (parts, other []string) {
	for _, w := range list {
		code, ok := strings.CutPrefix(w, "part ")
		if !ok {
			other = append(other, w)
			continue
		}
		if p, known := s.Yard.Books.Part(code); known {
			code = p.Title
		}
		parts = append(parts, code)
	}
	return parts, other
}
